"""The pipe ends that meet at a node, with their directions; how a book and the catalogue are asked from here."""

from __future__ import annotations

from collections.abc import Callable, Collection
from dataclasses import dataclass
from typing import ParamSpec, TypeVar

from stubout.geometry.vec import Vec, angle_deg
from stubout.network.model import Network, Node, Pipe, Role

P = ParamSpec("P")
T = TypeVar("T")

STRAIGHT_DEG = 4.0  # two pipes this near to one line need no fitting: the plastic gives way
RUN_DEG = 12.0  # a run through a tee or wye may bend this much (built-in pitch, falling pipes)
FIXTURE_ROLES = (Role.FIXTURE_DRAIN, Role.TRAP_ARM)

EndKey = tuple[str, bool]  # pipe id, True = its start


@dataclass(frozen=True, slots=True)
class End:
    """One end of a pipe at a node."""

    pipe: Pipe
    at_start: bool
    away: Vec  # unit vector from the node along the pipe

    @property
    def key(self) -> EndKey:
        """Return the key of this end."""
        return (self.pipe.id, self.at_start)

    @property
    def size_in(self) -> float:
        """Return the nominal size [in]."""
        return self.pipe.size_in

    @property
    def drain(self) -> bool:
        """Return whether it is a drain."""
        return self.pipe.system == "drain"

    @property
    def fixture_drain(self) -> bool:
        """Return whether it is a fixture drain or trap arm."""
        return self.pipe.role in FIXTURE_ROLES


def ends_at(network: Network, nodes: tuple[Node, ...], without: Collection[str] = ()) -> tuple[End, ...]:
    """Return the pipe ends at the nodes of one joint: what flows in first, then what flows out.

    Args:
        network: The network.
        nodes: The nodes of the joint.
        without: Pipes taken up inside a joint.
    """
    into = [network.pipe(i) for n in nodes for i in n.inflow if i not in without]
    out = [network.pipe(i) for n in nodes for i in n.outflow if i not in without]
    return tuple(End(p, False, _away(p, False)) for p in into) + tuple(End(p, True, _away(p, True)) for p in out)


def _away(pipe: Pipe, at_start: bool) -> Vec:
    d = pipe.b.minus(pipe.a) if at_start else pipe.a.minus(pipe.b)
    if d.length < 1e-6:
        return Vec(0.0, 0.0, 1.0 if pipe.system == "vent" else -1.0)
    return d.unit()


def opening_deg(a: End, b: End) -> float:
    """Return the angle between two ends as seen from the node: 180 is a straight run [deg]."""
    return angle_deg(a.away, b.away)


def turn_deg(into: End, out: End) -> float:
    """Return how much the flow turns from one end to the other [deg]."""
    return 180.0 - opening_deg(into, out)


def turn_word(into: Pipe, out: Pipe) -> str:
    """Return "h-v", "v-h", "h-h" or "v-v": from what to what the flow turns."""
    return ("v" if into.vertical else "h") + "-" + ("v" if out.vertical else "h")


def ask(question: Callable[P, T], *args: P.args, **kwargs: P.kwargs) -> T | None:
    """Put a question to a book or the catalogue; None where it is silent (NotInBook, CatalogError are LookupErrors)."""
    try:
        return question(*args, **kwargs)
    except LookupError:
        return None
