"""Pipes that a change brings out of their wall, cabinet or soffit into the open: what no change may bring about.

No check tells of them where the job names no room there, and a box around them is the builder's to agree to.
"""

from __future__ import annotations

from stubout.design import Design
from stubout.house.model import House
from stubout.layout.places import place_of
from stubout.network.model import Pipe

HIDDEN = frozenset({"wall", "cabinet", "soffit"})
OPEN = "room"


def newly_bared(before: Design, after: Design) -> frozenset[str]:
    """Return the pipes that a change brings into the open. Common practice, no source.

    A pipe that was hidden before, wherever the change says that it lies; or a new one where none lay open: in a
    basement the pieces of a parted stack may.
    """
    was = {p.id: p for p in before.network.pipes}
    bare = {p.place for p in was.values() if p.place.kind == OPEN}

    def new(p: Pipe) -> bool:
        old = was.get(p.id)
        if old is None:
            return p.place.kind == OPEN and p.place not in bare
        if old.place.kind not in HIDDEN or (p.a, p.b) == (old.a, old.b):
            return False
        return _open(after.house, p) and not _open(before.house, old)

    return frozenset(p.id for p in after.network.pipes if new(p))


def _open(house: House, pipe: Pipe) -> bool:
    return place_of(house, pipe.a, pipe.b).kind == OPEN
