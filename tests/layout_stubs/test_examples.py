"""The same facts, read from the example job files and resolved: the whole way from the file to the mark."""

from __future__ import annotations

from pathlib import Path

import pytest

from stubout.files.books import book_ids, load_book
from stubout.files.jobs import read_job
from stubout.house.resolve import resolve
from stubout.layout.stub_limits import PLAY_MM
from stubout.layout.stubs import stub_marks, trap_band

EXAMPLES = Path(__file__).parents[2] / "examples"
I = 25.4  # noqa: E741


def house_and_book(name):
    house, _ = resolve(read_job(str(EXAMPLES / name), book_ids()))
    return house, load_book(house.job.book_id, house.amendments)


@pytest.fixture(scope="module")
def one():
    house, book = house_and_book("01-two-storey-basement.yaml")
    return house, book, {s.tag: s for s in stub_marks(house, book)}


@pytest.fixture(scope="module")
def two():
    house, book = house_and_book("02-slab-bungalow.yaml")
    return house, book, {s.tag: s for s in stub_marks(house, book)}


@pytest.fixture(scope="module")
def three():
    house, book = house_and_book("03-crawlspace-cottage.yaml")
    return house, book, {s.tag: s for s in stub_marks(house, book)}


def test_house_01(one):
    _, _, stubs = one
    ks, lv1, lv3 = stubs["KS"], stubs["LV1"], stubs["LV3"]
    # fact 10 takes the fall over 317.5 to the stud centre line, the stub-out is measured at the finished face (260)
    assert ks.hi_z_mm - ks.finished_z_mm == pytest.approx(489 - 50 - 260 / 50, abs=0.5)
    assert ks.lo_z_mm == pytest.approx(258, abs=0.5)
    assert lv1.mark_z_mm - lv1.finished_z_mm == pytest.approx(460)
    assert not lv3.feasible
    assert any("short by 22" in s for s in lv3.derivation.steps)
    assert {t for t, s in stubs.items() if not s.feasible} == {"LV3"}


def test_house_02(two):
    house, book, stubs = two
    assert stubs["LV1"].hi_z_mm / I == pytest.approx(26.21, abs=0.005)
    assert stubs["BS"].hi_z_mm / I == pytest.approx(25.81, abs=0.005)
    assert trap_band(house, book, house.fixture("KS")).hi.z_mm == pytest.approx(17.5 * I)
    assert "KS" not in stubs
    assert stubs["LV2"].hi_governs.startswith("drawer")
    aw = stubs["AW"]
    assert (aw.lo_z_mm - 52.0446 / 2) / I == pytest.approx(9, abs=0.01)  # weir: half a bore below the centre line
    assert (aw.hi_z_mm - 52.0446 / 2) / I == pytest.approx(18.25, abs=0.01)


def test_house_03(three):
    house, book, stubs = three
    ks = trap_band(house, book, house.fixture("KS"))
    assert ks.hi.z_mm / I == pytest.approx(24.75)
    assert (ks.lo.z_mm - PLAY_MM) / I == pytest.approx(0.75 + 9 + 5 / 16, abs=1 / 32)
    assert stubs["LV1"].lo_governs.startswith("partition")
    assert stubs["AW"].hi_z_mm / I == pytest.approx(20 + 52.0446 / 2 / I, abs=0.01)


def test_every_mark_lies_in_its_band_on_a_round_figure(one, two, three):
    for house, _, stubs in (one, two, three):
        step = 5.0 if house.job.units == "mm" else I / 4
        for s in stubs.values():
            if not s.feasible:
                continue
            assert s.lo_z_mm - 1e-6 <= s.mark_z_mm <= s.hi_z_mm + 1e-6, s.tag
            over = (s.mark_z_mm - s.finished_z_mm) / step
            assert over == pytest.approx(round(over), abs=1e-6), s.tag
            assert s.derivation.steps
            assert s.derivation.bases
