"""What the saw, the drill and the yard need. Lengths [mm]."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

from stubout.geometry.vec import Vec
from stubout.problems import Basis, Status

UNKNOWN = "unknown"  # material of installed pipe that the job does not tell


@dataclass(frozen=True, slots=True)
class FittingUse:
    """One fitting in its place: pattern by flow direction, sizes run x run x branch."""

    id: str  # "F12"
    node: str  # network node; a node may need several (bushing + tee); "" of a coupling in a run
    pattern: str  # catalogue word: "sanitary tee", "wye", "combination", "long-turn 1/4 bend" ...
    sizes_in: tuple[float, ...]  # inlet, outlet[, branch[, branch]]
    at: Vec
    pipes: tuple[str, ...]  # pipe ids at its ports, in port order
    status: Status  # of the make-up dimensions
    note: str = ""
    off_deg: float = 0.0  # turn of the run less what the fitting makes, where no bend and no pair of bends makes it
    beside_mm: float = 0.0  # how far down stream of its point it stands, and what branches off it; up stream below 0
    onto: str = ""  # of a transition coupling: the material of the installed pipe, "unknown" while nobody has told it

    @property
    def in_run(self) -> bool:
        """Return whether it is a coupling in a straight run: it stands on its pipe, at no node."""
        return not self.node and self.pattern == "coupling"


@dataclass(frozen=True, slots=True)
class CutPiece:
    """One piece of pipe: cut length = centre to centre less make-ups."""

    id: str  # "D3-1": pipe id and piece number
    pipe: str
    system: str
    size_in: float
    centre_mm: float
    takeoff_start_mm: float
    takeoff_end_mm: float
    cut_mm: float
    start_fitting: str  # fitting ids ("" open end, "trap", "terminal")
    end_fitting: str
    status: Status
    fits: bool = True  # False: neither a piece of pipe nor a street fitting goes between
    note: str = ""
    pipes: tuple[str, ...] = ()  # every pipe of the straight run it is cut from, `pipe` is the first
    street: str = ""  # id of the street fitting whose spigot stands here instead of pipe; then cut_mm is 0
    do: str = ""  # what makes it fit, where it does not
    make_ups: tuple[tuple[str, str], ...] = ()  # what it is shortened by: fitting and dimension, one an end or more
    set_in: Literal["", "short", "whole"] = ""  # new pipe in installed pipe: beside a fitting, or for all of it


@dataclass(frozen=True, slots=True)
class Bore:
    """One hole (or notch) through a member."""

    id: str
    member: str  # as `members.member_name` has it: "M-P stud at 406", "main floor joist at 5740 E", "M-P top plate"
    member_kind: Literal["stud", "bottom plate", "top plate", "joist", "i-joist", "truss", "beam", "rafter"]
    wall_or_frame: str
    station_mm: float  # along wall (stud) or across frame (joist) of the member
    pipe: str
    centre: Vec
    hole_mm: float
    depth_mm: float  # of the member
    edge_mm: float  # least wood from hole to edge
    limit_mm: float | None  # largest hole the book allows, None = none stated
    edge_limit_mm: float | None
    verdict: Literal["ok", "too big", "edge", "engineer", "not allowed", "strap"]
    height_subfloor_mm: float
    height_finished_mm: float
    bases: tuple[Basis, ...] = ()
    note: str = ""


@dataclass(frozen=True, slots=True)
class Plate:
    """A nail plate (shield) or a strap over a cut top plate."""

    id: str
    kind: Literal["nail plate", "strap", "stud shoe"]
    bore: str
    face: str  # "left", "right", "both", "top"
    length_mm: float
    distance_mm: float  # pipe surface to the member's face
    bases: tuple[Basis, ...] = ()


@dataclass(frozen=True, slots=True)
class Hanger:
    """One support."""

    id: str
    pipe: str
    at: Vec
    kind: Literal["hanger", "strap", "clamp", "bed"]
    bases: tuple[Basis, ...] = ()
    reach_mm: float = 0.0  # from the joists it hangs from down to the top of the pipe; 0 where the wood holds it itself


@dataclass(frozen=True, slots=True)
class TestCap:
    """A cap or plug for the water test, numbered in and out."""

    __test__ = False

    id: str
    node: str
    size_in: float
    at: Vec
    what: Literal["cap", "plug", "inflatable plug", "test tee"]
    head_mm: float  # water column above it at the test level


@dataclass(frozen=True, slots=True)
class MaterialLine:
    """One line of the order."""

    group: Literal["pipe", "fitting", "hanger", "plate", "test", "cement"]
    item: str
    size: str
    quantity: float
    unit: str
    note: str = ""
    status: Status = Status.READ


ProvenBy = Literal["arithmetic", "columns", "solver"]


@dataclass(frozen=True, slots=True)
class Stick:
    """One stock length and what is cut from it."""

    size_in: float
    stock_mm: float
    pieces: tuple[str, ...]
    left_mm: float
    on_hand: bool = False  # an offcut that is there already


@dataclass(frozen=True, slots=True)
class StockSum:
    """What the stock plan of one size buys, and the proven least: pipe first, then sticks for that much pipe."""

    size_in: float
    cut_mm: float  # all pieces, without kerf
    bought_mm: float
    sticks: int
    bound_mm: float  # no plan buys less
    bound_sticks: int  # nor, for that much pipe, fewer sticks
    by: ProvenBy = "arithmetic"  # what the bound comes from
    on_hand: int = 0  # offcuts used that are there already

    @property
    def proven(self) -> bool:
        """Return whether no plan is better."""
        return self.bought_mm <= self.bound_mm + 1e-3 and self.sticks <= self.bound_sticks

    @property
    def gap(self) -> float:
        """Return how much of the pipe bought a better plan might save at most, as a share of it."""
        return max(self.bought_mm - self.bound_mm, 0.0) / self.bought_mm if self.bought_mm else 0.0


@dataclass(frozen=True, slots=True)
class MeasureFirst:
    """One dimension of a fitting that nobody has measured, and what hangs on it."""

    fitting: str  # as the job file's `measured` names it: "sanitary tee 3 x 3 x 2"
    dimension: str  # likewise: "branch", "make-up" where both ends of a fitting are alike
    mm: float  # reckoned with
    status: Status
    off_mm: float  # how far it may be out
    ends: int  # how many ends of pieces it shortens
    influence_mm: float  # by how much all cut lengths together may be out for it
    pieces: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class RunTolerance:
    """How far one straight run may come out longer or shorter than drawn."""

    pipes: tuple[str, ...]
    pieces: tuple[str, ...]
    worst_mm: float  # all errors the same way
    likely_mm: float  # root of the sum of squares


InLine = Literal["up", "down", "side", "first"]  # from below, from above, into its bay, before the concrete round it


@dataclass(frozen=True, slots=True)
class PutIn:
    """A straight run through several members, and how it is put in."""

    piece: str  # the first it is cut into
    owner: str  # wall or frame; all of them of an upright run, from its foot up, with the level of a slab and "roof"
    members: int
    length_mm: float  # in one piece
    room_mm: float  # in line beside the members: the wider of the two bays; the longest stretch of an upright run
    open_end: bool  # of the wall, in line, or of the roof: any length goes in from there
    couplings: int  # in the run; 0 = one piece
    pieces: tuple[str, ...] = ()  # in the order they are put in
    joints: tuple[str, ...] = ()  # the couplings, along the run
    goes: bool = True  # False: not even so; there is no place for the couplings it would need
    ways: tuple[InLine, ...] = ()  # of an upright run: how each of its pieces comes in, in their order


@dataclass(frozen=True, slots=True)
class WallOrder:
    """The pieces of one wall in the order they are put in."""

    wall: str
    pieces: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class Fabrication:
    """Everything that is cut, bored, fixed and bought."""

    fittings: tuple[FittingUse, ...]
    pieces: tuple[CutPiece, ...]
    bores: tuple[Bore, ...]
    plates: tuple[Plate, ...]
    hangers: tuple[Hanger, ...]
    caps: tuple[TestCap, ...]
    sticks: tuple[Stick, ...]
    materials: tuple[MaterialLine, ...]
    stock: tuple[StockSum, ...] = ()
    measure_first: tuple[MeasureFirst, ...] = ()
    tolerances: tuple[RunTolerance, ...] = ()
    put_in: tuple[PutIn, ...] = ()
    orders: tuple[WallOrder, ...] = ()
