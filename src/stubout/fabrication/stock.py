"""The stock plan: which piece is sawn from which stick, and how near that is to the proven least. Lengths [mm]."""

from __future__ import annotations

from collections.abc import Callable, Iterable
from itertools import islice

from stubout.fabrication.model import CutPiece, Stick, StockSum
from stubout.fabrication.stock_bound import Least, Sizes, choices, least, sizes
from stubout.fabrication.stock_fill import Filled, fill

MOST_FILLED = 12  # choices of sticks that are tried to be filled
Cut = tuple[float, str]  # length, piece
Laid = list[tuple[float, list[str], float]]  # stock length, pieces, used with kerfs
Better = Callable[[Sizes, Filled], tuple[Filled, Least] | None]  # a solver: plan and bound; None where it is not there


def plan(pieces: tuple[CutPiece, ...], stock_mm: tuple[float, ...], kerf_mm: float) -> tuple[Stick, ...]:
    """Return the sticks to buy, size by size, largest size first.

    Best fit decreasing, once for every stock length as the least that is opened; of these the plan with the least pipe
    bought, then the fewest sticks; each stick is then taken as short as its pieces allow. Where that is more than the
    arithmetic bound, cheaper choices of sticks are filled one after the other.

    Args:
        pieces: The cut pieces; one without length is left out.
        stock_mm: Stock lengths of the job [mm].
        kerf_mm: Saw kerf and trim per cut [mm].
    """
    stock = sorted(s for s in set(stock_mm) if s > 0)
    if not stock:
        return ()
    out: list[Stick] = []
    for size, cuts in _by_size(pieces):
        plans = [_pack(cuts, stock, kerf_mm, least_mm) for least_mm in stock]
        best = min(plans, key=_price)
        out += _sticks(size, _filled(cuts, stock, kerf_mm, best), stock)
    return tuple(out)


def sums(
    pieces: tuple[CutPiece, ...], sticks: tuple[Stick, ...], stock_mm: tuple[float, ...], kerf_mm: float
) -> tuple[StockSum, ...]:
    """Return of every size what its plan buys and the proven least.

    Args:
        pieces: The cut pieces.
        sticks: The plan.
        stock_mm: Stock lengths of the job [mm].
        kerf_mm: Saw kerf and trim per cut [mm].
    """
    stock = sorted(s for s in set(stock_mm) if s > 0)
    out = []
    for size, cuts in _by_size(pieces):
        of_size = [s for s in sticks if s.size_in == size]
        if not of_size:
            continue
        bought = (round(sum(s.stock_mm for s in of_size), 3), len(of_size))
        held = [c for c, _ in cuts if c <= stock[-1] + 1e-6]
        over = len(cuts) - len(held)  # longer than any stick: each has one to itself, and does not fit
        bound = Least(*bought)
        if held:
            known = (bought[0] - over * stock[-1], bought[1] - over)
            bound = least(sizes(held, stock, kerf_mm), known)
            bound = Least(bound.mm + over * stock[-1], bound.sticks + over)
        need = sum(c for c, _ in cuts)
        out.append(StockSum(size, need, bought[0], bought[1], bound.mm, bound.sticks))
    return tuple(out)


def improved(
    pieces: tuple[CutPiece, ...],
    sticks: tuple[Stick, ...],
    given: tuple[StockSum, ...],
    stock_mm: tuple[float, ...],
    kerf_mm: float,
    better: Better,
) -> tuple[tuple[Stick, ...], tuple[StockSum, ...]]:
    """Return a plan in which a solver has had its say about every size that is not at its proven least.

    Args:
        pieces: The cut pieces.
        sticks: The plan so far: the solver's hint.
        given: Its sums.
        stock_mm: Stock lengths of the job [mm].
        kerf_mm: Saw kerf and trim per cut [mm].
        better: The solver.
    """
    stock = sorted(s for s in set(stock_mm) if s > 0)
    of_size = dict(_by_size(pieces))
    out: list[Stick] = []
    told: list[StockSum] = []
    for was in given:
        now = [s for s in sticks if s.size_in == was.size_in]
        cuts = of_size[was.size_in]
        told.append(was)
        if not was.proven and was.by != "solver" and all(c <= stock[-1] + 1e-6 for c, _ in cuts):
            of = sizes([c for c, _ in cuts], stock, kerf_mm)
            found = better(of, _as_filled(now, {i: c for c, i in cuts}, of, kerf_mm))
            if found is not None:
                filled, bound = found
                now = _sticks(was.size_in, _named(filled, cuts, stock, kerf_mm), stock)
                bought = round(sum(s.stock_mm for s in now), 3)
                told[-1] = StockSum(was.size_in, was.cut_mm, bought, len(now), bound.mm, bound.sticks, "solver")
        out += now
    return tuple(out), tuple(told)


def _by_size(pieces: Iterable[CutPiece]) -> list[tuple[float, list[Cut]]]:
    """Return the pieces that are sawn, by size, largest first; the longest of a size first."""
    groups: dict[float, list[Cut]] = {}
    for p in pieces:
        if p.cut_mm > 0:
            groups.setdefault(p.size_in, []).append((p.cut_mm, p.id))
    return [(s, sorted(groups[s], key=lambda c: (-c[0], c[1]))) for s in sorted(groups, reverse=True)]


def _price(laid: Laid) -> tuple[float, int]:
    return round(sum(s[0] for s in laid), 3), len(laid)


def _least(need: float, stock: list[float]) -> float:
    """Return the shortest stock length that holds a piece, the longest where none does."""
    return next((s for s in stock if need <= s + 1e-6), stock[-1])


def _pack(cuts: list[Cut], stock: list[float], kerf: float, least_mm: float) -> Laid:
    sticks: Laid = []
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


def _filled(cuts: list[Cut], stock: list[float], kerf: float, best: Laid) -> Laid:
    """Return a plan that is cheaper than the best fit, or the best fit where none is found or can be."""
    if cuts[0][0] > stock[-1] + 1e-6:
        return best
    of = sizes([c for c, _ in cuts], stock, kerf)
    price = _price(best)
    for choice in islice(choices(of, price), MOST_FILLED):
        filled = fill(of, choice) if of.price(choice) < price else None
        if filled is not None:
            return _named(filled, cuts, stock, kerf)
    return best


def _named(filled: Filled, cuts: list[Cut], stock: list[float], kerf: float) -> Laid:
    """Return a plan in whole numbers with its pieces named; of pieces of one length the first goes first."""
    left: dict[int, list[Cut]] = {}
    for cut in cuts:
        left.setdefault(sizes([cut[0]], stock, kerf).items[0], []).append(cut)
    out: Laid = []
    for k, items in filled:
        here = [left[i].pop(0) for i in sorted(items, reverse=True)]
        used = sum(c for c, _ in here) + kerf * len(here)
        short = _least(used - kerf, stock[: k + 1])
        out.append((short, [i for _, i in here], used))
    lengths = {i: c for c, i in cuts}
    return sorted(out, key=lambda s: (-lengths[s[1][0]], s[1][0]))


def _as_filled(sticks: list[Stick], lengths: dict[str, float], of: Sizes, kerf: float) -> Filled:
    return [
        (of.stock_mm.index(s.stock_mm), list(sizes([lengths[i] for i in s.pieces], list(of.stock_mm), kerf).items))
        for s in sticks
    ]


def _sticks(size_in: float, laid: Laid, stock: list[float]) -> list[Stick]:
    return [Stick(size_in, length, tuple(ids), max(length - used, 0.0)) for length, ids, used in laid]
