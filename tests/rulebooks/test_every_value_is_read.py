"""Every value and table of a book decides something, or stands in the list below with the reason why it does not.

A value in a book that nothing asks for looks like a rule that is kept, and is none.
"""

from __future__ import annotations

from fnmatch import fnmatch

import pytest
from paging.asking import asked, of_check

from stubout.files.books import book_ids, load_book

# Id or pattern -> why nothing asks for it. Once something does, it must go from here.
UNREAD = {
    # figures that other rules hold already
    "cleanout.arm_free": "CLO005 leaves the pipes of a fixture out in every book",
    "drain_max_length": "a house is not as tall as the least of its limits",
    "fitting.plain_tee": "the catalogue has no plain tee for drains",
    "future.counted": "the network counts every fixture of the job, capped ones too",
    "load.further_bath": "baths beyond the table count fixture by fixture, which is never less",
    "stack_tall": "a house has three branch intervals at most; the stricter column decides",
    "stack.interval": "storeys of a job are that high; loads are counted by storey",
    "standpipe.trap_above_floor": "STP002 keeps the trap higher than that by `standpipe.trap_lo`",
    "standpipe.is_receptor": "STP001 measures every standpipe as one",
    "vent.vertical_within": "`Pipe.vertical` is within 45 degrees; a test below holds that every book says so",
    "vent.flat_below_rim": "VNT003 asks for the figure, `vent.dry_rise`",
    "wet_vent.dry_size": "the sizes ask for it by `drain_of`; the text has no figure",
    "wet_vent.joins": "ARM009 finds a drain that joins an arm, TRP001 an arm that drops",
    "wet_vent.upstream_of_dry": "VNT001 finds every trap up stream of the dry vent: no air comes to it from below",
    "wet_vent.extra_rule": "WET001 counts what joins; air of their own is VNT001",
    "circuit_vent.may_drain": "such a fixture is wet vented by the circuit vent and judged as that",
    "circuit_vent.drain_as_vent_least": "a drain that acts as a further circuit vent is a wet vent, sized as one",
    "circuit_vent.relief_branches": "each branch is asked for a relief vent of its own",
    "relief_vent.rule": "says that a relief vent may be smaller than the table; it is drawn as large as VNT005 asks",
    "aav.within_length": "ARM001 measures the arm to the fitting under the valve",
    "aav.relief_rule": "more branch intervals than a house has",
    "aav.branch_intervals": "more branch intervals than a house has",
    "vent.parallel_from": "more storeys than a house has",
    "vent.offset_relief": "more load above an offset than a house has",
    "shower.max_heads": "the job file takes no more heads",
    "stack_foot.riser_clear": "a figure of one province; where it holds the job amends",
    "building_drain.end_rule": "a rule of one province; where it holds the job amends",
    "building_drain.small_rule": "DRN006 and DRN004 hold the sizes of building drains",
    "washer.branch_note": "`branch_least` has the figure",
    # sentences that explain a figure which is asked for
    "stack_foot.condition": "explains `stack_foot.load_from` and `stack_foot.storeys_from`",
    "drain.closets_rule": "explains `max_closets` and `closet.drain_least`",
    "drain.reduction_free": "DRN003 leaves closet bends out",
    "slope.*": "explains `min_slope` and `approved_slope`",
    "terminal.above_roof_rule": "explains `terminal.above_roof`",
    "terminal.frost_rule": "explains `terminal.frost_least`, `terminal.frost_steps` and `terminal.frost_inside`",
    "test.head_rule": "explains `test.head`",
    "vent.header_rule": "says how `stack_vent_length` is entered",
    "vent.length_free": "explains `vent.individual_length`",
    "vent.none_for": "says what has no trap of its own; FLD001 has the one case of a house",
    "vent.area_shared": "several buildings are several jobs",
    "fitting.barred": "the catalogue has none of them",
    "fitting.double_*": "explains `fitting_turn` and `fitting.double_tee` (FIT004)",
    "fitting.heel_inlet": "the catalogue has no such bend",
    "fitting.side_inlet": "the catalogue has no such bend",
    "floor_drain.unvented_onto": "a rule of one province, dropped in its next edition",
    "plate.exempt": "the job's pipe is plastic, which no book exempts",
    "load.*": "flows without a fixture: a job has no word for them",
    "intermittent_load": "flows without a fixture: a job has no word for them",
    "semi_continuous_load": "flows without a fixture: a job has no word for them",
    # facts a job does not carry
    "terminal.lot_line": "the job has no lot lines",
    "ground.sewer_from_*": "the job has no water line, well or main",
    "terminal.side_wall_rule": "no vent goes through a side wall: the roof is the only way out",
    "terminal.outside_pipe": "no vent runs outside the house",
    "closet_arm.vent_on_leg": "allows what ARM008 measures in any case",
    "cleanout.face_depth": "how deep a plug sits behind its cover is not in the design",
    "cleanout.not_a_drain": "no job can say that a floor drain is to serve as a cleanout",
    "cleanout.underfloor_horizontal": "the width of a crawl space is not in the job",
    "floor_drain.primer_tube": "a primer is said to be there, not how large its tube is",
    "future.vent": "no figure but one province's",
    "sink.three_compartment_steps": "the job says the outlet of a sink, not its compartments",
    "standpipe.tray_*": "no job can say that a tray drains into a standpipe",
    "standpipe.room_rule": "a standpipe is drawn with its washer",
    "trap.shared_*": "one fixture of a job has one trap; bowls that share it are one fixture",
    "trap.compartment_depth": "one fixture of a job has one trap; bowls that share it are one fixture",
    "trap.slip_joint_access": "access panels are not in the job",
    "trap.seal_*": "the seal is the trap's own, bought to its standard",
    "trap.setting": "how a trap is set is work on site",
    "trap.barred": "the catalogue has none of them; S-traps by `trap.s_trap_barred`",
    "trap.tubular": "what the trap is made of is not in the job",
    "trap.cleanout_plug": "the plug is the trap's own",
    "slip_joint.rule": "slip joints are the trap's own",
    "vent.slip_joints": "the catalogue has none",
    "vent.seal_pressure": "a figure for engineered systems",
    "washer.discharge": "a hose into a standpipe is the only way a job can say",
    "island.return_rule": "the bends of a loop come from the catalogue, in one of the two ways",
    "aav.accessible": "doors and grilles are not in the job",
    "aav.after_test": "work on site",
    "aav.capacity_rule": "in the listing of the valve",
    "aav.standard": "in the listing of the valve",
    "air_*": "indirect waste: a job has no word for it",
    "indirect.trap_rule": "indirect waste: a job has no word for it",
    "building_trap.allowed": "no job can say one",
    "subsoil.rule": "no job can say a subsoil drain",
    "sump.vent_rule": "no job can say a sump",
    # work on site
    "ground.backfill*": "work on site",
    "ground.rock_below": "work on site",
    "ground.underground_support": "work on site",
    "ground.material_rule": "the job's pipe is plastic",
    "support.*": "how a hanger is made; SUP001 asks for its spacing",
    "test.*": "how the test is made, on the sheet in our words; `test.head` and `test.hold` are asked for",
    # cuts the program does not make
    "joist_notch.*": "the program makes no notch",
    "stud_notch.*": "the program makes no notch",
    "rafter_notch.cantilever": "the program makes no notch",
    "joist_bore.more_if": "an exception that allows more; the stricter figure decides",
    "stud_bore.doubled_successive": "an exception that allows more; the stricter figure decides",
    "stud_bore.not_with_notch": "the program makes no notch",
    "member.*": "FRM003 lets nobody but the maker cut such a member",
    "stud.repair": "what an engineer may allow after the cut",
    "top_plate.*": "how a tie is made; FRM004 asks for one by `top_plate.fraction` or `top_plate.leave`",
}


def _held() -> set[str]:
    out: set[str] = set()
    for book_id in book_ids():
        book = load_book(book_id)
        out |= set(book.values) | set(book.tables)
    return out


def _excused(value_id: str) -> bool:
    return any(fnmatch(value_id, pattern) for pattern in UNREAD)


def test_every_value_is_read_or_excused() -> None:
    held = _held()
    assert sorted(i for i in held - asked() if not _excused(i)) == []


def test_no_excuse_is_left_over() -> None:
    held = _held()
    silent = held - asked()
    assert [p for p in UNREAD if not any(fnmatch(i, p) for i in silent)] == []
    assert [p for p in UNREAD if "*" not in p and p not in silent] == []


def test_the_count_of_excuses_only_goes_down() -> None:
    held = _held()
    assert len(held - asked()) <= 141


@pytest.mark.parametrize("book_id", ["ipc-2021", "irc-2021", "npc-2020", "upc-2021"])
def test_vertical_is_within_45_degrees_in_every_book(book_id: str) -> None:
    assert load_book(book_id).value("vent.vertical_within").number == 45


def test_whole_and_put_together_ids_are_found() -> None:
    """One id that stands whole, one of a stem and a word, one of a prefix and a word, one of a word in its midst."""
    assert asked() >= {"trap_arm.min_diameters", "stud_bore.nonbearing_leave", "aav.allowed", "support.vertical"}
    assert not asked() & {"joist_notch.fraction", "top_plate.tie_past", "aav.standard"}


def test_a_check_asks_for_its_own_values_only() -> None:
    assert of_check("ARM002") == {"trap_arm.min_diameters"}
    assert "cleanout.sewer_spacing" in of_check("CLO005")
    assert "cleanout.sewer_spacing" not in of_check("CLO004")
