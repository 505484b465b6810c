"""What a job leaves open is asked, never filled in silently; what contradicts itself is a fault."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace
from typing import Any

import pytest

from stubout.files.books import load_book
from stubout.files.jobs import read_job_text
from stubout.house.model import House
from stubout.house.questions import needed, unrepeated
from stubout.house.resolve import resolve
from stubout.job.model import Job
from stubout.job.starter import starter_text
from stubout.problems import JobFileError, Question
from stubout.rulebooks.frozen import Frozen

Resolved = Callable[[str], tuple[House, tuple[Question, ...]]]


def with_part(job: Job, part: str, **changes: Any) -> Job:
    return job.model_copy(update={part: getattr(job, part).model_copy(update=changes)})


def with_fixture(job: Job, tag: str, **changes: Any) -> Job:
    fixtures = tuple(f.model_copy(update=changes) if f.tag == tag else f for f in job.fixtures)
    return job.model_copy(update={"fixtures": fixtures})


def asked(job: Job) -> dict[str, Question]:
    return {q.id: q for q in resolve(job)[1]}


def test_open_questions_of_the_plan_sets(resolved: Resolved) -> None:
    # section 8 of each house: Q1 to Q3 with who must answer
    owners = {name: [q.owner for q in resolved(name)[1] if q.id.startswith("Q")] for name in ("01", "02", "03")}
    assert owners["01"] == ["builder", "owner", "inspector"]
    assert owners["02"] == ["inspector", "engineer (slab, footings)", "builder"]
    assert owners["03"] == ["builder", "inspector", "inspector"]


def test_nothing_is_asked_twice(resolved: Resolved) -> None:
    # the file asks for the I-joist chart, the shower heads, the sewer invert and the test head: we do not ask again
    assert not {"ask-chart-main-floor", "ask-heads-SH3"} & {q.id for q in resolved("01")[1]}
    assert "ask-sewer" not in {q.id for q in resolved("02")[1]}
    assert "ask-test-head" not in {q.id for q in resolved("03")[1]}


def test_what_house_01_does_not_say(resolved: Resolved) -> None:
    own = {q.id: q for q in resolved("01")[1] if q.id.startswith("ask-")}
    assert set(own) == {"ask-gpf", "ask-heads-SH4", "ask-outlet-LV4", "ask-standpipe-AW"}
    assert all(q.blocks and q.assumed and q.owner and q.about for q in own.values())


def test_a_complete_job_asks_nothing(resolved: Resolved) -> None:
    assert resolved("drawn")[1] == ()
    assert resolved("demo")[1] == ()


def test_of_open_web_joists_the_openings_are_asked(job_of: Callable[[str], Job]) -> None:
    # a pipe goes through the openings between their webs: nobody bores one
    job = job_of("01").model_copy(update={"questions": ()})
    frames = tuple(f.model_copy(update={"member": "open-web"}) if f.carries == "main" else f for f in job.frames)
    said = asked(job.model_copy(update={"frames": frames}))["ask-chart-main-floor"]
    assert "Which openings between their webs line up" in said.text
    assert said.assumed == "no pipe through them"


def test_missing_chart_heads_and_head_are_asked(job_of: Callable[[str], Job]) -> None:
    job = job_of("01").model_copy(update={"questions": ()})
    found = asked(job)
    assert found["ask-chart-main-floor"].owner == "builder"
    assert "hole chart of the I-joists" in found["ask-chart-main-floor"].text
    assert found["ask-heads-SH3"].owner == "owner"
    assert "ask-test-head" in asked(job_of("03").model_copy(update={"questions": ()}))
    assert "ask-sewer" in asked(job_of("02").model_copy(update={"questions": ()}))


def test_missing_climate_is_asked_and_taken_as_frost(job_of: Callable[[str], Job]) -> None:
    job = with_part(job_of("demo"), "climate", frost_prone_vents=None, winter_design=None, snow=None)
    house, questions = resolve(job)
    assert {"ask-frost", "ask-snow"} <= {q.id for q in questions}
    assert house.climate.frost_prone_vents


def test_missing_fixture_sheet_is_asked(job_of: Callable[[str], Job]) -> None:
    job = with_fixture(job_of("demo"), "LV1", bowl=None, outlet=None, from_wall=None)
    found = asked(job)
    assert {"ask-height-LV1", "ask-outlet-LV1", "ask-from-wall-LV1"} <= set(found)
    assert resolve(job)[0].fixture("LV1").outlet_z_mm is None


def test_missing_floor_frame_roof_and_test_are_asked(job_of: Callable[[str], Job]) -> None:
    job = job_of("demo").model_copy(update={"frames": (), "roof": ()})
    assert {"ask-frame-main", "ask-frame-upper", "ask-roof"} <= set(asked(job))
    said = job_of("demo").job
    job = with_part(job_of("demo"), "job", test=said.test.model_copy(update={"method": "unknown", "head": None}))
    assert {"ask-test-method", "ask-test-head"} <= set(asked(job))


def test_flange_off_its_rough_in_is_asked(job_of: Callable[[str], Job]) -> None:
    f = next(f for f in job_of("demo").fixtures if f.tag == "WC1")
    assert f.drain is not None
    moved = with_fixture(job_of("demo"), "WC1", drain=(f.drain[0] + 10, f.drain[1]))
    assert "10 mm" in asked(moved)["ask-flange-WC1"].text
    near = with_fixture(job_of("demo"), "WC1", drain=(f.drain[0] + 2.9, f.drain[1]))
    assert "ask-flange-WC1" not in asked(near)


def test_cabinet_boxes_that_do_not_fill_their_run_are_asked(job_of: Callable[[str], Job]) -> None:
    job = job_of("demo")
    runs = tuple(c.model_copy(update={"to": (c.to or 0) + 10}) if c.id == "V1" else c for c in job.cabinets)
    assert asked(job.model_copy(update={"cabinets": runs}))["ask-run-V1"].owner == "cabinet maker"


@pytest.mark.parametrize("inches", [36.5, 37.0, 78.0])
def test_a_counter_beside_its_cabinet_is_asked(inches: float) -> None:
    # the vanity V1 of the starter stands from 1'-0" to 3'-0"
    text = starter_text("inch").replace("at: 2'-0\"\n    counter", f'at: {inches}"\n    counter')
    found = asked(read_job_text(text))["ask-cabinet-LV1"]
    assert found.owner == "cabinet maker"
    assert "no cabinet run holds station" in found.text
    assert 'on the left side of wall P: V1 stands from 12" (305 mm) to 3\'-0" (914 mm)' in found.text
    assert found.line == text[: text.index("  - tag: LV1")].count("\n") + 1


def test_a_counter_in_its_cabinet_or_without_one_asks_nothing_of_it() -> None:
    assert "ask-cabinet-LV1" not in asked(read_job_text(starter_text("inch")))
    at_the_end = starter_text("inch").replace("at: 2'-0\"\n    counter", "at: 3'-0\"\n    counter")
    assert "ask-cabinet-LV1" not in asked(read_job_text(at_the_end))
    text = starter_text("inch").replace(
        'at: 2\'-0"\n    counter: 34"\n    counter thick: 1 1/4"\n    bowl: 5"',
        'at: 5\'-0"\n    rim: 34"\n    bowl from: rim\n    bowl: 5"',
    )
    assert "bowl from: rim" in text
    assert "ask-cabinet-LV1" not in asked(read_job_text(text))


def test_unknown_names_are_faults_with_the_nearest_name(job_of: Callable[[str], Job]) -> None:
    job = with_fixture(job_of("demo"), "LV1", room="halfbath")
    with pytest.raises(JobFileError) as caught:
        resolve(job)
    (fault,) = caught.value.faults
    assert (fault.path, fault.found) == ("fixtures.LV1.room", "'halfbath'")
    assert fault.do == "Did you mean 'half bath'?"
    assert fault.line > 0


def test_all_faults_are_reported_at_once(job_of: Callable[[str], Job]) -> None:
    job = with_fixture(job_of("demo"), "LV1", room="nowhere")
    job = with_fixture(job, "KS", wall="Z")
    with pytest.raises(JobFileError) as caught:
        resolve(job)
    assert {f.path for f in caught.value.faults} == {"fixtures.LV1.room", "fixtures.KS.wall"}


def test_counter_of_fixture_and_cabinet_must_agree(job_of: Callable[[str], Job]) -> None:
    with pytest.raises(JobFileError) as caught:
        resolve(with_fixture(job_of("demo"), "KS", counter=900.0))
    assert caught.value.faults[0].path == "fixtures.KS.counter"


def test_flush_volume_is_asked_only_where_the_book_counts_by_it(job_of: Callable[[str], Job]) -> None:
    # NPC 2020: one row for every flush tank; IRC and UPC 2021: 3 or 4 units by 1.6 gal (tables of the rule books)
    questions = resolve(job_of("01"))[1]
    assert "ask-gpf" in {q.id for q in questions}
    by_book = {i: {q.id for q in needed(questions, load_book(i))} for i in ("npc-2020", "irc-2021", "upc-2021")}
    assert {i for i, ids in by_book.items() if "ask-gpf" in ids} == {"irc-2021", "upc-2021"}
    assert by_book["npc-2020"] == {q.id for q in questions} - {"ask-gpf"}


def test_flush_volume_is_asked_where_an_amendment_tells_by_it(job_of: Callable[[str], Job]) -> None:
    book = load_book("npc-2020")
    table = book.tables["fixture_load"]
    rows = tuple(
        replace(r, cell=replace(r.cell, value=6.0)) if r.inputs == ("water closet", "over 1.6 gpf") and r.cell else r
        for r in table.rows
    )
    amended = replace(book, tables=Frozen({**book.tables, "fixture_load": replace(table, rows=rows)}))
    assert "ask-gpf" in {q.id for q in needed(resolve(job_of("01"))[1], amended)}


def test_a_flush_question_of_the_job_itself_stays(job_of: Callable[[str], Job]) -> None:
    said = Question("Q9", "How much water a flush?", "owner", about=("closets", "flush"), line=7)
    assert needed((said,), load_book("npc-2020")) == (said,)


def test_a_question_of_the_job_stands_for_the_later_one_about_thing_and_topic() -> None:
    said = Question("Q3", "Valve or loop for KS?", "inspector", "vent of KS", about=("KS", "vent", "aav", "loop"))
    valve = Question("Q-KS-aav", "Is a valve accepted for KS?", "inspector", "rough-in", "a valve", ("KS", "aav"))
    other = Question("Q-KS-box", "May it drop in a box?", "builder", "rough-in", "a box", ("KS", "LB"))
    bare = Question("Q-KS", "What of KS?", "builder", about=("KS",))
    assert unrepeated((said,), (valve, other, bare)) == (replace(said, assumed="a valve"), other, bare)
    assert unrepeated((replace(said, assumed="a loop"),), (valve,)) == (replace(said, assumed="a loop"),)
    assert unrepeated((replace(said, about=("KS", "vent")),), (valve,))[1:] == (valve,)


@pytest.mark.parametrize("name", ["01", "03"])
def test_the_examples_name_valve_and_sink_in_their_question(resolved: Resolved, name: str) -> None:
    # house 01 Q3 and house 03 Q2, both of the inspector
    asks = [q for q in resolved(name)[1] if {"KS", "aav"} <= set(q.about)]
    assert [q.owner for q in asks] == ["inspector"]


def test_an_answered_question_is_kept_with_its_answer(job_of: Callable[[str], Job]) -> None:
    job = job_of("03")
    given = {"answer": " It stays vented. ", "answered_by": "Builder B", "date": "2030-02-01"}
    changed = tuple(q.model_copy(update=given) if q.id == "Q1" else q for q in job.questions)
    house, questions = resolve(job.model_copy(update={"questions": changed}))
    assert [(a.id, a.owner, a.answer, a.by, a.date, a.about) for a in house.answers] == [
        ("Q1", "builder", "It stays vented.", "Builder B", "2030-02-01", ("crawl", "heated"))
    ]
    assert "Q1" not in {q.id for q in questions}
    assert resolve(job)[0].answers == ()


OLD_DRAIN = """
routes:
  - {id: OS, system: drain, size: 3, through: ["0, 0, -4'", "0, 0, -5'"], into: OD, installed: old}
  - {id: OD, system: drain, through: ["0, 0, -5'", "1', 0, -61"], into: sewer, installed: old}
  - {id: OB, system: drain, through: ["2', 0, -58", "0, 0, -4'"], into: OS, installed: old}
  - {id: OV, system: vent, through: ["0, 0, -4'", "0, 0, 20'"], installed: old}
  - {id: ND, system: drain, through: ["3', 0, -58", "0, 0, -4'"], into: OS}
"""


def test_the_size_of_an_installed_pipe_is_asked_and_not_taken_as_the_least() -> None:
    """An old drain is as large as what it joins: as the connection, 4 in, where it is the last; else nobody knows."""
    job = read_job_text(starter_text("inch") + OLD_DRAIN)
    house, _ = resolve(job)
    sizes = {r.id: r.size_in for r in house.routes}
    assert sizes == {"OS": 3.0, "OD": float(job.sewer.size), "OB": None, "OV": None, "ND": None}
    found = {i: q for i, q in asked(job).items() if i.startswith("ask-size-")}
    assert set(found) == {"ask-size-OD", "ask-size-OB", "ask-size-OV"}
    assert "4 in, as the largest" in found["ask-size-OD"].assumed
    assert found["ask-size-OD"].line
    assert "rule book" in found["ask-size-OV"].assumed
    said = read_job_text(
        (starter_text("inch") + OLD_DRAIN).replace("id: OD, system: drain,", "id: OD, system: drain, size: 3,")
    )
    assert "ask-size-OD" not in asked(said)
