"""Work in place and layouts kept: what is installed does not move by a tenth of a millimetre, whatever else changes.

Expected places are those of the accepted layout itself: the property tested is that nothing moves.
"""

from __future__ import annotations

from pathlib import Path

import pytest

from stubout import run, run_change
from stubout.change.installed import in_place
from stubout.change.judged import Judged
from stubout.change.moved import lies_as, moved
from stubout.files.demo import demo_text
from stubout.files.jobs import read_job_text
from stubout.job.starter import starter_text
from stubout.sheets.all import sheets

EXAMPLES = Path(__file__).parents[2] / "examples"
WALL = "\ninstalled:\n  - walls: {wall}\n    date: 2030-03-01\n    by: Plumber P\n"
STILL_MM = 0.1
WASHER = 'side: left\n    at: {}\n    outlet: 2"'
WASHERS = (WASHER.format("3'-4\""), WASHER.format("2'-4\""))
SINKS = ("at: 8'-2 1/4\"\n    drain: 1'-3 3/4\", 8'-7 3/4\"", "at: 8'-4\"\n    drain: 1'-3 3/4\", 8'-9 1/2\"")

pytestmark = pytest.mark.usefixtures("laid_out_once")


def text_of(job: str) -> str:
    return demo_text() if job == "demo" else next(EXAMPLES.glob(f"{job}*.yaml")).read_text(encoding="utf-8")


def kept(folder: Path, accepted: str, changed: str) -> run_change.Kept:
    was, now = folder / "accepted.yaml", folder / "changed.yaml"
    was.write_text(accepted, encoding="utf-8")
    now.write_text(changed, encoding="utf-8")
    return run_change.kept(str(was), str(now))


def designed(text: str) -> Judged:
    return run.judged(read_job_text(text))


@pytest.mark.parametrize(
    ("job", "wall", "old", "new", "anew"),
    [("demo", "UP", *WASHERS, "AW"), ("03", "V", *SINKS, "KS")],
)
def test_an_installed_wall_stays_where_it_is(
    tmp_path: Path, job: str, wall: str, old: str, new: str, anew: str
) -> None:
    accepted = text_of(job) + WALL.format(wall=wall)
    assert accepted.count(old) == 1
    got = kept(tmp_path, accepted, accepted.replace(old, new))
    assert got.keeping.anew == (anew,)
    assert got.keeping.new_faults == ()
    was = got.was.design
    after = designed(got.text).design
    now = {p.id: p for p in after.network.pipes}
    installed = in_place(was.house, was.network, was.house.installed[0])
    assert len(installed) > 5
    for i in sorted(installed):
        before = was.network.pipe(i)
        pieces = [p for p in now.values() if p.id == i or p.id.rpartition(".")[0] == i]
        assert all(p.said == "installed" for p in pieces)
        assert lies_as(after, before), i
        for at in (before.a, before.b):
            assert min(at.to(q) for p in pieces for q in (p.a, p.b)) < STILL_MM
    assert not [q for q in after.questions if q.id.startswith("installed")]


def test_what_is_said_to_be_installed_and_not_held_is_asked() -> None:
    design = run.design(read_job_text(text_of("demo") + WALL.format(wall="UP")))
    asked = [q for q in design.questions if q.id.startswith("installed")]
    assert len(asked) == 1
    assert "V3" in asked[0].about
    assert "keep" in asked[0].assumed


@pytest.mark.parametrize(
    ("entry", "told", "about"),
    [
        ("runs: D99", "D99: said to be installed since {}, but this layout has no pipe called D99.", "D99"),
        ("walls: N", "N: said to be installed since {}, but this layout has no pipe there.", "N"),
    ],
)
def test_what_is_said_to_be_installed_and_is_not_there_is_asked(entry: str, told: str, about: str) -> None:
    text = starter_text("inch") + WALL.format(wall="P").replace("walls: P", entry)
    design = run.design(read_job_text(text))
    (asked,) = [q for q in design.questions if q.id.startswith("installed")]
    assert asked.id == "installed-1-unknown"
    assert asked.text.startswith(told.format("2030-03-01, Plumber P"))
    assert asked.about == (about,)
    assert asked.line == text[: text.index(f"  - {entry}")].count("\n") + 1


def test_a_fixture_moved_off_its_installed_pipe_is_told_and_the_pipe_stays(tmp_path: Path) -> None:
    accepted = text_of("demo") + WALL.format(wall="P")
    changed = accepted.replace(*WASHERS)
    got = kept(tmp_path, accepted, changed)
    arm = next(p for p in got.was.design.network.pipes if p.tag == "AW" and p.role.value == "trap arm")
    assert lies_as(got.keeping.judged.design, arm)
    assert any("AW" in f.about for f in got.keeping.judged.open), "the washer box stands 12 in from its stub-out"


def test_a_fixture_taken_away_leaves_a_dead_end(tmp_path: Path) -> None:
    accepted = text_of("demo") + WALL.format(wall="P")
    begin = accepted.index("  - tag: AW")
    end = accepted.index("  - tag: KS")
    got = kept(tmp_path, accepted, accepted[:begin] + accepted[end:])
    assert any("nothing drains into" in b.constraint for b in got.keeping.judged.design.blocked)


def test_keeping_twice_writes_the_same_file(tmp_path: Path) -> None:
    accepted = text_of("demo") + WALL.format(wall="UP")
    once = kept(tmp_path, accepted, accepted)
    twice = kept(tmp_path, once.text, once.text)
    assert {r.id for r in once.keeping.routes} == {r.id for r in twice.keeping.routes} | {
        r.id for r in read_job_text(once.text).routes if r.installed
    }
    assert not [r for r in twice.keeping.routes if r.installed], "what the file holds already is not written again"
    was, now = (designed(t).design for t in (once.text, twice.text))
    assert all(lies_as(now, p) for p in was.network.pipes)


def test_a_job_in_millimetres_is_kept_where_it_is(tmp_path: Path) -> None:
    """Its routes are written in bare numbers, which count in the units of the job."""
    accepted = starter_text("mm") + WALL.format(wall="P")
    got = kept(tmp_path, accepted, accepted)
    after = designed(got.text).design
    assert got.keeping.new_faults == ()
    assert [p.id for p in after.network.pipes if p.said == "installed"]
    assert all(lies_as(after, p) for p in got.was.design.network.pipes)


def test_nothing_moved_between_a_job_and_itself() -> None:
    one = designed(demo_text()).design
    drawn = sheets(one)
    m = moved(one, one, drawn, drawn)
    assert (m.pipes, m.marks, m.pieces, m.sheets, m.other_words, m.new_pieces) == ((), (), (), (), (), 0)
    assert m.kept_pipes == m.all_pipes == len(one.network.pipes)
    assert m.good_sheets == len(drawn)


def test_the_comments_of_the_file_stay(tmp_path: Path) -> None:
    accepted = text_of("demo") + WALL.format(wall="UP")
    got = kept(tmp_path, accepted, accepted)
    assert got.text.startswith(accepted.rstrip("\n"))
