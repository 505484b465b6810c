"""Island loops and air admittance valves: by what the book allows, the authority says, and the job does not want.

UPC 909.1 and IPC 916.1 have the loop; IPC 918 the valve; the UPC leaves the valve to the authority (301.3).
"""

from __future__ import annotations

from types import SimpleNamespace

import pytest

from stubout.files.books import load_book
from stubout.house.facts import Wishes
from stubout.layout.methods import island_method
from stubout.layout.model import VentMethod

SINK = SimpleNamespace(tag="KS", in_island=True, line=1)
NO_LOOP = ("island loop",)


@pytest.mark.parametrize("book", ["upc-2021", "ipc-2021"])
def test_island_has_a_loop_where_the_book_has_one(book: str) -> None:
    assert island_method(load_book(book), Wishes(aav="no"), SINK, "")[0] is VentMethod.LOOP


@pytest.mark.parametrize(("book", "asks"), [("upc-2021", True), ("ipc-2021", False)])
def test_valve_where_no_loop_is_wanted_and_the_authority_allows_it(book: str, asks: bool) -> None:
    method, _, question = island_method(load_book(book), Wishes(aav="yes", methods_not_wanted=NO_LOOP), SINK, "")
    assert method is VentMethod.AAV
    assert (question is not None) is asks


@pytest.mark.parametrize("wishes", [
    Wishes(aav="no", methods_not_wanted=NO_LOOP),
    Wishes(aav="yes", methods_not_wanted=(*NO_LOOP, "air admittance valve")),
])  # fmt: skip
@pytest.mark.parametrize("book", ["upc-2021", "ipc-2021", "npc-2020"])
def test_nothing_is_left_where_neither_is_wanted(book: str, wishes: Wishes) -> None:
    method, why, _ = island_method(load_book(book), wishes, SINK, "")
    assert method is None
    assert "no vent method" in why
