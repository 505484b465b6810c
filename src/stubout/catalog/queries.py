"""Questions put to the catalogue, one function each; no question changes anything.

Every function takes the catalogue to ask as its last argument, by default the shipped one; a catalogue with the job's
own measurements laid over it comes from `measured_catalog(house.measured)`. Sizes in nominal inches, answers in mm.
"""

from __future__ import annotations

from functools import cache

from stubout import units
from stubout.catalog.costs import Costs, CostSaid
from stubout.catalog.estimate import make_ups, spigot_least
from stubout.catalog.measured import laid_over
from stubout.catalog.model import (
    Catalog,
    Dim,
    Figure,
    FittingData,
    HubData,
    Measured,
    PipeData,
    fitting_key,
    same_key,
)
from stubout.catalog.shipped import SHIPPED
from stubout.catalog.shipped_costs import COSTS
from stubout.problems import Basis, Status, weakest


def measured_catalog(measured: tuple[Measured, ...], catalog: Catalog = SHIPPED) -> Catalog:
    """Return the catalogue with measurements (fitting key, dimension, mm) laid over it, as said by the job."""
    return catalog.with_measured(measured)


@cache
def costs_of(said: tuple[CostSaid, ...]) -> Costs:
    """Return the shipped costs with those of a job laid over them."""
    return COSTS.with_said(said)


def pipe(material: str, size_in: float, catalog: Catalog = SHIPPED) -> PipeData:
    """Return outside, bore, wall and weight of a pipe; CatalogError if there is none."""
    return catalog.pipe(material, size_in)


def od_mm(size_in: float, catalog: Catalog = SHIPPED) -> float:
    """Return the outside diameter, the same for both plastics [mm]."""
    return catalog.od_mm(size_in)


def hub(size_in: float, catalog: Catalog = SHIPPED) -> HubData:
    """Return socket, hub and holes of a size, each with its status."""
    return catalog.hub(size_in)


def hub_od_mm(size_in: float, catalog: Catalog = SHIPPED) -> float:
    """Return the hub outside diameter to use for clearance [mm]."""
    return catalog.hub_od_mm(size_in)


def socket_mm(size_in: float, catalog: Catalog = SHIPPED) -> float:
    """Return how deep a pipe enters the socket [mm]."""
    return catalog.socket_mm(size_in)


def hole_mm(size_in: float, catalog: Catalog = SHIPPED) -> float:
    """Return the hole the trade bores for a pipe [mm]."""
    return catalog.hole_mm(size_in)


def tight_hole_mm(size_in: float, catalog: Catalog = SHIPPED) -> float:
    """Return the least usual bit the pipe goes through [mm]."""
    return catalog.tight_hole_mm(size_in)


def trap_drop_mm(size_in: float, catalog: Catalog = SHIPPED) -> float:
    """Return bottom of the trap to its outlet centre [mm] (derived: nominal bore + seal + OD/2)."""
    return catalog.trap_drop_mm(size_in)


def trap_reach_mm(size_in: float, catalog: Catalog = SHIPPED) -> float:
    """Return inlet centre to riser centre of a P-trap, in plan [mm] (memory, poor)."""
    return catalog.trap_reach_mm(size_in)


def trap_seal_mm(catalog: Catalog = SHIPPED) -> float:
    """Return the seal reckoned with [mm]."""
    return catalog.trap_seal_mm


def trap_reach(size_in: float, catalog: Catalog = SHIPPED) -> Dim:
    """Return inlet centre to riser centre of a P-trap with its status."""
    return catalog.trap_reach(size_in)


def figure(figure_id: str, catalog: Catalog = SHIPPED) -> Figure:
    """Return a trade figure, such as "saw kerf"."""
    return catalog.figure(figure_id)


def fitting(pattern: str, sizes_in: tuple[float, ...], catalog: Catalog = SHIPPED) -> FittingData:
    """Return a fitting's make-ups and hubs, measured values first.

    A reducing fitting without a figure is built by the estimate rules of `stubout.catalog.estimate`, never refused.

    Args:
        pattern: Catalogue word, such as "sanitary tee".
        sizes_in: Nominal sizes in port order: inlet (upper), outlet (lower), branches [in].
        catalog: The catalogue to ask.
    Example:
        >>> round(fitting("sanitary tee", (3.0, 3.0, 3.0)).ports["branch"] / 25.4, 4)
        3.0625
    """
    asked = (pattern, sizes_in)
    if asked not in catalog.fittings:
        catalog.fittings[asked] = _fitting(pattern, sizes_in, catalog)
    return catalog.fittings[asked]


def _fitting(pattern: str, sizes_in: tuple[float, ...], catalog: Catalog) -> FittingData:
    dims = make_ups(catalog, pattern, sizes_in)
    key = fitting_key(pattern, sizes_in)
    ports = {name: d.mm for name, d in dims.items()}
    statuses = {name: d.status for name, d in dims.items()}
    hubs = {name: catalog.hub_od_mm(sizes_in[i]) for i, name in enumerate(dims)}
    measured_here = tuple((dimension, mm) for said, dimension, mm in catalog.measured if same_key(said, key))
    if measured_here:
        said_ports, hub_mm = laid_over(dims, measured_here)
        ports |= said_ports
        statuses |= dict.fromkeys(said_ports, Status.JOB)
        hubs = hubs if hub_mm is None else dict.fromkeys(hubs, hub_mm)
    status = weakest(tuple(statuses.values()))
    notes = tuple(dict.fromkeys(d.note for d in dims.values() if d.note))
    measured = all(s is Status.JOB for s in statuses.values())
    return FittingData(
        key=key,
        pattern=pattern,
        sizes_in=sizes_in,
        ports=ports,
        hubs=hubs,
        statuses=statuses,
        status=Status.JOB if measured else status,
        note="measured by the job" if measured else "; ".join(notes),
    )


def least_centres_mm(
    one: tuple[str, tuple[float, ...], str], two: tuple[str, tuple[float, ...], str], catalog: Catalog = SHIPPED
) -> float:
    """Return the least centre-to-centre distance of two fittings joined by a piece of pipe [mm].

    Their make-ups and two sockets, the faces touching; less than that only a street fitting can do.

    Args:
        one: Pattern, sizes and the port that looks at the other fitting.
        two: The same of the other.
        catalog: The catalogue to ask.
    Example:
        >>> tee = ("sanitary tee", (3.0, 3.0, 3.0))
        >>> round(least_centres_mm((*tee, "lower"), (*tee, "upper")) / 25.4, 3)
        8.125
    """
    total = 0.0
    for pattern, sizes, port in (one, two):
        data = fitting(pattern, sizes, catalog)
        size = sizes[min(list(data.ports).index(port), len(sizes) - 1)]
        total += data.ports[port] + catalog.socket_mm(size)
    return total


def coupling_mm(size_in: float, catalog: Catalog = SHIPPED) -> float:
    """Return how long a coupling is, from end to end of its hubs [mm].

    Args:
        size_in: Nominal size [in].
        catalog: The catalogue to ask.
    Example: two sockets of 3/4 in with 1/8 in between.
        >>> round(coupling_mm(2.0) / 25.4, 4)
        1.625
    """
    return sum(fitting("coupling", (size_in, size_in), catalog).ports.values()) + 2 * catalog.socket_mm(size_in)


def street_spigot_mm(pattern: str, size_in: float, catalog: Catalog = SHIPPED) -> tuple[float, float]:
    """Return how short the spigot of a street pattern may be cut, and how long it comes, from its centre [mm].

    Args:
        pattern: Street pattern, such as "street 1/4 bend".
        size_in: Nominal size [in].
        catalog: The catalogue to ask.
    Example: 2 in, curve of 2 in and socket of 3/4 in; 3-1/16 in as it comes (dimensions page, memory).
        >>> [round(mm / 25.4, 4) for mm in street_spigot_mm("street 1/4 bend", 2.0)]
        [2.75, 3.0625]
    """
    data = fitting(pattern, (size_in, size_in), catalog)
    return spigot_least(catalog, pattern, size_in, data.ports), data.ports["spigot"]


def make_up_basis(
    pattern: str, sizes_in: tuple[float, ...], status: Status, unit: units.Units, catalog: Catalog = SHIPPED
) -> Basis:
    """Return the make-ups of a fitting as one basis; `status` is that of the fitting in its place, if it is weaker."""
    data = fitting(pattern, sizes_in, catalog)
    value = ", ".join(f"{port} {units.length(mm, unit)}" for port, mm in data.ports.items())
    return Basis(f"make-up of {data.key}", value, "catalog", "", weakest((status, data.status)), data.note)
