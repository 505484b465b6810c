"""Roof, sewer, ground, climate, wishes, title block: facts that need little resolving."""

from __future__ import annotations

import re

from stubout import units
from stubout.geometry.vec import Box, Vec
from stubout.house.facts import Choice, Climate, Installed, JobFacts, Reading, RouteLeg, TestPlanFacts, Wishes
from stubout.house.lookup import Faults, natural
from stubout.house.model import HouseLevel
from stubout.house.outside import Ground, RoofOpening, RoofPlane, RoofZone, Sewer
from stubout.job.model import Job, RoofOpeningSaid, RoofSaid, RouteSaid
from stubout.rulebooks.overlay import Amend, Confirm
from stubout.rulebooks.tables import canonical

_FREEZING_F = 32.0


def job_facts(job: Job) -> JobFacts:
    """Return the title block."""
    j = job.job
    hold = re.search(r"\d+(\.\d+)?", j.test.hold or "")
    return JobFacts(
        title=j.title, address=j.address, permit=j.permit, revision=j.revision, issued=j.issued, units=j.units,
        book_id=j.book, framing_id=j.framing, material=j.material, stock_mm=tuple(sorted(j.stock)), paper=j.paper,
        people=tuple(sorted(j.people.items())),
        test=TestPlanFacts(j.test.method, j.test.head, float(hold.group()) if hold else None),
        source_name=job.source,
        offcuts=tuple(sorted((o.size, mm) for o in job.offcuts for mm in o.lengths)),
    )  # fmt: skip


def climate(job: Job) -> Climate:
    """Return the climate; vents count as frost-prone unless the job says otherwise or winters stay above freezing."""
    c = job.climate
    frost = c.frost_prone_vents
    if frost is None:
        frost = c.winter_design is None or c.winter_design < _FREEZING_F
    return Climate(frost, c.winter_design, c.footing_depth, c.snow or 0.0, c.service_depth)


def roof_plane(said: RoofSaid, faults: Faults) -> RoofPlane | None:
    """Return a roof plane from the height of its low edge and its rise towards the other."""
    rise = units.parse_rise(said.rise)
    if rise is None:
        faults.add(said.line, f"roof.{said.id}.rise", repr(said.rise), "a rise such as 5:12, 1/4:12 or 0.4167")
        return None
    x0, x1, y0, y1 = min(said.x), max(said.x), min(said.y), max(said.y)
    gx, gy, bx, by = {
        "west": (rise, 0.0, x0, y0), "east": (-rise, 0.0, x1, y0),
        "south": (0.0, rise, x0, y0), "north": (0.0, -rise, x0, y1),
    }[said.low_edge]  # fmt: skip
    return RoofPlane(
        said.id,
        x0,
        y0,
        x1,
        y1,
        Vec(bx, by, said.z_at_low_edge),
        gx,
        gy,
        said.may_pierce,
        said.in_use,
        said.ceiling_below,
    )


def roof_opening(said: RoofOpeningSaid, planes: tuple[RoofPlane, ...]) -> RoofOpening:
    """Return an opening; a skylight takes its lower and upper edge from the roof plane it lies in."""
    x0, x1, y0, y1 = min(said.x), max(said.x), min(said.y), max(said.y)
    if said.z is not None:
        lo, hi = min(said.z), max(said.z)
    else:
        corners = [(x, y) for x in (x0, x1) for y in (y0, y1)]
        middle = ((x0 + x1) / 2, (y0 + y1) / 2)
        plane = next((p for p in planes if p.x0_mm <= middle[0] <= p.x1_mm and p.y0_mm <= middle[1] <= p.y1_mm), None)
        heights = [plane.z_at(x, y) for x, y in corners] if plane else [0.0]
        lo, hi = min(heights), max(heights)
    return RoofOpening(said.id, Box(Vec(x0, y0, lo), Vec(x1, y1, hi)), said.opens)


def roof_zones(job: Job) -> tuple[RoofZone, ...]:
    """Return the parts of the roof that may not be pierced."""
    return tuple(
        RoofZone(z.id, min(z.x), min(z.y), max(z.x), max(z.y), z.why)
        for z in sorted(job.roof_zones, key=lambda z: natural(z.id))
    )


def sewer(job: Job) -> Sewer:
    """Return the connection."""
    s = job.sewer
    valve = None if s.backwater_valve_at is None else Vec(*s.backwater_valve_at, s.invert)
    return Sewer(
        Vec(*s.at, s.invert), s.size, s.runs, s.what, s.backwater_valve_drop, valve, s.confirmed, s.may_be_off_by,
        s.material or "",
    )  # fmt: skip


def ground(job: Job) -> Ground:
    """Return the ground outside."""
    way_in = job.site.crawl_access
    return Ground(job.site.ground_at_house, job.site.ground_at_sewer, None if way_in is None else Vec(*way_in))


def footprint(job: Job, levels: tuple[HouseLevel, ...], planes: tuple[RoofPlane, ...]) -> Box:
    """Return the box of the house: framing outline, lowest gravel to the highest point of roof or wall."""
    x, y = job.site.footprint
    lo = min((v.subfloor_z_mm - v.slab_mm - v.gravel_mm for v in levels), default=0.0)
    tops = [v.subfloor_z_mm + v.wall_height_mm for v in levels]
    tops += [p.z_at(cx, cy) for p in planes for cx in (p.x0_mm, p.x1_mm) for cy in (p.y0_mm, p.y1_mm)]
    return Box(Vec(0.0, 0.0, lo), Vec(x, y, max(tops, default=0.0)))


def wishes(job: Job) -> Wishes:
    """Return the wishes."""
    w = job.wishes
    return Wishes(
        no_vent_in_walls=w.no_vents_in_walls, no_drain_in_walls=w.no_drains_in_walls,
        max_terminals=w.at_most_terminals, aav=w.aav, methods_not_wanted=w.methods_not_wanted,
        cold_spaces=w.cold_spaces, stack_walls=w.stack_walls, no_stack_in_walls=w.no_stacks_in_walls,
        sewer_cleanout_at=None if w.sewer_cleanout_at is None else Vec(*w.sewer_cleanout_at),
        said=w.said,
    )  # fmt: skip


def choices(job: Job) -> tuple[Choice, ...]:
    """Return the choices of the layout that the file makes."""
    return tuple(
        Choice(
            c.drawn or "", c.fixture, c.vent_not_in, c.near or 0.0, c.joins_not_near, c.not_vented_by or "",
            c.stack_not_near, c.not_through_walls,
        )
        for c in job.choices
    )  # fmt: skip


def amendments(job: Job) -> tuple[Amend, ...]:
    """Return the amendments in the order of the values they change; those of one value as they lie, undermost first."""
    return tuple(
        Amend(a.value, a.is_, a.citation, a.author, a.date, a.reason, a.line, a.ask, a.source)
        for a in sorted(job.amendments, key=lambda a: canonical(a.value))
    )


def confirmations(job: Job) -> tuple[Confirm, ...]:
    """Return the confirmations in the order of the values they speak of."""
    return tuple(
        Confirm(c.value, c.printed, c.by, c.date, c.copy_, c.book, c.line, c.source)
        for c in sorted(job.confirmations, key=lambda c: (canonical(c.value), c.book))
    )


def route(said: RouteSaid, faults: Faults, assumed_in: float | None = None) -> RouteLeg:
    """Return a hand-drawn run; point numbers of its fittings count from 1 in the file and from 0 here.

    Args:
        said: The route.
        faults: Where what is wrong with it is told.
        assumed_in: Its size while the file does not say it [in].
    """
    fittings = []
    for number, word in said.fittings.items():
        if number.isdigit() and 1 <= int(number) <= len(said.through):
            fittings.append((int(number) - 1, word))
        else:
            faults.add(
                said.line, f"routes.{said.id}.fittings", repr(number), f"a point number from 1 to {len(said.through)}"
            )
    if said.vents_by and said.system == "vent":
        faults.add(said.line, f"routes.{said.id}.vents by", said.vents_by, "nothing: only a drain vents what joins it")
    size_in = assumed_in if said.size is None else said.size
    return RouteLeg(
        id=said.id, system=said.system, points=tuple(Vec(*p) for p in said.through), size_in=size_in,
        fixture=said.fixture, joins=said.into, fittings=tuple(sorted(fittings)), vent_of=said.vent_of,
        vents_by=said.vents_by, line=said.line, installed=said.installed, kept=said.kept, lies=said.lies,
        material=said.material or "",
    )  # fmt: skip


def installed(job: Job) -> tuple[Installed, ...]:
    """Return what is said to be in place, in the order of the file."""
    return tuple(Installed(i.walls, i.under, i.levels, i.runs, i.date, i.by, i.line) for i in job.installed)


def readings(job: Job) -> tuple[Reading, ...]:
    """Return the as-built records in the order of the file, which is the order they were taken in."""
    return tuple(Reading(r.about, r.what, r.value, r.date, r.by, r.line) for r in job.records)
