"""Work in place and layouts kept: what is installed does not move by a tenth of a millimetre, whatever else changes.

Expected places are those of the accepted layout itself: the property tested is that nothing moves.
"""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path

import pytest

from stubout import run, run_change
from stubout.change.installed import in_place
from stubout.change.judged import Judged
from stubout.change.keep import hung_on
from stubout.change.moved import lies_as, moved
from stubout.change.shifted import shifted
from stubout.files.demo import demo_text
from stubout.files.jobs import read_job_text
from stubout.house.facts import Installed
from stubout.house.model import HouseFixture
from stubout.job.starter import starter_text
from stubout.layout.model import PointKind, VentMethod
from stubout.sheets.all import sheets

EXAMPLES = Path(__file__).parents[2] / "examples"
WALL = "\ninstalled:\n  - walls: {wall}\n    date: 2030-03-01\n    by: Plumber P\n"
STILL_MM = 0.1
WASHER = 'side: left\n    at: {}\n    outlet: 2"'
WASHERS = (WASHER.format("3'-4\""), WASHER.format("2'-4\""))
SINKS = ("at: 8'-2 1/4\"\n    drain: 1'-3 3/4\", 8'-7 3/4\"", "at: 8'-4\"\n    drain: 1'-3 3/4\", 8'-9 1/2\"")

pytestmark = pytest.mark.usefixtures("laid_out_once")


def text_of(job: str) -> str:
    """Return the text of a house that is drawn once: what is accepted may be any layout."""
    text = demo_text() if job == "demo" else next(EXAMPLES.glob(f"{job}*.yaml")).read_text(encoding="utf-8")
    return f"{text}\nchoices:\n  - drawn: as usual\n"


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
    assert (*got.keeping.anew, *got.keeping.along) == (anew,)
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
    assert set(asked[0].about) == in_place(design.house, design.network, design.house.installed[0])
    assert "V1" in asked[0].about
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


CABIN = Path(__file__).with_name("cabin.yaml")
INSTALLED = Installed((), (), (), (), "2030-03-01", "crew")
CABIN_WALL = "\ninstalled:\n  - walls: P\n    date: 2030-03-01\n    by: crew\n"


@pytest.fixture(scope="module")
def cabin() -> Judged:
    return run.planned(read_job_text(CABIN.read_text(encoding="utf-8")))


def test_a_sink_set_over_by_little_takes_its_arm_along_and_nothing_else(tmp_path: Path, cabin: Judged) -> None:
    """The trap arm lies along the wall: it is cut 50 mm longer. The sink is vented by a loop that is read as one."""
    text = CABIN.read_text(encoding="utf-8")
    assert text.count("at: 6200") == 1
    got = kept(tmp_path, text, text.replace("at: 6200", "at: 6150") + CABIN_WALL)
    assert got.keeping.new_faults == ()
    assert (got.keeping.along, got.keeping.anew) == (("KS",), ())
    now = got.keeping.judged.design
    arm = next(t.arm_runs for t in cabin.design.network.traps if t.tag == "KS")
    ends = {p.id: (p.a, p.b) for p in now.network.pipes}
    off = [p.id for p in cabin.design.network.pipes if p.a.to(ends[p.id][0]) + p.b.to(ends[p.id][1]) > 0.1]
    assert tuple(off) == arm
    (i,) = arm
    was, is_now = cabin.design.network.pipe(i), now.network.pipe(i)
    assert is_now.length_mm == pytest.approx(was.length_mm + 50.0, abs=0.1)
    assert is_now.slope == pytest.approx(was.slope, abs=1e-4)
    (loop,) = [t for t in now.network.traps if t.tag == "KS"]
    assert loop.method is VentMethod.LOOP
    assert any("Moved along" in w for w in run_change.kept_words(got))


def test_an_installed_vent_holds_its_foot_down_to_the_sewer(cabin: Judged) -> None:
    """The tub's vent leans below the floor to its arm, which nobody has said to be in place."""
    net = cabin.design.network
    tub = next(t for t in net.traps if t.tag == "BT1")
    up = next(i for i in tub.vent_runs if net.pipe(i).place.kind == "wall" and net.pipe(i).vertical)
    foot = tub.vent_runs[: tub.vent_runs.index(up)]
    assert foot
    held = hung_on(net, (up,))
    assert {*foot, *tub.arm_runs} <= held
    (below,) = [i for i in net.node(tub.takeoff).outflow if net.pipe(i).system == "drain"]
    assert {below, *(p.id for p in net.downstream(net.pipe(below)))} <= held
    assert any(net.node(net.pipe(i).end).kind is PointKind.SEWER for i in held)
    assert any(net.node(net.pipe(i).end).kind is PointKind.TERMINAL for i in held)
    assert not set(tub.arm_runs) & hung_on(net, (up,), {"BT1"}), "the arm of a changed fixture is laid out anew"


def test_a_vent_that_takes_others_in_holds_one_way_down(cabin: Judged) -> None:
    net = cabin.design.network
    both = next(p for p in net.vents() if len(p.tags) > 1 and p.vertical and len(net.node(p.start).inflow) > 1)
    held = hung_on(net, (both.id,))
    below = [i for i in net.node(both.start).inflow if i in held]
    assert len(below) == 1
    assert net.pipe(below[0]).vertical


def test_a_fixture_moved_far_or_across_the_pipes_of_others_is_not_set_over(cabin: Judged) -> None:
    old = cabin.design

    def moved_by(tag: str, mm: float) -> frozenset[str]:
        def there(f: HouseFixture) -> HouseFixture:
            way = old.house.wall(f.wall_id).along.times(mm)
            return replace(
                f, station_mm=(f.station_mm or 0.0) + mm, outlet=None if f.outlet is None else f.outlet.plus(way)
            )

        fixtures = tuple(there(f) if f.tag == tag else f for f in old.house.fixtures)
        return shifted(old, replace(old.house, fixtures=fixtures), (tag,), ()).tags

    assert moved_by("KS", -300.0) == {"KS"}
    assert moved_by("KS", -301.0) == frozenset()
    arm = old.network.pipe(next(t.arm_runs[0] for t in old.network.traps if t.tag == "KS"))
    assert moved_by("KS", arm.plan_mm - 1.0) == {"KS"}
    assert moved_by("KS", arm.plan_mm + 1.0) == frozenset(), "its arm would be cut shorter than nothing"
    fixed = shifted(old, replace(old.house, fixtures=()), ("KS",), ())
    assert fixed.design is old


def test_an_upright_pipe_is_in_place_with_every_wall_it_comes_through(cabin: Judged) -> None:
    house, net = cabin.design.house, cabin.design.network
    other = replace(house.wall("P"), id="X")  # a wall that says it stands where P does: no pipe lies in it by name
    aside = replace(other, start=other.start.plus(other.leftward.times(300.0)), end=other.end.plus(
        other.leftward.times(300.0)
    ))  # fmt: skip
    said = replace(INSTALLED, walls=("X",))
    upright = {p.id for p in net.pipes if p.vertical and house.wall("P").stands_in(p.a, p.b) and p.place.kind == "wall"}
    arms = {i for t in net.traps for i in t.arm_runs}
    assert upright
    assert in_place(replace(house, walls=(*house.walls, other)), net, said) - arms == upright - arms
    assert in_place(replace(house, walls=(*house.walls, aside)), net, said) == frozenset()
