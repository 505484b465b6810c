"""How much of a pipe the fittings at its ends take up, sockets and all: the least room between two joints. [mm].

Asked of the catalogue with the job's own measurements laid over it, so that the engine leaves the room that the cut
list will want. Which fitting stands where is guessed the way the fabrication chooses: a wye for a branch at 45 degrees,
a combination for one square to a level drain, a sanitary tee on an upright one, a long turn where a drain turns level.
"""

from __future__ import annotations

import math

from stubout.catalog import queries as catalog
from stubout.catalog.model import Catalog, Measured
from stubout.catalog.shipped import SHIPPED

TO_SPARE_DEG = 0.5


class TakeUp:
    """The catalogue asked for room."""

    def __init__(self, measured: tuple[Measured, ...] = ()) -> None:
        self.parts: Catalog = catalog.measured_catalog(measured) if measured else SHIPPED
        self._known: dict[tuple[str, tuple[float, ...], str], float] = {}

    def room(self, pattern: str, sizes_in: tuple[float, ...], port: str) -> float:
        """Return make-up and socket of one port [mm]."""
        key = (pattern, sizes_in, port)
        if key not in self._known:
            data = catalog.fitting(pattern, sizes_in, self.parts)
            size = sizes_in[min(list(data.ports).index(port), len(sizes_in) - 1)]
            self._known[key] = data.ports[port] + self.parts.socket_mm(size)
        return self._known[key]

    def opposite(self, across_deg: float) -> bool:
        """Return whether two branches so far from each other in plan go straight into one double fitting."""
        return across_deg > 180.0 - self._play

    def square(self, across_deg: float) -> bool:
        """Return whether they go straight into one tee with a side inlet."""
        return abs(across_deg - 90.0) < self._play

    @property
    def _play(self) -> float:
        """Return how far a branch may stand askew to its hub: a little less than what the catalogue gives [deg]."""
        return self.parts.figure("fitting angle play").value - TO_SPARE_DEG

    def eighth(self, size_in: float) -> float:
        """Return the room beside a 45 degree bend."""
        return self.room("1/8 bend", (size_in, size_in), "outlet")

    def quarter(self, size_in: float) -> float:
        """Return the room beside a short 90 degree bend: level to upright, and in dry vents."""
        return self.room("1/4 bend", (size_in, size_in), "outlet")

    def sweep(self, size_in: float) -> float:
        """Return the room beside a long-turn 90 degree bend: level to level, and upright to level."""
        return self.room("long-turn 1/4 bend", (size_in, size_in), "outlet")

    def bend(self, size_in: float, turn: int) -> float:
        """Return the room beside a level bend of so many steps of 45 degrees; 0 for straight on."""
        return (0.0, self.eighth(size_in), self.sweep(size_in))[turn]

    def closet(self, size_in: float) -> float:
        """Return the room past a closet bend's centre."""
        return self.room("closet bend", (size_in, size_in), "outlet")

    def trap(self, size_in: float) -> float:
        """Return the room past a trap's weir."""
        return self.room("P-trap", (size_in,), "outlet")

    def joint(self, run_in: float, branch_in: float, square: bool, port: str) -> float:
        """Return the room at a port (inlet, outlet, branch) of what lets a branch into a level drain."""
        run = max(run_in, branch_in)
        return self.room("combination" if square else "wye", (run, run, branch_in), port)

    def tee(self, run_in: float, branch_in: float, port: str = "branch") -> float:
        """Return the room at a port (upper, lower, branch) of a sanitary tee on an upright drain."""
        run = max(run_in, branch_in)
        return self.room("sanitary tee", (run, run, branch_in), port)

    def stacked(self, run_in: float, over_in: float, under_in: float) -> float:
        """Return the least distance of two tees above each other on a stack, by the branches they let in."""
        return self.tee(run_in, over_in, "lower") + self.tee(run_in, under_in, "upper")

    def take_off(self, size_in: float, vent_in: float, turn: int) -> float:
        """Return the room up stream of a vent fitting that lies in a level drain, where the arm turns into it."""
        vent = min(vent_in, size_in)
        room = self.room("combination", (size_in, size_in, vent), "inlet")
        if turn:  # a street bend in the hub of the straight inlet
            name = "street 1/8 bend" if turn == 1 else "long-turn street 1/4 bend"
            data = catalog.fitting(name, (size_in, size_in), self.parts)
            room += data.ports["spigot"] + data.ports["hub"]
        return room

    def drop(self, size_in: float) -> float:
        """Return the least plumb distance between two level pipes joined by a drop: two bends face to face."""
        return self.quarter(size_in) + self.sweep(size_in)

    def street_drops(self, size_in: float, short: bool) -> tuple[tuple[float, float], ...]:
        """Return the plumb distances at which a street fitting joins two level pipes, from and to; longest first.

        Args:
            size_in: Nominal size [in].
            short: Whether the book lets a short bend lay this drain level.
        """
        over, under = "1/4 bend", "long-turn 1/4 bend"
        pairs = [("street 1/4 bend", under), ("long-turn street 1/4 bend", over)]
        pairs += [("street 1/4 bend", over)] if short else []
        out: list[tuple[float, float]] = []
        for street, hub in pairs:
            least, full = catalog.street_spigot_mm(street, size_in, self.parts)
            seat = self.room(hub, (size_in, size_in), "outlet") - self.parts.socket_mm(size_in)
            out.append((seat + min(least, full), seat + full))
        return tuple(out)

    def vent_apart(self, size_in: float) -> float:
        """Return the least distance between two tie-ins, or a tie-in and a turn, on a level vent."""
        ports = [self.room("inverted sanitary tee", (size_in,) * 3, port) for port in ("upper", "lower")]
        return max(math.fsum(ports), max(ports) + self.quarter(size_in))

    def vent_turn(self, size_in: float) -> float:
        """Return the least level run between a vent's turn and the upright vent it ties into."""
        return self.quarter(size_in) + self.room("inverted sanitary tee", (size_in,) * 3, "branch")
