"""The stub-out band of one sink without a house: outlet above, cabinet floor below, arm to the wall."""

from __future__ import annotations

from dataclasses import dataclass

from stubout import units
from stubout.catalog import queries as catalog
from stubout.layout.stub_limits import PLAY_MM, arm_fall_mm
from stubout.rulebooks import queries
from stubout.units import Units


@dataclass(frozen=True, slots=True)
class QuickBand:
    """The heights a stub-out may have at the wall, above the same floor as the figures given."""

    lo_mm: float
    hi_mm: float
    steps: tuple[str, ...]

    @property
    def feasible(self) -> bool:
        """Return whether any height does."""
        return self.lo_mm <= self.hi_mm


def quick_band(
    outlet_mm: float, floor_mm: float, from_wall_mm: float, trap_in: float, slope: float, system: Units = "inch"
) -> QuickBand:
    """Return the band of a stub-out.

    Args:
        outlet_mm: Bottom of the fixture outlet, or centre of a disposer outlet, above finished floor [mm].
        floor_mm: Cabinet floor, shelf or drawer the trap must hang clear above, above finished floor [mm].
        from_wall_mm: Trap inlet from the finished wall [mm].
        trap_in: Trap size [nominal in].
        slope: Slope of the arm [m/m].
        system: How the steps are worded.

    Limits: the trap's hang is built from pipe dimensions and a 2 in seal (derived), the entry below
    the outlet is a trade figure.
    """
    entry = queries.trap_entry_drop(system).number
    hang = catalog.trap_drop_mm(trap_in)
    fall = arm_fall_mm(slope, from_wall_mm)
    hi = outlet_mm - entry - fall
    lo = floor_mm + PLAY_MM + hang

    def shown(mm: float) -> str:
        return units.length(mm, system)

    return QuickBand(
        lo,
        hi,
        (
            f"upper end = outlet {shown(outlet_mm)} - trap entry {shown(entry)} (trade figure, no code)"
            f" - fall to the wall {shown(fall)} = {shown(hi)}",
            f"lower end = {shown(floor_mm)} + play {shown(PLAY_MM)} + hang of the trap {shown(hang)} (derived) = "
            f"{shown(lo)}",
        ),
    )
