"""FIT008 fitting-off-its-angle."""

from collections.abc import Iterator
from dataclasses import dataclass
from itertools import combinations

from stubout.catalog import queries as catalog
from stubout.catalog.shipped import SHIPPED
from stubout.checks.base import TOUCH_TOL_MM, Findings, Review, check
from stubout.checks.facts import pipe_of
from stubout.fabrication.model import FittingUse
from stubout.geometry.vec import Vec, angle_deg
from stubout.network.model import Pipe
from stubout.problems import Level

STRAIGHT_DEG = 180.0  # two directions that point away from each other
SQUARE_DEG = 90.0
BENDS = ("bend", "street")
BRANCHES = ("tee", "wye", "combination")


@dataclass(frozen=True, slots=True)
class _Corner:
    """One angle between two pipes: the fittings that are to make it, what they make and what is drawn [deg]."""

    uses: tuple[FittingUse, ...]
    pipes: tuple[Pipe, Pipe]
    made_deg: float
    drawn_deg: float


@check("FIT008", "fitting-off-its-angle", Level.FIX)
def rule(on: Review) -> Findings:
    """Two pipes are drawn at an angle that their fitting does not make.

    ## What it checks
    Every bend, tee, wye and combination: the angle between the pipes in its hubs against the angle the pattern is
    moulded to, with the play of the catalogue's figure; bends joined closely count together. Seen along the run, the
    two branches of a double fitting against a straight line, a side inlet against a right angle.

    ## Why it matters
    Pipe forced into a hub at another angle breaks the joint or leaves a gap that the cement does not fill.

    ## Fails
    Two pipes that turn by 40 degrees with an eighth bend, 45, between them.

    ## Passes
    An eighth bend on a turn of 44 degrees; a quarter bend at the foot of a stack above a drain with fall.

    ## Does not check
    Patterns that make no angle: couplings, bushings, traps, closet bends under a flange; what heat could bend.
    """
    play = on.ask(catalog.figure, "fitting angle play")
    if play is None:
        return
    told: set[str] = set()
    for corner in _corners(on):
        if abs(corner.drawn_deg - corner.made_deg) <= play.value:
            continue
        told.update(u.id for u in corner.uses)
        first = corner.uses[0]
        names = " and ".join(f"{u.pattern} {u.id}" for u in corner.uses)
        a, b = corner.pipes
        makes = "makes" if len(corner.uses) == 1 else "make"
        made = f"{makes} {corner.made_deg:g}" if corner.made_deg else "lets the run go straight through"
        yield on.finding(
            about=(first.id, a.id, b.id),
            found=f"{a.id} and {b.id} meet at {corner.drawn_deg:.1f} degrees, {names} {made}",
            wanted=f"the angle of the fitting, within {play.printed}",
            do=f"set the run {f'to {corner.made_deg:g} degrees' if corner.made_deg else 'straight'}, "
            "or choose bends that make the turn",
            why="Pipe forced into a hub at another angle leaves a joint that leaks.",
            bases=(play.basis,),
            at=first.at,
        )
    for use, (a, b), stand, drawn in _across(on):
        if abs(drawn - stand) <= play.value:
            continue
        told.add(use.id)
        yield on.finding(
            about=(use.id, a.id, b.id),
            found=f"{a.id} and {b.id} come into {use.pattern} {use.id} {drawn:.1f} degrees from each other, "
            f"its branches stand at {stand:g}",
            wanted=f"the angle of the fitting, within {play.printed}",
            do=f"turn one of the branches so that they stand at {stand:g} degrees, or give each a fitting of its own",
            why="Pipe forced into a hub at another angle leaves a joint that leaks.",
            bases=(play.basis,),
            at=use.at,
        )
    for use in on.design.fabrication.fittings:
        if abs(use.off_deg) > play.value and use.id not in told:
            yield on.finding(
                about=(use.id, *dict.fromkeys(i for i in use.pipes if i)),
                found=f"{use.pattern} {use.id} is {abs(use.off_deg):.1f} degrees off the turn it is to make",
                wanted=f"the angle of the fitting, within {play.printed}",
                do="change the angle of the run, or choose bends that make the turn",
                why="Pipe forced into a hub at another angle leaves a joint that leaks.",
                bases=(play.basis,),
                at=use.at,
            )


def _corners(on: Review) -> Iterator[_Corner]:
    """Yield every angle that fittings are to make, node by node."""
    by_node: dict[str, list[FittingUse]] = {}
    for use in on.design.fabrication.fittings:
        by_node.setdefault(use.node or use.id, []).append(use)
    for uses in by_node.values():
        pairs: dict[tuple[str, str], list[FittingUse]] = {}
        extra: dict[str, list[FittingUse]] = {}  # bends in the hub of another fitting, by their pipe
        for use in uses:
            if _kind(use) not in BENDS or len(use.pipes) != 2:
                continue
            if use.pipes[0] == use.pipes[1]:
                extra.setdefault(use.pipes[0], []).append(use)
            elif all(use.pipes):
                pairs.setdefault((use.pipes[0], use.pipes[1]), []).append(use)
        for (first, last), bends in pairs.items():
            corner = _corner(on, bends, (first, last), [sum(_turn(u) for u in bends)])
            if corner is not None:
                yield corner
        runs: set[tuple[str, ...]] = set()  # two fittings of one point share their run: its angle is told once
        for use in uses:
            if _kind(use) in BRANCHES and len(use.pipes) > 2:
                for corner in _of_branch(on, use, extra):
                    pair = tuple(p.id for p in corner.pipes)
                    if pair not in runs:
                        yield corner
                    if pair == use.pipes[:2]:
                        runs.add(pair)


def _across(on: Review) -> Iterator[tuple[FittingUse, tuple[Pipe, Pipe], float, float]]:
    """Yield the branches of each double or side-inlet fitting: how it makes them stand, and how they do [deg].

    Seen along the run, since how far each leans on it is another angle of the fitting.
    """
    bent = {(u.node, i) for u in on.design.fabrication.fittings if _kind(u) in BENDS for i in u.pipes}
    for use in on.design.fabrication.fittings:
        if _kind(use) not in BRANCHES or len(use.pipes) < 4 or not use.pipes[1]:
            continue
        run = pipe_of(on.net, use.pipes[1])
        branches = [p for i in use.pipes[2:] if (use.node, i) not in bent and (p := pipe_of(on.net, i)) is not None]
        for a, b in combinations(branches, 2):
            if run is None or min(p.length_mm for p in (a, b, run)) <= TOUCH_TOL_MM:
                continue
            axis = _away(run, use.at).unit()
            ways = [_away(p, use.at) for p in (a, b)]
            flat = [w.minus(axis.times(w.dot(axis))) for w in ways]
            if min(v.length for v in flat) <= TOUCH_TOL_MM:
                continue
            drawn = angle_deg(*flat)
            double = use.pattern.startswith("double") or abs(drawn - STRAIGHT_DEG) < abs(drawn - SQUARE_DEG)
            yield use, (a, b), STRAIGHT_DEG if double else SQUARE_DEG, drawn


def _of_branch(on: Review, use: FittingUse, extra: dict[str, list[FittingUse]]) -> Iterator[_Corner]:
    """Yield the angles of a branch fitting: of its run, straight but for bends in its hubs, and of each branch."""
    inlet, outlet, *branches = use.pipes
    if not outlet:
        return
    for other, own in ((inlet, 0.0), *((b, _turn(use)) for b in branches)):
        if not other:
            continue
        bends = [*extra.get(other, ()), *(extra.get(outlet, ()) if other == inlet else ())]
        more = sum(_turn(u) for u in bends)
        either = {own, STRAIGHT_DEG - own} if other != inlet else {own}  # a tee may take its branch against the outlet
        makes = sorted({abs(x + sign * more) for x in either for sign in (1.0, -1.0)})
        corner = _corner(on, [use, *bends], (other, outlet), makes)
        if corner is not None:
            yield corner


def _corner(on: Review, uses: list[FittingUse], ids: tuple[str, str], makes: list[float]) -> _Corner | None:
    """Return the angle between two pipes against the nearest of those the fittings make; None if it has no angle."""
    a, b = (pipe_of(on.net, i) for i in ids)
    if a is None or b is None or min(a.length_mm, b.length_mm) <= TOUCH_TOL_MM:
        return None
    drawn = STRAIGHT_DEG - angle_deg(_away(a, uses[0].at), _away(b, uses[0].at))
    return _Corner(tuple(uses), (a, b), min(makes, key=lambda m: abs(m - drawn)), drawn)


def _away(pipe: Pipe, at: Vec) -> Vec:
    """Return the direction in which a pipe leaves a fitting."""
    return pipe.b.minus(pipe.a) if pipe.a.to(at) <= pipe.b.to(at) else pipe.a.minus(pipe.b)


def _kind(use: FittingUse) -> str:
    """Return the kind of pattern, empty where the catalogue does not know it."""
    pattern = SHIPPED.patterns.get(use.pattern)
    return "" if pattern is None else pattern.kind


def _turn(use: FittingUse) -> float:
    """Return the angle a pattern is moulded to [deg]."""
    return SHIPPED.patterns[use.pattern].turn_deg
