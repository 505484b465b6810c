"""The stock plan: which piece is sawn from which stick, best fit decreasing. Lengths [mm]."""

from __future__ import annotations

from stubout.fabrication.model import CutPiece, Stick


def plan(pieces: tuple[CutPiece, ...], stock_mm: tuple[float, ...], kerf_mm: float) -> tuple[Stick, ...]:
    """Return the sticks to buy, size by size, largest size first.

    Best fit decreasing, once for every stock length as the least that is opened; of these the plan with the least pipe
    bought, then the fewest sticks; each stick is then taken as short as its pieces allow.

    Args:
        pieces: The cut pieces; one without length is left out.
        stock_mm: Stock lengths of the job [mm].
        kerf_mm: Saw kerf and trim per cut [mm].
    """
    stock = sorted(s for s in set(stock_mm) if s > 0)
    if not stock:
        return ()
    out: list[Stick] = []
    for size in sorted({p.size_in for p in pieces}, reverse=True):
        cuts = sorted(
            ((p.cut_mm, p.id) for p in pieces if p.size_in == size and p.cut_mm > 0), key=lambda c: (-c[0], c[1])
        )
        if not cuts:
            continue
        plans = [_pack(cuts, stock, kerf_mm, least_mm) for least_mm in stock]
        best = min(plans, key=lambda sticks: (round(sum(s[0] for s in sticks), 3), len(sticks)))
        for length, ids, used in best:
            out.append(Stick(size, length, tuple(ids), max(length - used, 0.0)))
    return tuple(out)


def _least(need: float, stock: list[float]) -> float:
    """Return the shortest stock length that holds a piece, the longest where none does."""
    return next((s for s in stock if need <= s + 1e-6), stock[-1])


def _pack(
    cuts: list[tuple[float, str]], stock: list[float], kerf: float, least_mm: float
) -> list[tuple[float, list[str], float]]:
    sticks: list[tuple[float, list[str], float]] = []  # stock length, pieces, used with kerfs
    for length, piece in cuts:
        best = -1
        for i, (stick, _, used) in enumerate(sticks):
            room = stick - used - length
            if room >= -1e-6 and (best < 0 or room < sticks[best][0] - sticks[best][2] - length):
                best = i
        if best < 0:
            sticks.append((max(_least(length, stock), least_mm), [piece], length + kerf))
        else:
            stick, ids, used = sticks[best]
            sticks[best] = (stick, [*ids, piece], used + length + kerf)
    out = []
    for stick, ids, used in sticks:
        short = _least(used - kerf, stock)  # the last kerf falls beyond the end where the stick is just used up
        out.append((min(stick, short) if used - kerf <= short + 1e-6 else stick, ids, used))
    return out
