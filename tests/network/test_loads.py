"""Fixture units of the example houses, from their plan sets (facts tables, section 10)."""

from __future__ import annotations

import pytest

from stubout.kinds import FixtureKind
from stubout.network.loads import load_of


def fixtures(sketch, book_id, tags, **more):
    s = sketch(book_id=book_id)
    return s.book, [s.fixture(t, **more.get(t, {})) for t in tags]


TRAP = {"FD": 3.0}
ALL_01 = ["WC1", "LV1", "KS", "MS", "WC2", "LV2", "BT2", "WC3", "LV3", "BT3", "SH3", "AW", "LT", "FD", "WC4", "LV4"]
ALL_01.append("SH4")


def npc(sketch, tags, **more):
    book, fs = fixtures(sketch, "npc-2020", tags, **more)
    return load_of(book, fs, {f.tag: TRAP.get(f.tag, 1.25 if f.kind is FixtureKind.LAVATORY else None) for f in fs})


def test_house_01_family_bath_is_one_group(sketch):
    g = {"group": "family"}
    assert npc(sketch, ["WC2", "LV2", "BT2"], WC2=g, LV2=g, BT2=g).value == 6


@pytest.mark.parametrize(("heads", "fu"), [(2, 9), (1, 7.5), (None, 9)])
def test_house_01_ensuite_group_takes_the_tub(sketch, heads, fu):
    g = {"group": "ensuite"}
    load = npc(sketch, ["WC3", "LV3", "BT3", "SH3"], WC3=g, LV3=g, BT3=g, SH3=g | {"heads": heads})
    assert load.value == fu
    if heads is None:
        assert any("heads open" in s for s in load.steps)


def test_house_01_building(sketch):
    fam, ens, fut = {"group": "family"}, {"group": "ensuite"}, {"group": "future", "future": True}
    load = npc(
        sketch,
        ALL_01,
        WC1={"group": "powder"}, LV1={"group": "powder"}, KS={"disposer": True, "dishwasher": "disposer"},
        WC2=fam, LV2=fam, BT2=fam, WC3=ens, LV3=ens, BT3=ens, SH3=ens | {"heads": 2}, WC4=fut, LV4=fut, SH4=fut,
    )  # fmt: skip
    assert load.value == 35
    assert any("future" in s for s in load.steps)
    assert load.bases


def test_house_02_building(sketch):
    book, fs = fixtures(
        sketch, "upc-2021", ["WC1", "LV1", "SH1", "WC2", "LV2", "BT2", "KS", "BS", "AW"],
        KS={"disposer": True, "dishwasher": "air gap"}, WC1={"group": "bath 1"}, LV1={"group": "bath 1"},
    )  # fmt: skip
    assert load_of(book, fs).value == 18  # no group values in this book


def test_house_03_rooms_by_group_and_singly(sketch):
    b, h = {"group": "bath"}, {"group": "half"}
    book, fs = fixtures(sketch, "irc-2021", ["WC1", "LV1", "BT1", "WC2", "LV2", "KS", "AW"],
                        WC1=b, LV1=b, BT1=b, WC2=h, LV2=h, KS={"dishwasher": "tailpiece"})  # fmt: skip
    assert load_of(book, fs, groups=False).value == 14
    assert load_of(book, fs[:3]).value == 5
    assert load_of(book, fs[3:5]).value == 4


def test_a_fixture_without_a_row_counts_by_its_trap(sketch):
    # residential book: no row for a closet with flush valve; by its 3 in trap, table 709.2 of the parent book: 5
    book, fs = fixtures(sketch, "irc-2021", ["WC1"], WC1={"flush_valve": True})
    assert load_of(book, fs, {"WC1": 3.0}).value == 5


def test_order_of_fixtures_does_not_matter(sketch):
    g = {"group": "ensuite"}
    tags = ["WC3", "LV3", "BT3", "SH3"]
    a = npc(sketch, tags, WC3=g, LV3=g, BT3=g, SH3=g)
    b = npc(sketch, tags[::-1], WC3=g, LV3=g, BT3=g, SH3=g)
    assert (a.value, a.steps) == (b.value, b.steps)
