"""What a job leaves open is asked, never filled in silently; what contradicts itself is a fault."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any

import pytest

from stubout.house.model import House
from stubout.house.resolve import resolve
from stubout.job.model import Job
from stubout.problems import JobFileError, Question

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


def test_missing_chart_heads_and_head_are_asked(job_of: Callable[[str], Job]) -> None:
    job = job_of("01").model_copy(update={"questions": ()})
    found = asked(job)
    assert found["ask-chart-main-floor"].owner == "builder"
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
