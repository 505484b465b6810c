"""Heights of outlets that are taken, because no sheet is at hand, where they decide how deep a trap may lie."""

from __future__ import annotations

from stubout import units
from stubout.catalog.queries import pipe
from stubout.house.model import House, HouseFixture
from stubout.house.outlet_drops import outlet_drop_mm
from stubout.layout.model import TrapPlan
from stubout.network.model import Network
from stubout.problems import Derivation
from stubout.rulebooks import queries
from stubout.rulebooks.model import Cell, RuleBook

OUTLET_HEIGHT = "outlet height"


def taken_outlets(network: Network, house: House, book: RuleBook) -> tuple[Derivation, ...]:
    """Return the heights of outlets that are taken and decide: the drop to the trap is near the book's most or over it.

    Near is so much as the outlet may lie lower than taken. Where the drop is shorter than that nothing is returned: the
    height decides nothing there.
    """
    try:
        limit = queries.tailpiece_max(book)
    except LookupError:
        return ()
    found = (_taken(network, house, t, limit) for t in network.traps if t.arm_runs)
    return tuple(d for d in found if d is not None)


def _taken(network: Network, house: House, trap: TrapPlan, limit: Cell) -> Derivation | None:
    body = house.fixture(trap.tag)
    above = queries.tub_outlet_height(body.kind, house.job.units)
    doubt = body.outlet_doubt_mm
    if above is None or not doubt:
        return None
    arm = network.pipe(trap.arm_runs[0])
    drop = outlet_drop_mm(body, arm.a, pipe(house.job.material, arm.size_in).id_mm, limit)
    if drop is None or drop <= limit.number - doubt:
        return None
    u = house.job.units
    steps = (
        f"no sheet says it: taken as {above.printed} above the {_floor(body)} it stands on",
        f"to the trap weir {units.both(drop, u)}, at most {limit.printed}: where the sheet has it higher, write "
        "that as its `outlet height`",
    )
    return Derivation(trap.tag, OUTLET_HEIGHT, _heights(body, u), steps, (above.basis, limit.basis))


def _floor(body: HouseFixture) -> str:
    on_subfloor = body.outlet_least_z_mm == body.subfloor_z_mm != body.finished_z_mm
    return "subfloor" if on_subfloor else "finished floor"


def _heights(body: HouseFixture, u: units.Units) -> str:
    z = body.drop_from_z_mm or 0.0
    finished, sub = (units.both(z - floor, u) for floor in (body.finished_z_mm, body.subfloor_z_mm))
    return f"{finished} above finished floor, {sub} above subfloor"
