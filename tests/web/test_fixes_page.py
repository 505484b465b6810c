"""A fix applied with one tap: looked for and planned in the other process, written, planned, gone; all of it real."""

from __future__ import annotations

import re
import time
from dataclasses import replace
from pathlib import Path

import pytest
from web_client import Browser

from stubout.run_field import texts
from stubout.run_field.model import Said
from stubout.store import jobs
from stubout.web import mending
from stubout.web.office import Office, opened
from stubout.web.pages_fixes import Fix, fix_of
from stubout.web.plans import Plan

DRAWN = (Path(__file__).parents[2] / "examples" / "drawn-bath.yaml").read_text(encoding="utf-8")
CAB = '        back: 1/4"\n'
DRAWER = f'{CAB}        drawers:         # in front of the trap\n          - from: 16"\n            to: 24"\n'
LOW_VENT = DRAWN.replace("""12'-0 3/4", 50\"""", """12'-0 3/4", 40\"""")  # its first turn lies below the rim
SMALL_PLUG = DRAWN.replace("""size: 3"\n    through:\n      - 8'-0", -2'-0", -1'-4\"""",
                           """size: 2"\n    through:\n      - 8'-0", -2'-0", -1'-4\"""")  # fmt: skip
FLAT_READING = DRAWN + "\nrecords:\n  - {about: BD.4, what: slope, value: 0.5 %, date: 2030-01-02, by: Plumber P}\n"
MOST_S = 300.0


def brought(who: Browser, office: Office, text: str) -> int:
    """Bring a text in and wait for its plan; return the job."""
    answer = who.post("/jobs/import", files={"file": ("job.yaml", text.encode())}, follow_redirects=False)
    job = int(answer.headers["location"].rpartition("/")[2])
    assert office.plans.wait(text, job, MOST_S).state == "done"
    return job


def finding(office: Office, job: int, check: str) -> int:
    """Return the number of the first finding of a check."""
    field = opened(office, job).field
    assert field is not None
    return next(n for n, f in enumerate(field.findings, 1) if f.check == check)


def worked_out(office: Office, job: int, number: int) -> Fix:
    """Return the fix of a finding when nothing more is to come."""
    end = time.monotonic() + MOST_S
    while time.monotonic() < end:
        fix = fix_of(office, opened(office, job), number)
        assert fix is not None
        if not fix.waits:
            return fix
        time.sleep(0.1)
    raise AssertionError("the fix is not worked out")


def checks(office: Office, job: int) -> list[str]:
    text = jobs.revision(office.store, job).text
    assert office.plans.wait(text, job, MOST_S).state == "done"
    field = office.plans.field(office.plans.key(text))
    return [f.check for f in field.findings if f.level in mending.GRAVE]


@pytest.fixture(scope="module")
def drawer(office: Office, served: object, starter: int) -> str:
    text = texts.starter("inch").replace(CAB, DRAWER) + "\nchoices:\n  - drawn: as usual\n"  # drawn once, not searched
    assert text.count("drawers:") == 1
    return text


def test_a_drawer_cut_out_with_one_tap(plumber: Browser, office: Office, drawer: str) -> None:
    job = brought(plumber, office, drawer)
    number = finding(office, job, "STB005")
    first = plumber.get(f"/jobs/{job}/findings")  # asks for the fixes, and does not wait for them
    assert "Looking for a fix" in first.text or "PLANNED WITH IT" in first.text or "being planned" in first.text
    fix = worked_out(office, job, number)
    assert fix.mend is not None
    assert fix.outcome is not None
    assert (fix.mend.offer.asks, fix.outcome.state, fix.outcome.new) == ("cabinet maker", "gone", ())
    for path in (f"/jobs/{job}/findings", f"/jobs/{job}/findings/{number}", f"/jobs/{job}/findings/{number}/fix"):
        page = plumber.get(path).text
        assert "Have the drawer of V1.1 cut out from the back" in page, path
        assert "cabinet V1, box 1, drawer 1, cut out width: not said → " in page
        assert "First ask the cabinet maker" in page
        assert "Apply: the cabinet maker agrees" in page
        assert "every 2s" not in page  # nothing more is to come
    answer = plumber.post(f"/jobs/{job}/findings/{number}/fix", {"base": "1"})
    assert answer.url.path == f"/jobs/{job}/revisions/2"
    assert "GONE" in answer.text
    assert "NOT CLEARED" not in answer.text
    made = jobs.revision(office.store, job)
    assert (made.number, made.author) == (2, "Plumber P")
    assert made.note.startswith("fix for STB005 LV1, V1.1: Have the drawer of V1.1 cut out")
    assert made.note.endswith("(the cabinet maker agrees)")
    assert "# in front of the trap" in made.text
    assert [x for x in made.text.splitlines() if x not in drawer.splitlines()] == [
        '            cut out width: 2 3/8"', '            cut out depth: 8 3/4"',
    ]  # fmt: skip
    assert checks(office, job) == []  # planned anew, whole
    undone = plumber.post(f"/jobs/{job}/revisions/1/back", {"base": "2"})
    assert undone.status_code == 200
    assert jobs.revision(office.store, job).text == drawer
    assert checks(office, job) == ["STB005"]


def test_who_saved_meanwhile_is_not_written_over(plumber: Browser, office: Office, drawer: str) -> None:
    job = brought(plumber, office, drawer)
    number = finding(office, job, "STB005")
    worked_out(office, job, number)
    jobs.save(office.store, job, 1, drawer + "# theirs\n", "Helper H")
    answer = plumber.post(f"/jobs/{job}/findings/{number}/fix", {"base": "1"})
    assert answer.status_code == 409
    assert "Somebody saved revision 2 while you were at revision 1. Nothing was written." in answer.text
    assert jobs.revision(office.store, job).text == drawer + "# theirs\n"


def test_tapped_twice_is_written_once(plumber: Browser, office: Office, drawer: str) -> None:
    job = brought(plumber, office, drawer)
    number = finding(office, job, "STB005")
    worked_out(office, job, number)
    for _ in range(2):
        answer = plumber.post(f"/jobs/{job}/findings/{number}/fix", {"base": "1"})
        assert (answer.status_code, answer.url.path) == (200, f"/jobs/{job}/revisions/2")
    assert jobs.job(office.store, job).head == 2


def test_a_point_of_a_drawn_route_is_moved(plumber: Browser, office: Office) -> None:
    job = brought(plumber, office, LOW_VENT)
    was = checks(office, job)
    assert was == ["FIT008", "FIT009", "VNT003"]
    number = finding(office, job, "VNT003")
    fix = worked_out(office, job, number)
    assert fix.mend is not None
    assert fix.outcome is not None
    assert not fix.mend.offer.draws  # the routes are drawn already
    assert [re.sub(r"\d.*", "", g) for g in fix.outcome.gone] == ["FIX FIT"]
    page = plumber.get(f"/jobs/{job}/findings/{number}").text
    assert "route V-KS, point 2: 8&#39;-0&#34;, 12&#39;-0 3/4&#34;, 40&#34; → " in page
    assert "Gone as well: FIX FIT008" in page
    plumber.post(f"/jobs/{job}/findings/{number}/fix", {"base": "1"})
    assert checks(office, job) == ["FIT009"]  # told before too: a fix of its own
    assert jobs.revision(office.store, job).text.count("#") == LOW_VENT.count("#")


def test_a_cleanout_is_drawn_in(plumber: Browser, office: Office) -> None:
    job = brought(plumber, office, SMALL_PLUG)
    assert checks(office, job) == ["CLO004", "CLO007", "DRN014"]
    number = finding(office, job, "CLO004")
    worked_out(office, job, number)
    assert "route CO2: is written" in plumber.get(f"/jobs/{job}/findings/{number}").text
    plumber.post(f"/jobs/{job}/findings/{number}/fix", {"base": "1"})
    assert "CLO004" not in checks(office, job)
    assert texts.read_text(jobs.revision(office.store, job).text).routes[-1].id == "CO2"


def test_what_is_done_on_site_has_no_button(plumber: Browser, office: Office) -> None:
    job = brought(plumber, office, FLAT_READING)
    number = finding(office, job, "REC001")
    fix = worked_out(office, job, number)
    assert fix.mend is not None
    assert fix.mend.offer.cleared
    assert fix.outcome is None
    page = plumber.get(f"/jobs/{job}/findings/{number}").text
    assert "Fix tried:" in page
    assert "<b>No button:</b> it is done on site" in page
    assert f"/findings/{number}/fix" not in page
    answer = plumber.post(f"/jobs/{job}/findings/{number}/fix", {"base": "1"})
    assert answer.status_code == 400
    assert "it is done on site" in answer.text
    assert jobs.job(office.store, job).head == 1


def test_a_fix_nobody_has_worked_out_is_refused(plumber: Browser, fresh: int, office: Office) -> None:
    assert plumber.post(f"/jobs/{fresh}/findings/1/fix", {"base": "1"}).status_code == 400
    assert plumber.post(f"/jobs/{fresh}/findings/1/fix", {"base": "9"}).status_code == 404
    assert plumber.post(f"/jobs/{fresh}/findings/1/fix", {"base": "x"}).status_code == 400
    assert plumber.get(f"/jobs/{fresh}/findings/999").status_code == 404
    assert plumber.get(f"/jobs/{fresh}/findings/0").status_code == 404
    forged = plumber.post(f"/jobs/{fresh}/findings/1/fix", {"csrf": "0" * 64, "base": "1"})
    assert forged.status_code == 403
    assert jobs.job(office.store, fresh).head == 1


def test_the_plan_decides_and_not_the_copy(office: Office, starter: int) -> None:
    """A plan that has the finding still, has another of any check, or leaves something out, is no proof."""
    field = opened(office, starter).field
    assert field is not None

    def said(check: str, *about: str, level: str = "FIX", accepted: str = "") -> Said:
        return Said(level, check, "", about, "found", "", "", "", "", "", 0, "", accepted)

    plan = Plan("", "done")
    before = replace(field, findings=(said("AAA001", "A"), said("BBB001", "B")), blocked=(), not_checked=())

    def state(*now: Said, **other: tuple[Said, ...]) -> str:
        after = replace(before, findings=now, **other)
        return mending.judged(before, after, 1, plan).state

    assert state(said("BBB001", "B")) == "gone"
    assert state(said("BBB001", "other number")) == "gone"
    assert state() == "gone"
    assert state(said("BBB001", "B"), said("CCC001", "C", level="NOTE")) == "gone"
    assert state(said("BBB001", "B"), said("CCC001", "C", accepted="I, 2030")) == "gone"
    assert state(said("AAA001", "A")) == "stays"
    assert state(said("AAA001", "other number")) == "stays"
    assert state(said("BBB001", "B"), said("CCC001", "C")) == "stays"
    assert state(said("BBB001", "B"), said("BBB001", "C")) == "stays"
    assert state(blocked=(said("", "D1"),)) == "stays"
    assert state(not_checked=(said("AAA001"),)) == "stays"


def test_words_of_the_file_are_escaped(plumber: Browser, office: Office, drawer: str) -> None:
    text = drawer.replace("id: V1", "id: '<b>V1'").replace("title: Lavatory", "title: <script>x")
    job = brought(plumber, office, text)
    number = finding(office, job, "STB005")
    worked_out(office, job, number)
    for path in (f"/jobs/{job}/findings", f"/jobs/{job}/findings/{number}"):
        page = plumber.get(path).text
        assert "&lt;b&gt;V1" in page
        assert "<b>V1" not in page


def test_planning_the_job_comes_before_its_fixes(plumber: Browser, office: Office, drawer: str) -> None:
    """Who saves while fixes are looked for does not wait for them."""
    job = brought(plumber, office, drawer + "# once more\n")
    revision = jobs.revision(office.store, job)
    assert mending.asked(office.plans, revision).state in ("waiting", "running")
    later = drawer + "# and again\n"
    assert office.plans.wait(later, job, MOST_S).state == "done"
    key = office.plans.key(revision.text, kind="fixes")
    known = office.plans.state(key)
    assert known is None or known.state == "done"  # given up, unless it was quicker


def test_one_fix_of_a_job_is_planned_after_the_other(plumber: Browser, office: Office) -> None:
    """The queue of plans is not filled by one job whose findings somebody looks at."""
    job = brought(plumber, office, SMALL_PLUG + "# alone\n")
    end = time.monotonic() + MOST_S
    while office.plans.state(mending.asked(office.plans, jobs.revision(office.store, job)).key).state != "done":
        assert time.monotonic() < end
        time.sleep(0.1)
    most = 0
    while time.monotonic() < end:
        page = plumber.get(f"/jobs/{job}/findings").text
        waiting = [w for w in dict(office.plans._waiting).values() if w.beside == job]
        most = max(most, len(waiting) + int(bool(office.plans._now and office.plans._now[0].beside == job)))
        if "being planned with it" not in page:
            break
        time.sleep(0.1)
    assert page.count("PLANNED WITH IT") == 3
    assert most == 1
