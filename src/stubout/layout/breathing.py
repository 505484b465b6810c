"""Through which drains a wet-vented trap gets its air, from whose dry vent, and which two share a vent."""

from __future__ import annotations

from stubout.layout.model import VentMethod
from stubout.layout.work import TrapDraft, Work


def breathes_through(work: Work, t: TrapDraft) -> list[int]:
    """Return the drains (edge ids) between a wet-vented trap and the dry vent it breathes through, nearest first."""
    return _way(work, t)[1]


def vent_sizes(work: Work) -> dict[str, float]:
    """Return for every trap with a dry vent the size that vent needs, for what is wet vented through it too [in]."""
    out = {t.tag: t.need.vent_in for t in work.traps.values()}
    dry = {o.takeoff: o.tag for o in work.traps.values() if o.method is VentMethod.INDIVIDUAL and o.takeoff}
    for t in work.traps.values():
        if t.method is VentMethod.COMMON and t.partner in out:
            out[t.partner] = max(out[t.partner], t.need.vent_in)
        at, _ = _way(work, t)
        if at in dry:
            out[dry[at]] = max(out[dry[at]], t.need.vent_in)
    return out


def vent_mate(work: Work, t: TrapDraft) -> str:
    """Return the tag of the fixture with which a trap shares its vent, "" for none: in one fitting or at two heights.

    At two heights on the stack that both breathe through, where nothing else comes in between or above them.
    """
    if t.partner or t.method is not VentMethod.STACK or not t.takeoff:
        return t.partner
    nodes, stack = work.board.nodes, work.board.nodes[t.takeoff].stack
    if stack < 0 or work.board.stacks[stack].drawn:
        return ""
    upper = sorted(work.board.stacks[stack].nodes, key=lambda i: nodes[i].z or 0.0)[-2:]
    there = [o for o in work.traps.values() if o.takeoff in upper and o.method is VentMethod.STACK]
    if len(there) != 2 or {o.takeoff for o in there} != set(upper) or any(o.need.closet for o in there):
        return ""
    return next(o.tag for o in there if o is not t)


def _way(work: Work, t: TrapDraft) -> tuple[int, list[int]]:
    """Return the point of the dry vent a wet-vented trap breathes through (0 for none) and the drains up to it."""
    if t.method is not VentMethod.WET or not t.takeoff:
        return 0, []
    board = work.board
    dry = {o.takeoff for o in work.traps.values() if o.method is VentMethod.INDIVIDUAL and o.takeoff}
    own = set(t.arm)
    back: dict[int, int] = {}
    queue = [t.takeoff]
    while queue:
        at = queue.pop(0)
        if at in dry:
            path: list[int] = []
            end = at
            while at != t.takeoff:
                path.append(back[at])
                at = board.edges[back[at]].down
            return end, path[::-1]
        for e in sorted(board.into(at), key=lambda e: e.id):
            if e.id not in own and e.up not in back and e.up != t.takeoff:
                back[e.up] = e.id
                queue.append(e.up)
    return 0, []
