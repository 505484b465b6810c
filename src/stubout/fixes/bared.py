"""Pipes that a change brings out of wall, cabinet, soffit or floor into the open: what no change may bring about.

No check tells of them where the job names no room there, and a box around them is the builder's to agree to.
"""

from __future__ import annotations

from stubout.design import Design
from stubout.house.model import House
from stubout.layout.places import place_of
from stubout.network.model import Pipe

HIDDEN = frozenset({"wall", "cabinet", "soffit"})
IN_FLOOR = "joist bay"
OPEN = "room"


def newly_bared(before: Design, after: Design) -> frozenset[str]:
    """Return the pipes that a change brings into the open. Common practice, no source.

    A pipe that was hidden before, wherever the change says that it lies; or a new one where none lay open: in a
    basement the pieces of a parted stack may. Out of a floor only what comes up: below it may be a basement.
    """
    was = {p.id: p for p in before.network.pipes}
    bare = {p.place for p in was.values() if p.place.kind == OPEN}

    def new(p: Pipe) -> bool:
        old = was.get(p.id)
        if old is None:
            return p.place.kind == OPEN and p.place not in bare
        up = old.place.kind == IN_FLOOR and p.a.z + p.b.z > old.a.z + old.b.z
        if not (up or old.place.kind in HIDDEN) or (p.a, p.b) == (old.a, old.b):
            return False
        return _open(after.house, p) and not _open(before.house, old)

    return frozenset(p.id for p in after.network.pipes if new(p))


def _open(house: House, pipe: Pipe) -> bool:
    return place_of(house, pipe.a, pipe.b).kind == OPEN
