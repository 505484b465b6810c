"""The numeric limits the checks go by, and where each is tried just inside and just outside.

A limit is a number or table of a book that a check asks for (read out of the code by `docs/paging/asking.py`), or a
figure of the trade that stands in a check as a constant. A pair is an `edge` of the tables of this folder, which names
its limit (`source`, or `limits_of` where it is another or there are several), or a test on the small bath.
"""

from __future__ import annotations

import ast
from dataclasses import dataclass
from functools import cache
from pathlib import Path

from paging.asking import of_check
from paging.shelf import by_table

import stubout
from seeding.table import edges
from stubout.checks.registry import CHECKS
from stubout.files.books import book_ids, known_values, load_book

ROOT = Path(stubout.__file__).parent / "checks"
TESTS = Path(__file__).parents[3] / "tests" / "checks"

# Limit -> the test on the small bath that tries it: file and function.
ON_THE_BATH = {
    "aav.open_vents": "test_vents.py::test_no_vent_outdoors",
    "vent.outdoor_count": "test_vents.py::test_no_vent_outdoors",
    "approved_slope": "test_limits.py::test_slope_by_leave_of_the_authority",
    "circuit_vent.max_fixtures": "test_methods.py::test_eight_fixtures_on_one_circuit_vent",
    "circuit_vent.relief_closets": "test_methods.py::test_relief_below_a_stack_from_four_closets_on",
    "circuit_vent.slope_max": "test_methods.py::test_circuit_branch_at_one_in_twelve",
    "circuit_vent.turn": "test_methods.py::test_circuit_branch_turns_by_45_degrees",
    "cleanout.crawl_height": "test_drains.py::test_cleanout_in_a_crawl_space_has_height",
    "cleanout.sewer_junction_within": "test_limits.py::test_cleanout_near_where_the_drain_leaves",
    "cleanout.steep_free": "test_book_rules.py::test_a_steep_drain_needs_no_cleanout_at_its_end",
    "cleanout.trap_steps": "test_limits.py::test_a_removable_trap_serves_a_drain_one_size_larger",
    "cleanout.turn": "test_limits.py::test_turns_without_a_cleanout",
    "cleanout.turn_serves": "test_limits.py::test_where_the_book_gives_no_reach_it_is_five_feet",
    "cleanout.underfloor_vertical": "test_drains.py::test_cleanout_in_a_crawl_space_has_height",
    "closet.between": "test_book_rules.py::test_two_closets_side_by_side",
    "combination.branch_max": "test_methods.py::test_combination_branch_of_15_ft",
    "fitting.double_tee_closet": "test_drains.py::test_cross_flow",
    "fitting.double_tee_steps_over": "test_drains.py::test_barrel_of_a_double_sanitary_tee",
    "fitting.vent_pattern_from": "test_drains.py::test_vent_bend_below_rim",
    "floor_drain.unvented_fall_diameters": "test_limits.py::test_fall_of_a_floor_drain_without_vent",
    "hanger": "test_limits.py::test_supports_of_plastic_pipe",
    "joist_bore.between": "test_book_rules.py::test_wood_between_two_holes",
    "plate.trigger": "test_limits.py::test_nail_plate_where_a_pipe_is_near_the_face",
    "protect.freezing_below": "test_limits.py::test_where_it_freezes",
    "single_stack.closet_arm": "test_methods.py::test_way_to_a_single_stack",
    "single_stack.closets_3in": "test_methods.py::test_closets_on_a_single_stack_of_three_inch",
    "single_stack.other_arm": "test_methods.py::test_way_to_a_single_stack",
    "stack.offset_from": "test_methods.py::test_offset_of_a_stack",
    "stack_foot.storeys_from": "test_drains.py::test_joint_near_stack_foot",
    "stack_vent_length": "test_limits.py::test_length_of_a_stack_vent",
    "stud_bore.nonbearing_leave": "test_vents.py::test_studs_that_take_no_hole_for_the_larger_vent",
    "suds.size_factor_after": "test_methods.py::test_suds_zone_after_a_turn",
    "suds.size_factor_before": "test_methods.py::test_suds_zone_before_a_turn",
    "suds.turn_from": "test_methods.py::test_turn_that_makes_suds",
    "suds.vertical_max": "test_methods.py::test_suds_zone_before_a_turn",
    "suds.washers_from": "test_methods.py::test_washers_that_make_suds",
    "terminal.frost_above_roof": "test_book_rules.py::test_terminal_higher_where_frost_may_close_it",
    "trap_arm_turn": "test_limits.py::test_turns_of_an_arm",
    "trap_size_by_heads": "test_limits.py::test_trap_by_heads_of_a_shower",
    "vent.horizontal_part": "test_vents.py::test_third_of_a_vent_may_lie",
    "vent.long_steps": "test_limits.py::test_a_long_vent_is_one_size_larger",
    "vent_max_length": "test_gaps_closed.py::test_a_branch_vent_is_judged_by_its_own_load",
    "wet_vent.arm_max_size": "test_vents.py::test_large_arm_on_wet_vent",
    "wet_vent.groups": "test_limits.py::test_bathrooms_on_one_wet_vent",
    "wet_vent.least": "test_limits.py::test_least_wet_vent_of_the_upc",
    "wet_vent.max_closets": "test_limits.py::test_closets_on_one_wet_vent",
    "wet_vent.vertical_fixtures": "test_book_rules.py::test_fixtures_on_an_upright_wet_vent",
    "wet_vent.vertical_length": "test_book_rules.py::test_length_of_an_upright_wet_vent",
    # figures of the trade
    "cla003.JACK_MM": "test_trade_figures.py::test_a_header_bears_on_a_jack_at_each_side",
    "cla005.ONE_PLACE_MM": "test_trade_figures.py::test_pieces_that_meet_in_one_place_are_told_once",
    "cla005.SAME_WAY_DEG": "test_trade_figures.py::test_pipes_that_leave_a_point_side_by_side",
    "cla005.SHORT_MM": "test_trade_figures.py::test_pipes_tied_by_a_short_piece_belong_together",
    "cla006.OVER_BOX_MM": "test_pipes_in_sight.py::test_the_vent_in_the_box_around_its_drop",
    "cla009.HALF_MM": "test_trade_figures.py::test_zone_of_a_wall_faucet",
    "cla009.HIGH_MM": "test_trade_figures.py::test_zone_of_a_wall_faucet",
    "clo001.NEAR_MM": "test_trade_figures.py::test_at_the_base_of_a_stack_is_within_a_metre",
    "clo002.NEAR_MM": "test_trade_figures.py::test_a_cleanout_at_the_upper_end_is_within_five_feet",
    "clo003.AT_MM": "test_limits.py::test_how_far_a_cleanout_serves_turns",
    "clo004.NEAR_MM": "test_limits.py::test_cleanout_near_where_the_drain_leaves",
    "clo009.NEAR_MM": "test_trade_figures.py::test_next_to_the_trap_is_within_a_metre",
    "clo010.SIDE_MM": "test_trade_figures.py::test_a_plug_beside_the_side_of_a_cabinet",
    "facts.USUAL_RIM_MM": "test_trade_figures.py::test_rims_no_sheet_gives",
    "flg001.BEND_MM": "test_trade_figures.py::test_a_point_so_far_below_the_floor_is_the_bend",
    "flg002.SET_MM": "test_trade_figures.py::test_what_a_closet_forgives",
    "frm007.NEAR_MM": "test_trade_figures.py::test_a_bore_near_a_member_is_the_bore_of_it",
    "isl002.ROOM_MM": "test_islands.py::test_where_the_counter_leaves_no_room_it_is_a_question",
    "stb005.PLAY_MM": "test_trade_figures.py::test_air_between_trap_and_drawer",
    "stb006.SIDE_MM": "test_trade_figures.py::test_a_stub_out_beside_the_side_of_a_cabinet",
    "surroundings.BODY_MM": "test_surroundings.py::test_what_stands_beside",
    "trp007.OFF_MM": "test_floor_traps.py::test_a_weir_off_the_height_that_the_job_fixes",
}

# Numbers that no geometry can pass by a little: why.
NO_LIMIT = {
    "aav.above_insulation": "the job does not say how thick the insulation is: VAL005 says that it is not judged",
    "fit008.STRAIGHT_DEG": "half a circle",
    "fit008.SQUARE_DEG": "a right angle",
    "fitting_turn": "yes or no by pattern and turn; test_drains.py tries both",
    "island.foot_above_rim": "no greater than `vent.tie_in_above_rim`, which is tried, in any book",
    "plate.thickness": "told with the plate that is missing; the job does not say how thick plates are",
    "protect.sleeve_clear": "told with the sleeve that GRD003 asks for; the job has no sleeves",
    "protect.sleeve_sizes": "told with the sleeve that GRD003 asks for; the job has no sleeves",
    "stud_bore.bearing_doubled_fraction": "of TRM007, which asks about single studs; FRM001 reads it off the hole",
    "sud001.MM_PER_INCH": "a unit",
    "vent.least_size": "the smallest pipe of the catalogue: nothing smaller can be laid",
}


@dataclass(frozen=True)
class Limit:
    """One limit: what it is, which checks go by it, and what each book says; no books for a figure of the trade."""

    id: str
    what: str
    checks: tuple[str, ...]
    books: dict[str, str]


@cache
def limits() -> dict[str, Limit]:
    """Return every limit by id, those of the books first."""
    asking: dict[str, list[str]] = {}
    for check in CHECKS:
        for value_id in of_check(check.id):
            asking.setdefault(value_id, []).append(check.id)
    found = {}
    for value_id in sorted(asking):
        books = _said(value_id)
        if books:
            found[value_id] = Limit(value_id, _what(value_id), tuple(asking[value_id]), books)
    return found | {i: Limit(i, what, (), {}) for i, what in sorted(figures().items())}


def _said(value_id: str) -> dict[str, str]:
    """Return the number a value has in each book that has one, "table" for a table."""
    out = {}
    for book in map(load_book, book_ids()):
        cell = book.values.get(value_id)
        if value_id in book.tables:
            out[book.id] = "table"
        elif cell is not None and isinstance(cell.value, int | float) and not isinstance(cell.value, bool):
            out[book.id] = f"{cell.number:.6g} {cell.unit}".removesuffix(" 1")
    return out


def _what(value_id: str) -> str:
    if value_id in known_values():
        return known_values()[value_id].what
    return next(raw.table.title for raw in by_table()[value_id])


@cache
def figures() -> dict[str, str]:
    """Return the figures of the trade that stand in the checks: "clo009.NEAR_MM" and what is written beside it.

    Tolerances (TOL) are no limits: every pair tries them.
    """
    found = {}
    for path in sorted(ROOT.rglob("*.py")):
        lines = path.read_text(encoding="utf-8").splitlines()
        for part in ast.parse("\n".join(lines)).body:
            if isinstance(part, ast.Assign) and isinstance(part.targets[0], ast.Name) and _numbers(part.value):
                name = part.targets[0].id
                if "TOL" not in name and name not in ("SIZES_IN", "ORDER"):
                    beside = lines[part.lineno - 1].partition("#")[2] or lines[part.lineno - 2].partition("#")[2]
                    found[f"{path.stem}.{name}"] = beside.strip()
    return found


def _numbers(value: ast.expr) -> bool:
    """Return whether a constant is a number, or a list of numbers by name."""
    parts = value.values if isinstance(value, ast.Dict) else [value]
    return bool(parts) and all(isinstance(v, ast.Constant) and isinstance(v.value, int | float) for v in parts)


@cache
def tried() -> dict[str, tuple[str, ...]]:
    """Return where each limit is tried: names of edges and of tests."""
    found: dict[str, list[str]] = {}
    for edge in edges():
        for limit in edge.limits_of or [edge.source]:
            found.setdefault(limit, []).append(edge.id.removeprefix("edge-"))
    for limit, test in ON_THE_BATH.items():
        found.setdefault(limit, []).append(test.partition("::")[2])
    return {i: tuple(found[i]) for i in sorted(found)}


def functions() -> dict[str, str]:
    """Return the tests on the small bath with their text: "test_x.py::test_y"."""
    return {
        f"{path.name}::{part.name}": ast.unparse(part)
        for path in sorted(TESTS.glob("test_*.py"))
        for part in ast.parse(path.read_text(encoding="utf-8")).body
        if isinstance(part, ast.FunctionDef)
    }
