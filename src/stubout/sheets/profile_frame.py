"""Scales and levels of a profile: how much taller than long it is drawn, and where the ground then lies."""

from __future__ import annotations

from dataclasses import dataclass

from stubout.design import Design
from stubout.network.model import Pipe
from stubout.sheets.model import Paper
from stubout.sheets.notes import notes_height
from stubout.sheets.profile_facts import Branch, Station, branches, crossings, exit_along, ground_level
from stubout.sheets.profile_words import profile_notes
from stubout.sheets.scales import scales
from stubout.sheets.titleblock import body

LEFT_MM, RIGHT_MM, TOP_MM, FOOT_MM = 30.0, 8.0, 8.0, 25.0
CLEAR_RATIO = 16.0  # heights drawn at 1:16 or larger show a fall of 1 in 100 as well
CLEAR_TIMES = 4.0  # heights drawn at least so many times as tall as lengths, if the paper allows
ABOVE_MM, BELOW_MM = 350.0, 250.0  # shown over the surface and under the pipe [mm, house]
OVER_PLUG_MM = 100.0  # shown over the plug of a cleanout [mm, house]


@dataclass(frozen=True, slots=True)
class Frame:
    """Scales and levels of one profile."""

    ratio: int
    times: float
    low_z: float
    top_z: float
    broken: bool  # the ground outside lies higher than the drawing: it is drawn at the top, broken

    @property
    def clear(self) -> bool:
        """Return whether a fall shows well: drawn much steeper than it is, or its heights drawn large."""
        return self.times >= CLEAR_TIMES or self.ratio / self.times <= CLEAR_RATIO


def frame_of(
    design: Design, run: tuple[Pipe, ...], points: tuple[Station, ...], paper: Paper, taken_mm: float
) -> Frame:
    """Return the largest exaggeration that fits, with the ground broken off if that gives more than three times."""
    area = body(paper)
    width = area[2] - area[0]
    total = points[-1].along_mm
    offered = scales(design.house.job.units)
    ratio = next((s for s in offered if total / s <= width - LEFT_MM - RIGHT_MM), offered[-1])
    foot = notes_height(profile_notes(design, 10.0, run), width) + 2.0
    room = area[3] - area[1] - foot - TOP_MM - FOOT_MM - taken_mm
    low_z = min(s.invert_z_mm for s in points) - BELOW_MM
    low_z = min([low_z, *(lo - 60.0 for _, (lo, _), _ in footings(design, run))])
    crown = max(p.a.z for p in run)
    inner = max([crown, *(ground_level(design).subfloor_z_mm for s in points[:1] if s.inside)]) + ABOVE_MM
    plugs = [(b.along_mm, b.opens_z_mm) for b in branches(design, run) if b.opens_z_mm is not None]
    out_at = exit_along(design, run)
    inner = max([inner, *(z + OVER_PLUG_MM for along, z in plugs if along <= out_at)])
    surfaces = [*(s.surface_z_mm for s in points), *(z for _, z in plugs), design.house.ground.at_house_z_mm]
    outer = max([inner, *surfaces]) + ABOVE_MM / 2

    def best(top_z: float) -> float:
        return next((t for t in (10.0, 8.0, 6.0, 5.0, 4.0, 3.0, 2.0, 1.0) if (top_z - low_z) * t / ratio <= room), 0.0)

    whole, cut = best(outer), best(inner)
    if whole >= 3.0 or cut <= whole:
        return Frame(ratio, max(whole, 1.0), low_z, outer, False)
    return Frame(ratio, cut, low_z, inner, True)


def footings(design: Design, run: tuple[Pipe, ...]) -> list[tuple[str, tuple[float, float], tuple[float, float]]]:
    """Return name, (bottom, top) and (from, to) along the run of every footing or pad crossed in plan."""
    out = []
    for o in design.house.obstacles:
        if o.kind not in ("footing", "pad"):
            continue
        hit = crossings(run, o.box)
        if hit is not None:
            out.append((f"{o.id} {o.what}", (o.box.lo.z, o.box.hi.z), hit))
    return out


def ground_drawn(design: Design, frame: Frame) -> tuple[float, float, float]:
    """Return the ground at the house and at the connection as drawn, and the shift of a broken line [mm]."""
    ground = design.house.ground
    highest = max(ground.at_house_z_mm, ground.at_sewer_z_mm)
    shift = min(0.0, frame.top_z - 120.0 - highest) if frame.broken else 0.0
    low = frame.top_z - 300.0
    if shift:
        return max(low, ground.at_house_z_mm + shift), max(low, ground.at_sewer_z_mm + shift), shift
    return ground.at_house_z_mm, ground.at_sewer_z_mm, 0.0


def plug_drawn(design: Design, run: tuple[Pipe, ...], frame: Frame, branch: Branch) -> tuple[float, bool]:
    """Return the height a cleanout's plug is drawn at [mm, house z], and whether its riser is broken to get there.

    It is drawn at its own height; one that opens in ground that is drawn broken stands as it does to that ground.
    """
    z = branch.opens_z_mm if branch.opens_z_mm is not None else branch.invert_z_mm
    out_at, total = exit_along(design, run), sum(p.plan_mm for p in run)
    house_z, sewer_z, shift = ground_drawn(design, frame)
    drawn = z
    if shift and branch.along_mm > out_at:
        ground = design.house.ground
        share = (branch.along_mm - out_at) / max(total - out_at, 1.0)
        real = ground.at_house_z_mm + (ground.at_sewer_z_mm - ground.at_house_z_mm) * share
        drawn = z - real + house_z + (sewer_z - house_z) * share
    drawn = min(drawn, frame.top_z - OVER_PLUG_MM / 2)
    return drawn, abs(drawn - z) > 1.0
