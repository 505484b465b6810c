"""New pipe on installed pipe: couplings and short pieces. Expected: counted on the drawing of the bath, by hand.

The drawn bath has a stack S1 that the closet's tee stands in, a drain BD under it, a vent V-WC1. With these installed,
all that joins them is new.
"""

from __future__ import annotations

from pathlib import Path

import pytest

from stubout import run
from stubout.design import Design
from stubout.fabrication.costing import joints
from stubout.fabrication.in_place import pipes_in_place, to_cut
from stubout.fabrication.set_in import REPAIR, TRANSITION, cut_outs
from stubout.files.jobs import read_job_text
from stubout.problems import Finding, JobFileError
from stubout.reports.cuts import cuts_page
from stubout.reports.materials import materials_page

DRAWN = (Path(__file__).parents[2] / "examples" / "drawn-bath.yaml").read_text(encoding="utf-8")
OLD = ("S1", "BD", "CO1", "V-WC1")


def _text(says: str, *ids: str) -> str:
    text = DRAWN
    for i in ids:
        head = text.index(f"  - id: {i} ") if f"  - id: {i} " in text else text.index(f"  - id: {i}\n")
        at = text.index("    system:", head)
        text = f"{text[:at]}{says}{text[at:]}"
    return text


def _design(says: str, *ids: str) -> Design:
    return run.design(read_job_text(_text(says, *ids)))


@pytest.fixture(scope="module")
def iron() -> Design:
    return _design("    installed: old\n    material: cast iron\n", *OLD)


@pytest.fixture(scope="module")
def unknown() -> Design:
    return _design("    installed: old\n", *OLD)


@pytest.fixture(scope="module")
def same() -> Design:
    return _design("    installed: 2026-01-05, B\n    material: abs\n", *OLD)


def _findings(design: Design) -> tuple[Finding, ...]:
    return run.check(design).findings


def _couplings(design: Design, pattern: str) -> list[str]:
    return [f.id for f in design.fabrication.fittings if f.pattern == pattern]


def test_every_old_end_at_a_new_fitting_takes_a_transition_coupling(iron):
    there = pipes_in_place(iron.network)
    ends = 0
    for n in iron.network.nodes:
        here = [*n.inflow, *n.outflow]
        old = [i for i in here if i in there]
        ends += len(old) if 0 < len(old) < len(here) else 0
    whole = sum(2 for p in iron.fabrication.pieces if p.set_in == "whole")
    assert ends > 2
    assert len(_couplings(iron, TRANSITION)) == ends - whole
    short = [p for p in iron.fabrication.pieces if p.set_in == "short"]
    assert len(short) == ends - whole
    assert {p.id for p in short} <= {p.id for p in to_cut(iron.fabrication.pieces, there)}
    assert {p.id for p in short} <= {i for s in iron.fabrication.sticks for i in s.pieces}


def test_a_short_piece_is_a_socket_deep_and_goes_to_the_stop_of_the_sleeve(iron):
    """1-1/2 in of a 3 in socket, 1 in bare, 27 mm of sleeve less half the gap of 3/32 at the stop: 89.3 mm."""
    piece = next(p for p in iron.fabrication.pieces if p.set_in == "short" and p.size_in == 3.0)
    assert piece.cut_mm == pytest.approx(38.1 + 25.4 + 27.0 - 3 / 64 * 25.4, abs=0.05)
    assert piece.centre_mm == pytest.approx(piece.takeoff_start_mm + piece.cut_mm + piece.takeoff_end_mm)


def test_the_order_and_the_cost_know_the_couplings(iron):
    line = next(m for m in iron.fabrication.materials if m.item == "transition coupling, ABS to cast iron")
    assert line.quantity == len(_couplings(iron, TRANSITION))
    assert not line.status.verified
    assert "measure the old pipe" in line.note
    part = next(p for p in iron.costing().parts if p.kind == "fittings")
    assert part.quantity >= len(iron.fabrication.fittings) - 2  # flashing and valve cost apart
    assert "Fittings: couplings and bushings" in repr(materials_page(iron))


def test_a_clamped_coupling_is_not_cemented(iron, same):
    assert sum(1 for _ in joints(iron.fabrication)) < sum(1 for _ in joints(same.fabrication))


def test_the_cut_list_says_what_is_cut_out_of_the_old_pipe(iron):
    words = repr(cuts_page(iron))
    assert "Set into installed pipe" in words
    for one in cut_outs(iron.network, iron.fabrication.fittings, iron.fabrication.pieces):
        assert one.fitting.id in words
        assert all(c.id in words and "cast iron" in words for c in one.couplings)
        assert all(f"from the centre of {one.fitting.id}" in c.note for c in one.couplings)


def test_old_pipe_too_short_between_two_fittings_is_cut_anew(iron):
    """S1 is 468 mm, BD.2 419, V-WC1.2 199: couplings and short pieces at both ends leave less than 100 mm of each."""
    whole = {i for p in iron.fabrication.pieces if p.set_in == "whole" for i in p.pipes}
    assert whole == {"S1", "BD.2", "V-WC1.2"}
    assert "Taken out as a whole" in repr(cuts_page(iron))


def test_an_unknown_material_is_asked_for_and_a_known_one_is_not(iron, unknown):
    asked = [f for f in _findings(unknown) if f.check == "MAT001"]
    assert {f.about[0] for f in asked} == {"BD", "V-WC1"}  # between its two tees nothing of S1 stays
    assert all(f.owner == "plumber" and "unknown material" in f.found for f in asked)
    assert not [f for f in _findings(iron) if f.check == "MAT001"]
    assert any("pipe of unknown material" in m.item for m in unknown.fabrication.materials)


def test_pipe_of_the_job_is_glued_but_for_one_end_that_slides(same):
    assert not _couplings(same, TRANSITION)
    there = pipes_in_place(same.network)
    through = 0
    for n in same.network.nodes:
        here = [*n.inflow, *n.outflow]
        old = [i for i in here if i in there]
        through += 1 < len(old) < len(here)
    assert len(_couplings(same, REPAIR)) == through > 0
    assert not [f for f in _findings(same) if f.check == "MAT001"]


def test_a_material_of_new_pipe_is_a_fault():
    with pytest.raises(JobFileError) as told:
        read_job_text(_text("    material: cast iron\n", "S1"))
    assert "routes" in str(told.value)
    assert "cast iron" in str(told.value)
    read_job_text(_text("    material: abs\n", "S1"))


def test_words_of_the_trade_lead_to_the_material():
    with pytest.raises(JobFileError) as told:
        read_job_text(_text("    installed: old\n    material: galvanised\n", "S1"))
    assert "galvanized" in str(told.value)


def test_a_material_of_the_sewer_is_a_fault_and_of_an_existing_pipe_is_taken():
    sewer = DRAWN.replace("\nsewer:\n", "\nsewer:\n  material: clay\n")
    assert sewer != DRAWN
    with pytest.raises(JobFileError) as told:
        read_job_text(sewer)
    assert "existing pipe" in str(told.value)
    design = run.design(read_job_text(sewer.replace("  what: sewer\n", "  what: existing pipe\n", 1)))
    assert any(m.item == "transition coupling, ABS to clay" for m in design.fabrication.materials)
    assert not [f for f in _findings(design) if f.check == "MAT001"]


def test_the_second_time_gives_the_same(iron):
    again = _design("    installed: old\n    material: cast iron\n", *OLD)
    assert again.fabrication == iron.fabrication
