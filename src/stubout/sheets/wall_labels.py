"""The words of a wall elevation: cabinets, fixtures, obstacles, openings."""

from __future__ import annotations

from stubout.house.model import CabinetBox
from stubout.sheets.metrics import text_width, wrap
from stubout.sheets.wall_frame import Elevation, in_wall, on_far_side
from stubout.sheets.words import mm, named


def label_cabinets(e: Elevation) -> None:
    """Name each cabinet box inside its outline where the name fits."""
    for c in e.design.house.cabinets:
        if c.wall_id == e.wall.id and c.side == e.side:
            words = cabinet_words(c)
            if _inside(e, c.from_station_mm, c.to_station_mm, c.box.lo.z, c.box.hi.z, words, "cabinet label"):
                continue
            long, tall = c.to_station_mm - c.from_station_mm, c.box.hi.z - c.box.lo.z
            at = [s for t in (0.5, 0.25, 0.75) if e.view.shows(s := c.from_station_mm + long * t)]
            spots = [e.view.at(s, c.box.lo.z + tall * t) for s in at for t in (0.7, 0.3)]
            if spots:  # pipes stand in it: its name beside it, on a leader
                e.canvas.place(spots[0], (words,), "cabinet label", reach=45, also=spots[1:], optional=True)


def cabinet_words(c: CabinetBox) -> str:
    """Return how a cabinet box is named on a sheet."""
    return f"{c.id} {c.kind}"


def _inside(e: Elevation, lo: float, hi: float, lo_z: float, hi_z: float, words: str, layer: str) -> bool:
    """Write words inside an area, in one or two lines, high up first; return whether there was room."""
    view, canvas = e.view, e.canvas
    seen = max(((max(lo, a), min(hi, b)) for a, b in view.parts), key=lambda t: t[1] - t[0])
    if seen[1] - seen[0] < 1.0:
        return False
    xs = sorted((view.x(seen[0]), view.x(seen[1])))
    ys = (view.y(lo_z), view.y(hi_z))
    first, _, rest = words.partition(" ")
    ways: tuple[list[str], ...] = ([words], [first, rest], [first])
    for way in ways:
        lines = [w for w in way if w]
        wide = max(text_width(w, 9.0) for w in lines)
        if wide > xs[1] - xs[0] - 0.6:
            continue
        tall = 3.9 * len(lines)
        steps = max(1, int((ys[1] - ys[0] - tall) / 2.0))
        for k in range(steps + 1):
            top = ys[1] - 0.6 - k * 2.0
            mid = (xs[0] + xs[1]) / 2
            box = (mid - wide / 2, top - tall, mid + wide / 2, top)
            if box[1] < ys[0] or not canvas.free(box) or canvas.covered(box, "firm") > 3:
                continue
            for i, w in enumerate(lines):
                canvas.text((mid, top - 3.0 - i * 3.75), w, layer, anchor="middle", halo=True)
            return True
    return False


def label_obstacles(e: Elevation) -> None:
    """Name each obstacle, with its extent."""
    for o in e.design.house.obstacles:
        if not in_wall(e, o.box, o.wall_id):
            continue
        lo, hi = e.span(o.box)
        shown = [(max(lo, a), min(hi, b)) for a, b in e.view.parts if min(hi, b) - max(lo, a) > 1]
        if not shown:
            continue
        far = " (other side)" if o.wall_id == e.wall.id and on_far_side(e, o.box) else ""
        z_lo, z_hi = max(o.box.lo.z, e.view.lo_z_mm), min(o.box.hi.z, e.view.hi_z_mm)
        if z_hi <= z_lo:
            continue
        a, b = shown[0]
        spots = [
            e.view.at(a + (b - a) * s, z_lo + (z_hi - z_lo) * t)
            for t in (0.5, 0.75, 0.25, 0.9, 0.1)
            for s in (0.5, 0.2, 0.8)
        ]
        words = wrap(f"{named(o.id, o.what)}{far}", 48.0, 9.0)
        e.canvas.place(spots[0], words, "obstacle label", reach=60, over_pipes=True, also=spots[1:])


def label_fixtures(e: Elevation) -> None:
    """Write the tag of each fixture whose outline is drawn."""
    for f in e.design.house.fixtures:
        if f.wall_id != e.wall.id or f.side != e.side:
            continue
        if f.extent is not None:
            lo, hi = e.span(f.extent)
            if hi - lo < 2500:
                _inside(e, lo, hi, f.extent.lo.z, f.extent.hi.z, f.tag, f"fixture tag:{f.tag}")
        elif (
            f.standpipe_top_z_mm is None
            and f.flood_rim_z_mm is not None
            and f.station_mm is not None
            and e.view.shows(f.station_mm)
        ):
            at = e.view.at(f.station_mm, f.flood_rim_z_mm)
            words = (f"{f.tag} rim {mm(e.design, f.flood_rim_z_mm - e.wall.bottom_z_mm)}",)
            e.canvas.place(at, words, f"fixture tag:{f.tag}", reach=20, over_pipes=True, optional=True)


def label_openings(e: Elevation) -> None:
    """Name each opening with sill and head above subfloor."""
    sub = e.wall.bottom_z_mm
    for o in e.wall.openings:
        if not any(min(o.station_mm + o.width_mm, b) - max(o.station_mm, a) > 50 for a, b in e.view.parts):
            continue
        mid = o.station_mm + o.width_mm / 2
        if not e.view.shows(mid):
            continue
        lines = [f"{o.id} {o.what}".strip(), f"head {mm(e.design, o.head_z_mm - sub)}"]
        if o.sill_z_mm > sub + e.wall.bottom_plate_mm:
            lines.append(f"sill {mm(e.design, o.sill_z_mm - sub)}")
        lines.append("above subfloor")
        e.canvas.place(
            e.view.at(mid, (o.head_z_mm + max(o.sill_z_mm, sub)) / 2), lines, "opening label", reach=40, over_pipes=True
        )
