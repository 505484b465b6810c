"""Pipe that is installed is neither ordered nor cut again. Expected: by counting on the drawing of the bath.

A job that draws an old drain and stack as installed (a remodel) wants the new pipe on its order, and no other.
"""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path

import pytest

from stubout import run
from stubout.design import Design
from stubout.fabrication.in_place import NOTE, pipes_in_place, to_cut, to_shield
from stubout.fabrication.model import Plate
from stubout.fabrication.set_in import cut_outs
from stubout.files.jobs import read_job_text
from stubout.reports.cuts import cuts_page
from stubout.reports.materials import materials_page
from stubout.reports.shop import bores_page

DRAWN = (Path(__file__).parents[2] / "examples" / "drawn-bath.yaml").read_text(encoding="utf-8")
OLD = ("S1", "BD", "CO1", "V-WC1")


def _installed(*ids: str) -> Design:
    text = DRAWN
    for i in ids:
        head = text.index(f"  - id: {i} ") if f"  - id: {i} " in text else text.index(f"  - id: {i}\n")
        at = text.index("    system:", head)
        text = f"{text[:at]}    installed: by others\n{text[at:]}"
    return run.design(read_job_text(text))


@pytest.fixture(scope="module")
def new() -> Design:
    return _installed()


@pytest.fixture(scope="module")
def old() -> Design:
    return _installed(*OLD)


def _bought(design: Design, group: str) -> dict[tuple[str, str], float]:
    return {(m.item, m.size): m.quantity for m in design.fabrication.materials if m.group == group}


def test_what_is_in_place_is_not_on_the_saw_nor_on_the_order(new, old):
    there = pipes_in_place(old.network)
    assert {i.partition(".")[0] for i in there} == set(OLD)
    left_out = {p.id for p in old.fabrication.pieces} - {p.id for p in to_cut(old.fabrication.pieces, there)}
    assert left_out
    assert not left_out & {i for s in old.fabrication.sticks for i in s.pieces}
    assert {p.id for p in old.fabrication.pieces if NOTE in p.note} == left_out
    cut = {s.size_in: s.cut_mm for s in old.fabrication.stock}
    assert 3.0 in {s.size_in for s in new.fabrication.stock}
    assert cut.get(3.0, 0.0) < 0.2 * next(s.cut_mm for s in new.fabrication.stock if s.size_in == 3.0)
    assert not left_out & {i for w in old.fabrication.orders for i in w.pieces}


def test_fittings_where_new_pipe_joins_old_are_bought_and_named(new, old):
    """The closet's tee and the wyes of sink and lavatory stand in old pipe; the flashing of the terminal is old."""
    named = cut_outs(old.network, old.fabrication.fittings, old.fabrication.pieces)
    assert named
    all_there, bought = _bought(new, "fitting"), _bought(old, "fitting")
    for one in named:
        assert any(one.fitting.pattern in item for item, _ in bought)
    couplings = sum(n for (item, _), n in bought.items() if item.startswith("transition coupling"))
    assert sum(bought.values()) - couplings < sum(all_there.values())
    assert not any("flashing" in item for item, _ in bought)
    assert "Installed and not ordered again" in repr(materials_page(old))
    assert all(one.fitting.id in repr(cuts_page(old)) for one in named)
    assert "Installed and not ordered again" not in repr(materials_page(new))
    assert "Set into installed pipe" not in repr(cuts_page(new))


def test_plates_over_the_holes_of_installed_pipe_are_not_ordered(old):
    """Two plates put on the list by hand, one over a hole of old pipe: that one is there already, or cannot be."""
    there = pipes_in_place(old.network)
    ours = next(b for b in old.fabrication.bores if b.pipe in there)
    new = next(b for b in old.fabrication.bores if b.pipe not in there)
    made = tuple(Plate(f"NP{k}", "nail plate", b.id, "left", 120.0, 20.0) for k, b in enumerate((ours, new), 1))
    assert [p.bore for p in to_shield(made, old.fabrication.bores, there)] == [new.id]
    words = repr(bores_page(replace(old, fabrication=replace(old.fabrication, plates=made))))
    assert words.count("not ordered: see whether it is there") == 1


def test_plugs_of_installed_cleanouts_are_not_ordered(new, old):
    """A plug touches no pipe by itself: it is in place where all that meets at its point is."""
    adapters = [sum(n for (i, _), n in _bought(d, "fitting").items() if "cleanout adapter" in i) for d in (new, old)]
    assert adapters[1] < adapters[0]


def test_lists_say_what_is_in_place(old):
    assert "in place" in repr(cuts_page(old))
    assert "in place, ok" in repr(bores_page(old))


def test_a_job_without_old_pipe_has_nothing_in_place(new):
    assert not pipes_in_place(new.network)
    assert not any(NOTE in p.note for p in new.fabrication.pieces)
