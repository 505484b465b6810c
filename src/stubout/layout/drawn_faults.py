"""What is wrong with hand-drawn routes: unknown names, gaps, loose ends. Said, not repaired."""

from __future__ import annotations

from collections.abc import Mapping

from stubout import units
from stubout.geometry.vec import Vec
from stubout.house.facts import RouteLeg
from stubout.house.model import House
from stubout.layout.model import Blocked, PointKind
from stubout.layout.places import TOUCH_MM, roof_surface_z
from stubout.layout.sketch import Sketch, distance_mm

AAV_WORDS = frozenset({"aav", "air admittance valve"})
SEWER = "sewer"


def usable_legs(house: House, faults: list[Blocked]) -> tuple[RouteLeg, ...]:
    """Return the legs that can be read; the others become faults."""
    good: dict[str, RouteLeg] = {}
    for leg in house.routes:
        if leg.id in good:
            faults.append(Blocked((leg.id,), f"two routes are called {leg.id}", "give the second one its own id"))
        elif len(leg.points) < 2:
            faults.append(Blocked((leg.id,), f"route {leg.id} has fewer than two points", "draw its whole way"))
        else:
            good[leg.id] = leg
    return tuple(good.values())


def loose_ends(house: House, sketch: Sketch, routes: tuple[RouteLeg, ...]) -> list[Blocked]:
    """Return a fault for every leg that does not reach what it says it joins, or ends in the air."""
    faults: list[Blocked] = []
    aav = vent_ends(house, sketch, routes)
    starts = {n for leg in routes for n in sketch.legs[leg.id][:-1]}
    tags = {f.tag for f in house.fixtures}
    for leg in routes:
        tag = leg.fixture or leg.vent_of
        if tag and tag not in tags:
            faults.append(
                Blocked((leg.id,), f"route {leg.id} is drawn for {tag}, which the job does not have", "correct the tag")
            )
        first = sketch.legs[leg.id][0]
        others = {n for o in routes if o.id != leg.id for n in sketch.legs[o.id]}
        if leg.system == "vent" and first not in others:
            p = sketch.at[first]
            faults.append(
                Blocked(
                    (leg.id,),
                    f"vent {leg.id} starts on no drain, at {_at(p, house)}",
                    "draw its first point on the arm or drain it vents",
                )
            )
    for leg in routes:
        end = sketch.legs[leg.id][-1]
        p = sketch.at[end]
        where = _at(p, house)
        if leg.joins == SEWER:
            gap = p.at_z(0).to(house.sewer.at.at_z(0))
            if gap > TOUCH_MM:
                faults.append(
                    Blocked(
                        (leg.id,),
                        f"route {leg.id} ends {units.both(gap, house.job.units)} from the sewer connection, at {where}",
                        "draw its last point on the connection",
                    )
                )
        elif leg.joins:
            target = sketch.legs.get(leg.joins)
            if target is None:
                faults.append(
                    Blocked(
                        (leg.id,),
                        f"route {leg.id} joins {leg.joins}, which is not drawn",
                        f"draw {leg.joins} or correct the name",
                    )
                )
            elif end not in target:
                gap = distance_mm(sketch, target, p)
                faults.append(
                    Blocked(
                        (leg.id, leg.joins),
                        f"route {leg.id} ends {units.both(gap, house.job.units)} from {leg.joins}, at {where}",
                        f"draw its last point on {leg.joins}",
                    )
                )
        elif leg.system == "drain" and end not in starts:
            faults.append(
                Blocked(
                    (leg.id,),
                    f"drain {leg.id} ends in the air at {where}",
                    "say what it flows into, or draw it to the sewer",
                )
            )
        elif leg.system == "vent" and end not in starts and aav.get(end) is None:
            roof_z = roof_surface_z(house, p)
            roof = "no roof over it" if roof_z is None else f"roof at z {units.length(roof_z, house.job.units)}"
            faults.append(
                Blocked(
                    (leg.id,), f"vent {leg.id} ends at {where}, {roof}", "draw it through the roof or into another vent"
                )
            )
    return faults


def _at(p: Vec, house: House) -> str:
    u = house.job.units
    return f"{units.on_plan(p.x, p.y, u)}, z {units.length(p.z, u)}"


def vent_ends(house: House, sketch: Sketch, routes: tuple[RouteLeg, ...]) -> Mapping[str, PointKind]:
    """Return what a vent's open end is: a valve as drawn, or a terminal above the roof."""
    out: dict[str, PointKind] = {}
    for leg in routes:
        if leg.system != "vent":
            continue
        end = sketch.legs[leg.id][-1]
        p = sketch.at[end]
        words = {word.lower() for i, word in leg.fittings if i == len(leg.points) - 1}
        roof_z = roof_surface_z(house, p)
        if words & AAV_WORDS:
            out[end] = PointKind.AAV
        elif roof_z is not None and p.z >= roof_z - TOUCH_MM:
            out[end] = PointKind.TERMINAL
    return out
