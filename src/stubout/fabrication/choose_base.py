"""What the choice of fittings is made with: drafts, take-offs, bends for a turn, bushings. Lengths [mm]."""

from __future__ import annotations

from dataclasses import dataclass, field
from typing import Protocol

from stubout.catalog import queries as catalogue
from stubout.catalog.model import Catalog, FittingData
from stubout.fabrication.ends import STRAIGHT_DEG, End, EndKey
from stubout.problems import Status, weakest

SINGLE_BENDS = ((22.5, "1/16 bend"), (45.0, "1/8 bend"), (60.0, "1/6 bend"), (90.0, "1/4 bend"))
STREET = {  # elbow -> its street pattern
    "1/16 bend": "street 1/16 bend",
    "1/8 bend": "street 1/8 bend",
    "1/6 bend": "street 1/6 bend",
    "1/4 bend": "street 1/4 bend",
    "long-turn 1/4 bend": "long-turn street 1/4 bend",
    "closet bend": "street 1/4 bend",
}
BEND_PLAY_DEG = 8.0  # what two sockets and a falling pipe may add to a bend's own angle
WYE_MAX_DEG = 62.0  # a branch that turns up to this is a wye, above it a tee or combination
AGAINST_DEG = 105.0  # a branch that turns more than this enters against the flow


class Allowed(Protocol):
    """The book's word on a fitting."""

    def __call__(
        self, pattern: str, turn: str, size_in: float, fixture_drain: bool, /, *, barrel_in: float = 0.0
    ) -> bool:
        """Return whether the book allows a pattern for a turn.

        Args:
            pattern: Catalogue word of the fitting.
            turn: Word of the turn, such as "h-v".
            size_in: Size of what turns, the largest of two branches [nominal in].
            fixture_drain: Whether it serves one fixture only.
            barrel_in: Size of the straight run of a double fitting, 0 where it is not asked about [nominal in].
        """
        ...


@dataclass(frozen=True, slots=True)
class Draft:
    """One fitting, before it has a number."""

    pattern: str
    sizes_in: tuple[float, ...]
    pipes: tuple[str, ...]
    status: Status
    note: str = ""
    off_deg: float = 0.0  # turn less what the fittings make, where they do not make it
    beside_mm: float = 0.0  # how far down stream of its point it stands, with what branches off it; up stream below 0
    onto: str = ""  # of a transition coupling: the material of the installed pipe


MakeUp = tuple[str, str]  # a dimension of a fitting: "sanitary tee 3 x 3 x 2", "branch"


@dataclass(frozen=True, slots=True)
class TakeOff:
    """What is between the node and the end of the pipe in its socket."""

    mm: float
    draft: int  # index of the fitting whose socket it enters, -1 = none
    status: Status
    open_end: str = ""  # "stub-out", "arm", "terminal", "open": no socket here
    make_ups: tuple[MakeUp, ...] = ()  # the dimensions it is made of
    bushed: int = -1  # index of the fitting that its bushing is in, -1 = none


def taken(data: FittingData, port: str, draft: int) -> TakeOff:
    """Return what one port of a fitting takes off.

    Args:
        data: The fitting.
        port: Its port.
        draft: Index of the fitting in its joint.
    """
    return TakeOff(data.ports[port], draft, data.statuses[port], make_ups=((data.key, port),))


@dataclass(slots=True)
class Joint:
    """What stands at a node."""

    drafts: list[Draft] = field(default_factory=list)
    take: dict[EndKey, TakeOff] = field(default_factory=dict)
    through: bool = False  # no fitting: the pipe runs on


def said(data: FittingData) -> str:
    """Return what to say of a fitting in its place: only that its make-up is a guess, where it is."""
    return "make-up is an estimate: measure" if data.status is Status.ESTIMATE else ""


def bends_for(turn: float, quarter: str) -> tuple[tuple[str, ...], tuple[float, ...]]:
    """Return the bends, and their angles, that make a turn [deg]: one if one comes near enough, else two.

    >>> bends_for(44.0, "1/4 bend")
    (('1/8 bend',), (45.0,))
    >>> bends_for(135.0, "1/4 bend")
    (('1/4 bend', '1/8 bend'), (90.0, 45.0))
    """
    table = [(a, quarter if n == "1/4 bend" else n) for a, n in SINGLE_BENDS]
    angle, name = min(table, key=lambda b: abs(b[0] - turn))
    pairs = [(x, y) for x in table for y in table if x[0] >= y[0]]
    one, two = min(pairs, key=lambda p: (abs(p[0][0] + p[1][0] - turn), -p[0][0]))
    if abs(angle - turn) <= max(STRAIGHT_DEG, abs(one[0] + two[0] - turn)):
        return (name,), (angle,)
    return (one[1], two[1]), (one[0], two[0])


def made_of(turn: float, angles: tuple[float, ...]) -> tuple[str, float]:
    """Return what to say of a turn and the bends that are to make it, and how far they are off if they cannot [deg].

    >>> made_of(36.0, (45.0,))
    ('turn of 36 degrees: no bend and no two bends make it; nearest 45, 9 off: change the angle of the run', -9.0)
    >>> made_of(45.0, (45.0,))
    ('', 0.0)
    """
    off = turn - sum(angles)
    pair = f" made of {len(angles)} bends joined closely" if len(angles) > 1 else ""
    if abs(off) > BEND_PLAY_DEG:
        nearest = f"nearest {sum(angles):g}, {abs(off):.0f} off: change the angle of the run"
        return f"turn of {turn:.0f} degrees: no bend and no two bends make it; {nearest}", off
    if abs(off) > STRAIGHT_DEG:
        return f"turn of {turn:.0f} degrees{pair}, {abs(off):.0f} off the bend: set the run to {sum(angles):g}", 0.0
    return (f"turn of {turn:.0f} degrees{pair}" if pair else ""), 0.0


def bush(joint: Joint, catalog: Catalog, e: End, port_in: float) -> None:
    """Put a flush bushing into a port that is larger than its pipe."""
    if e.size_in >= port_in:
        return
    sizes = (port_in, e.size_in)
    data = catalogue.fitting("bushing", sizes, catalog)
    joint.drafts.append(Draft("bushing", sizes, (e.pipe.id,), data.status, said(data)))
    was = joint.take[e.key]
    joint.take[e.key] = TakeOff(
        was.mm + data.ports["outlet"],
        len(joint.drafts) - 1,
        weakest((was.status, data.status)),
        make_ups=(*was.make_ups, (data.key, "outlet")),
        bushed=was.draft,
    )
