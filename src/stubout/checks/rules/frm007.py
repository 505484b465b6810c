"""FRM007 pipe-through-member."""

import itertools
import math
from collections.abc import Callable, Iterable, Iterator
from dataclasses import dataclass
from functools import cached_property
from typing import NamedTuple

from stubout import units
from stubout.catalog import queries as catalog
from stubout.checks.base import TOUCH_TOL_MM, Findings, Review, check, trade
from stubout.checks.charts import off_opening_mm
from stubout.checks.facts import Arm, arms, hub_mm, od_mm
from stubout.checks.space import boxes_meet, segment_box
from stubout.checks.surroundings import around, pipe_box
from stubout.fabrication.bores import framed
from stubout.fabrication.hubs import couplings_on
from stubout.fabrication.members import Member
from stubout.fabrication.stretches import touched
from stubout.geometry.distance import segment_bounds
from stubout.geometry.vec import Box, Vec
from stubout.house.crossings import FLANGE_MM, WebOpenings
from stubout.house.framing import Wall
from stubout.house.model import Frame
from stubout.layout.model import UNDERGROUND
from stubout.network.model import Pipe
from stubout.problems import Finding, Level

NEAR_MM = 60.0  # a bore this near to the member's centre is the bore of this member
MEMBER_WORDS = {"sawn": "joist", "i-joist": "I-joist", "open-web": "open-web joist", "truss": "truss"}


class _Member(NamedTuple):
    """One joist, flange or stud."""

    owner: str
    word: str
    centre_mm: float
    box: Box
    way: Vec


@dataclass
class _Group:
    """The members of one frame or wall, with the box around them all; they are found where a pipe comes near."""

    whole: Box
    find: Callable[[], Iterable[_Member]]

    @cached_property
    def members(self) -> tuple[_Member, ...]:
        """Return the members."""
        return tuple(self.find())


@check("FRM007", "pipe-through-member", Level.STOP)
def rule(on: Review) -> Findings:
    """A pipe lies in a joist, truss or stud and no bore for it is on the list, or it lies in a wall plate.

    ## What it checks
    Every pipe in three dimensions against every joist and stud. Where it lies in one, the bore list must have a hole
    there (its size is FRM001), and a pipe that lies along a member is never right. A pipe that lies in a wall plate
    instead of passing it square cuts it: the builder has to agree to the notch. The hub of a coupling in a run is
    thicker than the hole of its pipe: it must stand clear of every stud, plate, joist, header and beam. So must a trap,
    from its inlet round its bend to its weir, as thick as its pipe: no hole lets a bend through. Its inlet is taken
    towards the outlet of its fixture where that is near, else in line with the arm, one trap swing before the weir.
    Open-web joists whose openings the job says are passed within the round that goes through them, and nowhere else.

    ## Why it matters
    The pipe is drawn where wood is.

    ## Fails
    A 3 in branch drawn across the joists; one that meets a web beside an opening; a riser drawn in a stud; a coupling
    in the hole of a stud; a shower's trap in a joist, a washer's across a stud.

    ## Passes
    A branch along the joist bay; an arm through studs, each with its bore.

    ## Does not check
    Risers through wall plates and floor panels, which the bore list carries; obstacles (CLA001). The hubs of a trap,
    and traps buried or in a closet.
    """
    yield from _in_plates(on)
    yield from _coupled(on)
    yield from _trapped(on)
    groups = _groups(on)
    webs = {f.id: f for f in on.house.frames if f.kind == "open-web" and f.openings is not None}
    told: set[tuple[str, str, str, float]] = set()
    for pipe in on.net.pipes:
        size_mm = od_mm(on, pipe.size_in)
        if size_mm is None or pipe.length_mm <= TOUCH_TOL_MM:
            continue
        space = pipe_box(pipe, size_mm / 2)
        near = [m for g in groups if boxes_meet(g.whole, space) for m in g.members if boxes_meet(m.box, space)]
        for owner, word, centre_mm, box, way in near:
            if (pipe.id, owner, word, centre_mm) in told:
                continue
            away_mm, at = segment_box(pipe.a, pipe.b, box)
            if size_mm / 2 - away_mm <= TOUCH_TOL_MM:
                continue
            web = webs.get(owner) if word == MEMBER_WORDS["open-web"] else None
            off_mm = math.inf if web is None else off_opening_mm(web, centre_mm, pipe, size_mm)
            if off_mm <= TOUCH_TOL_MM:
                continue
            along = abs(pipe.b.minus(pipe.a).unit().dot(way)) > 0.9
            bored = any(
                b.pipe == pipe.id
                and b.wall_or_frame == owner
                and b.verdict != "not allowed"
                and abs(b.station_mm - centre_mm) <= NEAR_MM
                for b in on.design.fabrication.bores
            )
            if bored and not along:
                continue
            told.add((pipe.id, owner, word, centre_mm))
            if web is not None and web.openings is not None and not along:
                yield _beside_opening(on, web, web.openings, pipe, (centre_mm, off_mm), at)
                continue
            name = f"the {word} at {units.length(centre_mm, on.house.job.units)} of {owner}"
            yield on.finding(
                about=(pipe.id, owner),
                found=f"{on.size(pipe.size_in)} {pipe.system} {pipe.id} lies {'along' if along else 'in'} {name}",
                wanted="a pipe in the bay" if along else "a bore that the framing book allows, or a pipe in the bay",
                do=f"move the pipe {on.mm(size_mm / 2 - away_mm)} out of the wood",
                why="The pipe is drawn where wood is.",
                bases=(trade("members", "pipe in the bay or through a bore"),),
                at=at,
            )


def _beside_opening(
    on: Review, frame: Frame, said: WebOpenings, pipe: Pipe, where: tuple[float, float], at: Vec
) -> Finding:
    """Return what is told of a pipe that meets a web or chord of an open-web joist."""
    centre_mm, off_mm = where
    round_word = on.mm(said.round_mm)
    off = f", {on.mm(off_mm)} outside the opening" if off_mm < frame.depth_mm else ""
    return on.finding(
        about=(pipe.id, frame.id),
        found=f"{on.size(pipe.size_in)} {pipe.system} {pipe.id} meets a web or chord of the open-web joist at "
        f"{units.length(centre_mm, on.house.job.units)} of {frame.id}{off}",
        wanted=f"a pipe within the {round_word} round that goes through an opening, or a pipe in the bay",
        do="lead the pipe through the middle of an opening, along the bay or below the joists; cut no web",
        why="The pipe is drawn where wood or steel is.",
        bases=(said.basis(f"{round_word} round"),),
        at=at,
        with_clause=False,
    )


def _in_plates(on: Review) -> Findings:
    """Yield the pipes that lie in a plate instead of passing square through it."""
    sizes = {p.id: (p.size_in, p.system) for p in on.net.pipes}
    for bore in on.design.fabrication.bores:
        if bore.verdict != "not allowed" or bore.member_kind not in ("top plate", "bottom plate"):
            continue
        size_in, system = sizes[bore.pipe]
        yield on.finding(
            about=(bore.pipe, bore.wall_or_frame),
            found=f"{on.size(size_in)} {system} {bore.pipe} lies in the {bore.member_kind} of {bore.wall_or_frame}",
            wanted="a pipe clear of the plate, or square through it",
            do="bring the pipe clear of the plate, or agree the notch and a strap over it with the builder",
            why="A plate cut along its length no longer ties the wall together.",
            bases=(trade("plates", "pipe clear of the plate, or square through it"),),
            at=bore.centre,
            level=Level.FIX,
            with_clause=False,  # the framing book's section speaks of joists and studs
        )


def _coupled(on: Review) -> Findings:
    """Yield the couplings in a run whose hub is where wood is."""
    runs = [(p, use) for p in on.net.pipes for use in couplings_on(on.design.fabrication, p)]
    frame = framed(on.house) if runs else ()
    for pipe, use in runs:
        hub, long = hub_mm(on, pipe.size_in), on.ask(catalog.coupling_mm, pipe.size_in)
        if hub is None or long is None:
            continue
        half = pipe.b.minus(pipe.a).unit().times(long / 2)
        a, b = use.at.minus(half), use.at.plus(half)
        space = segment_bounds(a, b, hub / 2)
        for member, box in frame:
            span = touched(member, a, b, hub / 2) if boxes_meet(box, space) else None
            if span is None or span.hi_mm - span.lo_mm <= TOUCH_TOL_MM:
                continue
            yield on.finding(
                about=(pipe.id, use.id, member.owner),
                found=f"the coupling {use.id} in {on.size(pipe.size_in)} {pipe.system} {pipe.id} stands "
                f"{on.mm(span.hi_mm - span.lo_mm)} in {member.name}",
                wanted="a coupling in the open bay",
                do="couple the run in the bay beside it, or in one piece where that can be put in",
                why="The hole is bored for the pipe; a hub does not go in.",
                bases=(trade("members", "couplings in the open bay"),),
                at=use.at,
                with_clause=False,  # the framing book speaks of holes
            )


def _trapped(on: Review) -> Findings:
    """Yield the traps whose body stands where wood is, each with the member it stands deepest in."""
    frame = framed(on.house)
    for arm in arms(on):
        size_in = arm.trap.trap_in
        size_mm = od_mm(on, size_in)
        swing, drop = on.ask(catalog.trap_reach_mm, size_in), on.ask(catalog.trap_drop_mm, size_in)
        if arm.closet or size_mm is None or swing is None or drop is None or arm.pipes[0].place.kind in UNDERGROUND:
            continue
        body = _body(arm, swing, drop - size_mm / 2)
        space = around(body).grown(size_mm / 2)
        deep: list[tuple[float, Member]] = []
        for member, box in frame:
            if boxes_meet(box, space):
                inner = Box(member.lo, member.hi)
                legs = itertools.pairwise(map(member.local, body))
                deep.append((size_mm / 2 - min(segment_box(a, b, inner)[0] for a, b in legs), member))
        deep = [d for d in deep if d[0] > TOUCH_TOL_MM]
        if not deep:
            continue
        _, member = max(deep, key=lambda d: d[0])
        yield on.finding(
            about=(arm.fixture.tag, arm.pipes[0].id, member.owner),
            found=f"the trap of {arm.fixture.tag} stands in {member.name}",
            wanted="a trap in the open bay, inlet to weir",
            do="move the fixture or its trap into the bay, or have the member headed off before it is framed",
            why="No hole lets the bend of a trap through: it cannot be put in.",
            bases=(trade("members", "traps in the open bay"),),
            at=arm.start,
            with_clause=False,  # the framing book speaks of holes
        )


def _body(arm: Arm, swing_mm: float, deep_mm: float) -> tuple[Vec, ...]:
    """Return the centre line of a trap: from its weir down, over to its inlet and up again."""
    weir, out = arm.start, arm.fixture.outlet
    back = arm.start.minus(next((p.b for p in arm.pipes if p.plan_mm > TOUCH_TOL_MM), arm.start)).at_z(0.0)
    if out is not None and TOUCH_TOL_MM < out.minus(weir).plan_length <= swing_mm + NEAR_MM:
        back = out.minus(weir).at_z(0.0)
    inlet = weir.plus(back.unit().times(swing_mm)) if back.length > TOUCH_TOL_MM else weir
    low = weir.z - deep_mm
    return weir, weir.at_z(low), inlet.at_z(low), inlet


def _groups(on: Review) -> list[_Group]:
    """Return every frame and wall with its joists and studs."""
    return [_joists(f) for f in on.house.frames] + [_studs(w) for w in on.house.walls]


def _joists(frame: Frame) -> _Group:
    """Return the members of a frame; an I-joist is its web and its two flanges."""
    way = Vec(1.0, 0.0) if frame.runs == "x" else Vec(0.0, 1.0)
    flanged = frame.kind == "i-joist" and 0.0 < frame.web_mm < frame.width_mm
    parts = [(frame.web_mm if flanged else frame.width_mm, frame.bottom_z_mm, frame.top_z_mm)]
    if flanged:
        parts.append((frame.width_mm, frame.bottom_z_mm, frame.bottom_z_mm + FLANGE_MM))
        parts.append((frame.width_mm, frame.top_z_mm - FLANGE_MM, frame.top_z_mm))

    def find() -> Iterator[_Member]:
        for centre in frame.centres_mm:
            for wide, lo, hi in parts:
                box = Box(
                    _at(frame, frame.along_lo_mm, centre - wide / 2, lo),
                    _at(frame, frame.along_hi_mm, centre + wide / 2, hi),
                )
                yield _Member(frame.id, MEMBER_WORDS[frame.kind], centre, box, way)

    whole = Box(
        _at(frame, frame.along_lo_mm, frame.across_lo_mm - frame.width_mm, frame.bottom_z_mm),
        _at(frame, frame.along_hi_mm, frame.across_hi_mm + frame.width_mm, frame.top_z_mm),
    )
    return _Group(whole, find)


def _at(frame: Frame, along: float, across: float, z: float) -> Vec:
    """Return a point of a frame from its own coordinates."""
    return Vec(along, across, z) if frame.runs == "x" else Vec(across, along, z)


def _studs(wall: Wall) -> _Group:
    """Return the studs of a wall."""
    half = wall.depth_mm / 2

    def part(s0: float, s1: float, lo: float, hi: float) -> Box:
        return around([wall.point(s, z, o) for s in (s0, s1) for z in (lo, hi) for o in (-half, half)])

    def find() -> Iterator[_Member]:
        for stud in wall.studs:
            given = stud.hi_z_mm > stud.lo_z_mm
            lo = stud.lo_z_mm if given else wall.bottom_z_mm + wall.bottom_plate_mm
            hi = stud.hi_z_mm if given else wall.top_z_mm - wall.top_plate_mm
            box = part(stud.station_mm - stud.width_mm / 2, stud.station_mm + stud.width_mm / 2, lo, hi)
            word = stud.kind if stud.kind in ("stud", "post") else f"{stud.kind} stud"
            yield _Member(wall.id, word, stud.station_mm, box, Vec(0.0, 0.0, 1.0))

    return _Group(part(-half, wall.length_mm + half, wall.bottom_z_mm, wall.top_z_mm), find)
