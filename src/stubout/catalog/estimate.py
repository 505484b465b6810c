"""Make-ups of fittings, from the tables where they have a figure, else by the estimate rules. All lengths [mm].

Rules (reference: "reducing / other" of the dimensions page; all ship as estimates, to be measured):
- a size the table lacks: on the straight line through the two nearest sizes, by outside diameter;
- reducing sanitary tee: run ends as the tee of the branch size, branch longer by half the difference of the outside
  diameters (reproduces the five printed reducing tees within their 1/4 in);
- reducing wye: hubs just clear each other;
- combination: a wye whose branch turns square through a 1/8 bend without a socket between;
- a street bend without a figure: hub leg as the bend it is like, spigot that and a socket depth;
- a bend, coupling or closet bend of two sizes: each end as the equal fitting of its size.
"""

from __future__ import annotations

import math
from collections.abc import Mapping

from stubout.catalog.model import MM_PER_INCH, Catalog, Dim, Pattern
from stubout.problems import CatalogError, Status, weakest

HALF = math.sqrt(0.5)  # sine and cosine of 45 degrees
RADIUS_PER_SIZE = {"street 1/4 bend": 1.0, "long-turn street 1/4 bend": 1.5}  # centre-line radius, in pipe sizes


def make_ups(catalog: Catalog, pattern: str, sizes_in: tuple[float, ...]) -> dict[str, Dim]:
    """Return port name -> make-up of a fitting, in port order.

    Args:
        catalog: The catalogue, without the job's measurements.
        pattern: Catalogue word.
        sizes_in: Nominal sizes in port order: inlet (upper), outlet (lower), branches [in].
    Raises:
        CatalogError: If the pattern is unknown or the sizes do not suit its ports.
    """
    p = catalog.pattern(pattern)
    wanted = {"end": (1,), "bend": (2,), "street": (2,), "straight": (2,), "tee": (3, 4, 5)}.get(p.kind, (3, 4))
    if len(sizes_in) not in wanted:
        raise CatalogError(f"{pattern} has {' or '.join(map(str, wanted))} ports, got sizes {sizes_in}")
    base = catalog.pattern(p.like) if p.like else p
    if p.kind == "end":
        return {"outlet": _at(catalog, base, "outlet", sizes_in[0])}
    if pattern == "bushing":
        return {"inlet": Dim(0.0, "0", Status.DERIVED), "outlet": bushing_extra(catalog, *sizes_in)}
    if p.kind == "street":
        return _street(catalog, p, base, sizes_in[0])
    if p.kind in ("bend", "straight"):
        dims = {"inlet": _at(catalog, base, "both", sizes_in[0]), "outlet": _at(catalog, base, "both", sizes_in[1])}
        if p.like or sizes_in[0] != sizes_in[1]:
            dims = {k: Dim(d.mm, d.printed, weakest((d.status, p.status)), p.note or d.note) for k, d in dims.items()}
        return dims
    branches = sizes_in[2:]
    names = ("branch",) if len(branches) == 1 else tuple(f"branch {i + 1}" for i in range(len(branches)))
    run_in = max(sizes_in[0], sizes_in[1])
    sets = [_three(catalog, base, p.kind, run_in, b) for b in branches]
    out: dict[str, Dim] = {}
    ends = ("upper", "lower") if p.kind == "tee" else ("inlet", "outlet")
    for end, size in zip(ends, sizes_in[:2], strict=True):
        longest = max((s[end] for s in sets), key=lambda d: d.mm)
        if size != run_in:  # run of two sizes: a flush bushing in the larger end
            longest = _bushed(catalog, longest, run_in, size)
        out[end] = longest
    for name, s in zip(names, sets, strict=True):
        out[name] = s["branch"]
    if p.like:
        out = {k: Dim(d.mm, d.printed, weakest((d.status, p.status)), p.note) for k, d in out.items()}
    return out


def _street(catalog: Catalog, p: Pattern, base: Pattern, size_in: float) -> dict[str, Dim]:
    """Return hub leg and centre to spigot end: where no figure is known, the hub leg and a socket depth."""
    hub = _at(catalog, base, "hub", size_in)
    if not p.like:
        return {"hub": hub, "spigot": _at(catalog, base, "spigot", size_in)}
    mm = hub.mm + catalog.socket_mm(size_in)
    status = weakest((hub.status, p.status))
    return {"hub": Dim(hub.mm, hub.printed, status, p.note), "spigot": Dim(mm, f"{mm:.1f} mm", status, p.note)}


def spigot_least(catalog: Catalog, pattern: str, size_in: float, ports: Mapping[str, float]) -> float:
    """Return how short a spigot may be cut back, from the centre, with a whole socket depth of straight left [mm].

    The straight begins where the curve ends: a centre-line radius from the centre of a quarter bend. The radii are
    trade figures from a maker's page that calls them approximate; of the other bends none is known, and none of their
    spigot is given away.

    Args:
        catalog: The catalogue.
        pattern: Street pattern.
        size_in: Nominal size [in].
        ports: Its make-ups, measurements laid over them [mm].
    """
    radius_mm = RADIUS_PER_SIZE.get(pattern, math.inf) * size_in * MM_PER_INCH
    return min(radius_mm + catalog.socket_mm(size_in), ports["spigot"])


def bushing_extra(catalog: Catalog, large_in: float, small_in: float) -> Dim:
    """Return how much farther from the centre the small pipe stops when a flush bushing fills the larger socket [mm].

    Example: 4 x 3 stops 1-3/4 - 1-1/2 = 1/4 in short of the 4 in seat (dimensions page, derived).
    """
    large, small = catalog.hub(large_in).socket, catalog.hub(small_in).socket
    mm = max(large.mm - small.mm, 0.0)
    return Dim(mm, f"{mm:.1f} mm", weakest((large.status, small.status, Status.DERIVED)), "flush bushing")


def _bushed(catalog: Catalog, dim: Dim, large_in: float, small_in: float) -> Dim:
    extra = bushing_extra(catalog, large_in, small_in)
    mm = dim.mm + extra.mm
    return Dim(mm, f"{mm:.1f} mm", weakest((dim.status, extra.status)), "with a flush bushing")


def _at(catalog: Catalog, p: Pattern, port: str, size_in: float) -> Dim:
    table: Mapping[float, Dim] = p.make_up.get(port) or p.make_up.get("both") or {}
    if size_in in table:
        return table[size_in]
    if not table:
        raise CatalogError(f"{p.name} has no make-up for its {port}")
    od = catalog.od_mm(size_in)
    known = sorted((catalog.od_mm(s), d.mm) for s, d in table.items())
    if len(known) == 1:
        mm = known[0][1] * od / known[0][0]
    else:
        near = sorted(sorted(known, key=lambda k: (abs(k[0] - od), k[0]))[:2])
        (x0, y0), (x1, y1) = near
        mm = max(y0 + (y1 - y0) * (od - x0) / (x1 - x0), 0.0)
    return Dim(mm, f"{mm:.1f} mm", Status.ESTIMATE, f"{p.name}: no figure for this size, by proportion; measure")


def _three(catalog: Catalog, p: Pattern, kind: str, run_in: float, branch_in: float) -> dict[str, Dim]:
    """Return the make-ups of a one-branch fitting with an equal run."""
    if kind == "combination":
        return _combination(catalog, p, run_in, branch_in)
    ends = ("upper", "lower") if kind == "tee" else ("inlet", "outlet")
    if run_in == branch_in:
        return {port: _at(catalog, p, port, run_in) for port in (*ends, "branch")}
    for r in catalog.reducing:
        if r.pattern == p.name and r.sizes_in == (run_in, run_in, branch_in):
            return dict(zip((*ends, "branch"), r.make_up, strict=True))
    if kind == "tee":
        extra = (catalog.od_mm(run_in) - catalog.od_mm(branch_in)) / 2
        note = "reducing tee without a figure: ends as the tee of the branch size; measure"
        small = {port: _at(catalog, p, port, min(branch_in, run_in)).mm for port in (*ends, "branch")}
        small["branch"] += max(extra, 0.0)
        return {k: Dim(mm, f"{mm:.1f} mm", Status.ESTIMATE, note) for k, mm in small.items()}
    run_r, branch_r = catalog.hub_od_mm(run_in) / 2, catalog.hub_od_mm(branch_in) / 2
    note = "reducing wye: hubs just clear each other; measure"
    values = {
        "inlet": (branch_r + run_r * HALF) / HALF,
        "outlet": _at(catalog, p, "outlet", min(run_in, branch_in)).mm,
        "branch": (run_r + branch_r * HALF) / HALF,
    }
    return {k: Dim(mm, f"{mm:.1f} mm", Status.ESTIMATE, note) for k, mm in values.items()}


def _combination(catalog: Catalog, p: Pattern, run_in: float, branch_in: float) -> dict[str, Dim]:
    """Return the make-ups of a combination, measured from where the square branch axis meets the run.

    The 45 degree leg is as long as the two tubes need to clear each other, then comes the 1/8 bend.
    """
    run_r, branch_r = catalog.od_mm(run_in) / 2, catalog.od_mm(branch_in) / 2
    eighth = _at(catalog, catalog.pattern("1/8 bend"), "both", branch_in).mm
    leg = (run_r + branch_r * HALF) / HALF + eighth
    rise = leg * HALF  # square distance of the bend's centre from the run, and as far along the run
    values = {
        "inlet": max(catalog.hub_od_mm(branch_in), catalog.hub_od_mm(run_in)) / 2,
        "outlet": rise + _at(catalog, catalog.pattern("wye"), "outlet", run_in).mm,
        "branch": rise + eighth,
    }
    return {k: Dim(mm, f"{mm:.1f} mm", Status.ESTIMATE, p.note) for k, mm in values.items()}
