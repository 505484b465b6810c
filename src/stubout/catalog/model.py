"""The catalogue: pipe, hubs, fittings, traps, trade figures - typed, frozen, every value with its status.

The data are the TOML files beside this module; `shipped.py` is written from them (a test compares), so that the core
needs no file. Questions are put through `stubout.catalog.queries`. All lengths in mm, sizes nominal inches.
Make-ups are provisional (see the data file): the job's own measurements, laid over with `with_measured`, win.
"""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import dataclass, field, replace
from typing import Literal

from stubout.problems import Basis, CatalogError, Status

MM_PER_INCH = 25.4
FittingKind = Literal["bend", "street", "tee", "wye", "combination", "straight", "end"]
Measured = tuple[str, str, float]  # fitting key "sanitary tee 3 x 3 x 2", dimension "branch", mm


@dataclass(frozen=True, slots=True)
class Dim:
    """One dimension [mm] with its source status."""

    mm: float
    printed: str
    status: Status
    note: str = ""


@dataclass(frozen=True, slots=True)
class Figure:
    """One trade figure that is no dimension of a part: kerf, trap entry, shares."""

    id: str
    value: float
    unit: str
    printed: str
    status: Status
    note: str = ""

    @property
    def basis(self) -> Basis:
        """Return the figure as a basis for a finding or derivation."""
        return Basis(self.id, self.printed, "catalog", "", self.status, self.note)


@dataclass(frozen=True, slots=True)
class PipeData:
    """One pipe: outside, bore, wall [mm], weight [kg/m]."""

    material: str
    size_in: float
    od_mm: float
    id_mm: float  # average bore: what the water sees
    bore_mm: float  # nominal bore, OD - 2 x least wall
    wall_mm: float
    kg_per_m: float
    basis: Basis

    @property
    def litres_per_m(self) -> float:
        """Return the content of a full pipe [L/m]."""
        return math.pi * self.id_mm**2 / 4 / 1000


@dataclass(frozen=True, slots=True)
class HubData:
    """Socket and hub of one size, and the holes bored for its pipe [mm]."""

    size_in: float
    socket: Dim
    od: Dim
    hole: Dim  # usual bit
    tight: Dim  # least bit the pipe goes through


@dataclass(frozen=True, slots=True)
class Pattern:
    """One fitting pattern: make-ups per port and size [mm], empty where built from others."""

    name: str
    kind: FittingKind
    turn_deg: float
    status: Status
    note: str = ""
    like: str = ""  # another pattern whose make-ups it takes
    make_up: Mapping[str, Mapping[float, Dim]] = field(default_factory=dict)


@dataclass(frozen=True, slots=True)
class Reducing:
    """A reducing pattern with figures of its own, in port order."""

    pattern: str
    sizes_in: tuple[float, ...]
    make_up: tuple[Dim, ...]


@dataclass(frozen=True, slots=True)
class FittingData:
    """One fitting: the make-up at every port [mm], hub outside diameters, how sure."""

    key: str  # "sanitary tee 3 x 3 x 2"
    pattern: str
    sizes_in: tuple[float, ...]
    ports: Mapping[str, float]  # port name -> make-up, in port order
    hubs: Mapping[str, float]  # port name -> hub outside diameter
    statuses: Mapping[str, Status]
    status: Status
    note: str = ""

    @property
    def bases(self) -> tuple[Basis, ...]:
        """Return the make-ups as bases, one a port."""
        return tuple(
            Basis(f"make-up {self.key}, {p}", f"{mm:.1f} mm", "catalog", "", self.statuses[p], self.note)
            for p, mm in self.ports.items()
        )


@dataclass(frozen=True, slots=True)
class Lumber:
    """One lumber size: actual inches of the trade and the metric size [mm]."""

    name: str
    width_mm: float
    depth_mm: float
    metric_mm: tuple[float, float]
    status: Status


def size_text(size_in: float) -> str:
    """Return a nominal size as the trade writes it.

    >>> size_text(1.25), size_text(3.0)
    ('1-1/4', '3')
    """
    whole, part = divmod(size_in, 1.0)
    if part == 0:
        return f"{int(whole)}"
    return f"{int(whole)}-{ {0.25: '1/4', 0.5: '1/2', 0.75: '3/4'}.get(part, f'{part:g}') }"


def fitting_key(pattern: str, sizes_in: tuple[float, ...]) -> str:
    """Return pattern and sizes in words, equal sizes of a two-port fitting said once.

    >>> fitting_key("sanitary tee", (3.0, 3.0, 2.0)), fitting_key("1/4 bend", (2.0, 2.0))
    ('sanitary tee 3 x 3 x 2', '1/4 bend 2')
    """
    sizes = sizes_in[:1] if len(sizes_in) <= 2 and len(set(sizes_in)) == 1 else sizes_in
    return f"{pattern} " + " x ".join(size_text(s) for s in sizes)


def same_key(said: str, key: str) -> bool:
    """Return whether a key written by hand means this fitting: case, blanks, the kind of x and inch marks are free."""

    def norm(text: str) -> str:
        out = text.lower().replace("×", "x").replace('"', "").replace("″", "").replace("-", "").replace(" in ", " ")
        return "".join(out.split())

    return norm(said) == norm(key)


@dataclass(frozen=True, slots=True)
class Catalog:
    """Everything known of the parts, by material and size. A size it does not hold raises CatalogError."""

    pipes: Mapping[tuple[str, float], PipeData]
    hubs: Mapping[float, HubData]
    patterns: Mapping[str, Pattern]
    reducing: tuple[Reducing, ...]
    seal: Dim
    reaches: Mapping[float, Dim]
    figures: Mapping[str, Figure]
    joints_per_quart: Mapping[float, float]
    lumber: tuple[Lumber, ...]
    measured: tuple[Measured, ...] = ()
    fittings: dict[tuple[str, tuple[float, ...]], FittingData] = field(
        default_factory=dict, init=False, compare=False, repr=False
    )
    """Those asked for before: a house asks for the same few tens of thousands of times."""

    def with_measured(self, measured: tuple[Measured, ...]) -> Catalog:
        """Return the catalogue with the job's own measurements laid over it (status: job)."""
        return replace(self, measured=self.measured + measured) if measured else self

    # pipe and hubs -----------------------------------------------------------------------------------------------

    def sizes(self) -> tuple[float, ...]:
        """Return the nominal sizes held, smallest first [in]."""
        return tuple(sorted(self.hubs))

    def pipe(self, material: str, size_in: float) -> PipeData:
        """Return a pipe by material ("abs", "pvc") and nominal size [in]."""
        try:
            return self.pipes[(material, size_in)]
        except KeyError:
            raise CatalogError(f"no {material} pipe of {size_in:g} in the catalogue") from None

    def hub(self, size_in: float) -> HubData:
        """Return socket, hub and holes of a nominal size [in]."""
        try:
            return self.hubs[size_in]
        except KeyError:
            raise CatalogError(f"no hub of {size_in:g} in the catalogue") from None

    def od_mm(self, size_in: float) -> float:
        """Return the outside diameter, the same for both plastics [mm]."""
        return self.pipe("pvc", size_in).od_mm

    def hub_od_mm(self, size_in: float) -> float:
        """Return the hub outside diameter to use for clearance [mm]."""
        return self.hub(size_in).od.mm

    def socket_mm(self, size_in: float) -> float:
        """Return how deep a pipe enters the socket [mm]."""
        return self.hub(size_in).socket.mm

    def hole_mm(self, size_in: float) -> float:
        """Return the hole the trade bores for a pipe [mm]."""
        return self.hub(size_in).hole.mm

    def tight_hole_mm(self, size_in: float) -> float:
        """Return the least bit the pipe goes through [mm]."""
        return self.hub(size_in).tight.mm

    # traps -------------------------------------------------------------------------------------------------------

    @property
    def trap_seal_mm(self) -> float:
        """Return the seal reckoned with, the least of the books' range [mm]."""
        return self.seal.mm

    def trap_drop_mm(self, size_in: float) -> float:
        """Return bottom of the trap to its outlet centre [mm]: nominal bore + seal + OD/2 (derived).

        Example: dimensions table 2.3 prints 4-9/16 in for 1-1/2 and 5-1/4 in for 2 at a 2 in seal.
        """
        p = self.pipe("pvc", size_in)
        return p.bore_mm + self.seal.mm + p.od_mm / 2

    def trap_reach(self, size_in: float) -> Dim:
        """Return inlet centre to riser centre of a P-trap, in plan."""
        try:
            return self.reaches[size_in]
        except KeyError:
            raise CatalogError(f"no trap of {size_in:g} in the catalogue") from None

    def trap_reach_mm(self, size_in: float) -> float:
        """Return inlet centre to riser centre of a P-trap, in plan [mm]."""
        return self.trap_reach(size_in).mm

    # figures -----------------------------------------------------------------------------------------------------

    def figure(self, figure_id: str) -> Figure:
        """Return a trade figure by id."""
        try:
            return self.figures[figure_id]
        except KeyError:
            raise CatalogError(f"no trade figure {figure_id!r} in the catalogue") from None

    def pattern(self, name: str) -> Pattern:
        """Return a fitting pattern by its word."""
        try:
            return self.patterns[name]
        except KeyError:
            raise CatalogError(f"no fitting pattern {name!r}; known: {', '.join(sorted(self.patterns))}") from None
