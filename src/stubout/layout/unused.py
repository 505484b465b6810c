"""Upper ends of drains that nothing drains into any more: what joined them was laid another way since."""

from __future__ import annotations

from stubout.layout.draft import Board, DEdge
from stubout.layout.model import PointKind
from stubout.layout.work import Work

ENDS = frozenset({PointKind.CLEANOUT, PointKind.CAP, PointKind.FLANGE, PointKind.TRAP})


def take_up_unused(work: Work) -> None:
    """Take drains off a desk into which nothing drains, up to the first joint of what does."""
    kept = {t.weir for t in work.traps.values()} | {s.foot for s in work.board.stacks}
    while ends := _unused(work.board, kept):
        for e in ends:
            _take_up(work.board, e)
            for router in work.routers.values():
                router.edge_layer.pop(e.id, None)


def _unused(board: Board, kept: set[int]) -> list[DEdge]:
    """Return the drains that begin where nothing comes in; none that alone leads to the sewer."""
    fed = {e.down for e in board.edges.values()}
    return [
        e
        for e in board.edges.values()
        if e.system == "drain"
        and not e.drawn
        and e.up not in fed
        and e.up not in kept
        and board.nodes[e.up].kind not in ENDS
        and board.nodes[e.down].kind is not PointKind.SEWER
    ]


def _take_up(board: Board, e: DEdge) -> None:
    board.edges.pop(e.id)
    if not any(e.up in (o.up, o.down) for o in board.edges.values()):
        board.nodes.pop(e.up)
    joint = board.nodes[e.down]
    if joint.kind is PointKind.JUNCTION and joint.stack < 0 and len(board.into(joint.id)) == 1:
        joint.kind = PointKind.TURN
