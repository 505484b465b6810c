"""Choices that the job file makes for the layout: read, and refused with file and line."""

from __future__ import annotations

import pytest

from stubout.catalog.model import MM_PER_INCH as IN
from stubout.files.books import book_ids, framing_ids
from stubout.files.jobs import read_job_text
from stubout.house.facts import Choice
from stubout.house.site import choices
from stubout.job.model import Job
from stubout.job.starter import starter_text
from stubout.problems import JobFileError

STARTER = starter_text("inch")
LINES = STARTER.count("\n")


def read(more: str) -> Job:
    return read_job_text(STARTER + more, "house.yaml", book_ids(), framing_ids())


def test_each_entry_is_one_choice() -> None:
    job = read(
        "choices:\n  - drawn: short ways\n  - {fixture: LV1, vent not in: P, near: 2'-1\"}\n"
        "  - {fixture: LV1, joins not near: [3', 0]}\n  - {fixture: WC1, not vented by: wet}\n"
        "  - stack not near: 3', 3'\n  - {fixture: LV1, not through walls: yes}\n"
    )
    assert choices(job) == (
        Choice(drawn="short ways"),
        Choice(tag="LV1", vent_not_in="P", near_mm=25 * IN),
        Choice(tag="LV1", joins_not_near=(36 * IN, 0.0)),
        Choice(tag="WC1", not_vented_by="wet"),
        Choice(stack_not_near=(36 * IN, 36 * IN)),
        Choice(tag="LV1", not_through_walls=True),
    )
    assert choices(read("")) == ()


@pytest.mark.parametrize(
    ("entry", "said"),
    [
        ("fixture: LV1", "no choice, wanted one of `drawn`"),
        ("drawn: short ways, stack not near: [1', 2']", "`drawn` and `stack not near`"),
        ("fixture: LV1, drawn: as usual", "fixture: found LV1, wanted no fixture here"),
        ("not vented by: wet", "wanted the tag of the fixture"),
        ("not through walls: yes", "wanted the tag of the fixture"),
        ("fixture: LV1, not through walls: no", "no choice, wanted one of `drawn`"),
        ("fixture: LV1, vent not in: P", "near: found nothing, wanted how far along the wall"),
        ("fixture: LV1, not vented by: wet, near: 2'", "wanted `near` only beside `vent not in`"),
        ("fixture: LV1, not vented by: circuit", "circuit"),
        ("drawn: backwards", "backwards"),
        ("fixture: LV9, not vented by: wet", "a fixture of this job"),
        ("fixture: LV1, vent not in: PP, near: 2'", "a wall of this job"),
    ],
)
def test_what_is_wrong_is_told_with_its_line(entry: str, said: str) -> None:
    with pytest.raises(JobFileError) as caught:
        read(f"choices:\n  - {{{entry}}}\n")
    told = [str(f) for f in caught.value.faults]
    assert any(t.startswith(f"house.yaml:{LINES + 2}") and said in t for t in told), told
