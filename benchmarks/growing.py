"""A house that grows: its upper floor stacked again and again. A load test, no real house."""

from __future__ import annotations

from typing import Any

from stubout.job.model import Job

UPPER = "upper"  # the floor of the bundled house that is repeated, and the one it stands on
BASE = "main"


def stacked(job: Job, times: int) -> Job:
    """Return the bundled house with its upper floor repeated, one over the other, under one roof lifted as high.

    Args:
        job: The bundled house, or one with levels of the same names.
        times: How many upper floors there are in the end, at least one.
    """
    level_z = {v.id: v.subfloor for v in job.levels}
    storey = level_z[UPPER] - level_z[BASE]
    walls = {w.id for w in job.walls if w.level == UPPER}
    rooms = {r.id for r in job.rooms if r.level == UPPER}
    changed: dict[str, Any] = {
        "levels": [
            v.model_copy(update={"attic_above": False}) if v.id == UPPER and times > 1 else v for v in job.levels
        ],
        "frames": [f if f.carries else f.model_copy(update={"top": f.top + storey * (times - 1)}) for f in job.frames],
        "roof": [r.model_copy(update={"z_at_low_edge": r.z_at_low_edge + storey * (times - 1)}) for r in job.roof],
    }
    kept = ("walls", "openings", "rooms", "cabinets", "fixtures")
    lists: dict[str, list[Any]] = {name: list(getattr(job, name)) for name in kept}
    for n in range(1, times):
        up, end = storey * n, f"-{n + 1}"
        top = next(v for v in job.levels if v.id == UPPER)
        said = {"id": UPPER + end, "subfloor": top.subfloor + up, "attic_above": n == times - 1}
        changed["levels"].append(top.model_copy(update=said))
        floor = next(f for f in job.frames if f.carries == UPPER)
        said = {"id": floor.id + end, "carries": UPPER + end, "top": floor.top + up}
        changed["frames"].append(floor.model_copy(update=said))
        for w in job.walls:
            if w.id in walls:
                lists["walls"].append(w.model_copy(update={"id": w.id + end, "level": UPPER + end}))
        for o in job.openings:
            if o.wall in walls:
                lists["openings"].append(o.model_copy(update={"id": o.id + end, "wall": o.wall + end}))
        for r in job.rooms:
            if r.id in rooms:
                lists["rooms"].append(r.model_copy(update={"id": r.id + end, "level": UPPER + end}))
        for c in job.cabinets:
            if c.wall in walls:
                said = {"id": c.id + end, "wall": c.wall + end, "room": c.room + end}
                lists["cabinets"].append(c.model_copy(update=said))
        for f in job.fixtures:
            if f.room in rooms:
                wall = f.wall + end if f.wall else ""
                lists["fixtures"].append(f.model_copy(update={"tag": f.tag + end, "room": f.room + end, "wall": wall}))
    return job.model_copy(update={k: tuple(v) for k, v in (changed | lists).items()})
