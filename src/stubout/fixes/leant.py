"""Vents that rise where their drain turns: taken off the straight drain beside, and leant over to there. [mm].

A vent that leans 45 degrees counts as upright. So it keeps its place in the wall, and its fitting stands in a straight
pipe.
"""

from __future__ import annotations

from collections.abc import Iterator

from stubout import units
from stubout.fabrication.model import FittingUse
from stubout.fixes.graph import leg_of
from stubout.fixes.model import FITTING, Candidate, Case, once
from stubout.fixes.redraw import Line, On, Redraw
from stubout.geometry.vec import Vec
from stubout.layout.model import PointKind
from stubout.network.model import Pipe

MORE_MM = (60.0, 120.0, 180.0, 260.0)  # from where the tee would stand: room for a bend and its sockets
RISE_MM = (100.0, 140.0, 180.0, 230.0)  # upright out of the fitting, before it leans over
END_MM = 60.0  # of a pipe, left at its other end
UP = Vec(0.0, 0.0, 1.0)


def leant(case: Case) -> Iterator[Candidate]:
    """Yield the vent of a fitting that stands beside its turn, taken off the pipe before the turn or after it."""
    net = case.net
    for use in case.design.fabrication.fittings:
        if use.id not in case.about:
            continue
        vents = [net.pipe(i) for i in use.pipes[2:] if i and net.pipe(i).system == "vent" and net.pipe(i).vertical]
        vents = [v for v in vents if v.start == use.node and v.plan_mm < 1.0]
        for vent in vents[:1]:
            for drain in (net.pipe(i) for i in use.pipes[:2] if i):
                if not drain.vertical and use.node in (drain.start, drain.end):
                    yield from _from(case, use, vent, drain)


def _from(case: Case, use: FittingUse, vent: Pipe, drain: Pipe) -> Iterator[Candidate]:
    """Yield the vent taken off one of the two pipes of a turn, at some distances from the turn."""
    turn = case.net.node(use.node)
    before = drain.end == use.node
    to = drain.a if before else drain.b
    way = to.minus(turn.at).unit()
    for more in MORE_MM:
        far = abs(use.beside_mm) + more
        if far > drain.length_mm - END_MM:
            return
        start = turn.at.plus(way.times(far))
        for rise in RISE_MM:
            low = start.plus(UP.times(rise))
            over = turn.at.at_z(low.z + low.minus(turn.at).plan_length)
            if over.z > vent.b.z - END_MM:
                continue
            line = Line(leg_of(vent.id), "vent", vent.size_in, On(drain.id, start), vent.end, (low, over), vent.tag)
            told = (
                f"Take {vent.id} off {drain.id}, {units.both(far, case.design.house.job.units)} "
                f"{'up' if before else 'down'} stream of the turn, and lean it over at 45 degrees to where it rises"
            )
            edit = Redraw(
                "route", (vent.id,), "at the turn", "beside it", told, gone=(vent.id,), lines=(line,),
                kinds=((use.node, PointKind.TURN),),
            )  # fmt: skip
            yield once(edit, cost=2 * FITTING + far + rise)
