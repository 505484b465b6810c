"""The lists of the saw as heads and rows: cut pieces, sticks, what is bought of each size."""

from __future__ import annotations

from collections.abc import Iterable, Sequence

from stubout.fabrication.model import Fabrication
from stubout.reports.order import Order

Entry = str | float | int | bool | None
Rows = Iterable[Sequence[Entry]]


def shop_lists(fab: Fabrication) -> dict[str, tuple[Sequence[str], Rows]]:
    """Return head and rows of every list by its name; lengths [mm], sizes nominal inches."""
    return {
        "cuts": _cuts(fab),
        "measure_first": (
            ("fitting", "dimension", "reckoned_mm", "status", "may_be_off_mm", "ends", "influence_mm", "pieces"),
            (
                (m.fitting, m.dimension, m.mm, m.status.value, m.off_mm, m.ends, m.influence_mm, " ".join(m.pieces))
                for m in fab.measure_first
            ),
        ),
        "stock": (
            ("stick", "size_in", "stock_mm", "pieces", "left_mm", "on_hand"),
            ((k, s.size_in, s.stock_mm, " ".join(s.pieces), s.left_mm, s.on_hand) for k, s in enumerate(fab.sticks, 1)),
        ),
        "stock_sums": (
            (
                "size_in",
                "cut_mm",
                "bought_mm",
                "sticks",
                "proven_least_mm",
                "proven_sticks",
                "gap",
                "proven",
                "by",
                "on_hand",
            ),
            (
                (
                    s.size_in,
                    s.cut_mm,
                    s.bought_mm,
                    s.sticks,
                    s.bound_mm,
                    s.bound_sticks,
                    s.gap,
                    s.proven,
                    s.by,
                    s.on_hand,
                )
                for s in fab.stock
            ),
        ),
    }


def order_list(of: Order) -> tuple[Sequence[str], Rows]:
    """Return head and rows of the order with prices; a line without one has empty cells."""
    head = ("group", "item", "size", "quantity", "unit", "each", "total", "currency")
    return head, (
        (
            p.line.group,
            p.line.item,
            p.line.size,
            p.line.quantity,
            p.line.unit,
            None if p.each is None else float(p.each),
            None if p.total is None else float(p.total),
            of.currency,
        )
        for p in of.lines
    )


def _cuts(fab: Fabrication) -> tuple[Sequence[str], Rows]:
    head = (
        "piece", "pipe", "system", "size_in", "centre_mm", "less_start_mm", "less_end_mm", "cut_mm", "cut_in",
        "start_fitting", "end_fitting", "fits", "status", "note",
    )  # fmt: skip
    return head, (
        (
            p.id,
            p.pipe,
            p.system,
            p.size_in,
            p.centre_mm,
            p.takeoff_start_mm,
            p.takeoff_end_mm,
            p.cut_mm,
            p.cut_mm / 25.4,
            p.start_fitting,
            p.end_fitting,
            p.fits,
            p.status.value,
            p.note,
        )
        for p in fab.pieces
    )
