"""The stock plan: which piece is sawn from which stick, and how near that is to the proven least. Lengths [mm].

Offcuts on hand are used before anything is bought: what counts is the pipe bought, then the sticks bought.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable
from dataclasses import dataclass, field
from itertools import islice

from stubout.fabrication.model import CutPiece, ProvenBy, Stick, StockSum
from stubout.fabrication.stock_bound import Least, Sizes, choices, least, sizes
from stubout.fabrication.stock_fill import Filled, fill

MOST_FILLED = 12  # choices of sticks that are tried to be filled
Cut = tuple[float, str]  # length, piece
Better = Callable[[Sizes, Filled], tuple[Filled, Least, ProvenBy]]  # a search: plan, bound, and what it comes from


@dataclass(frozen=True, slots=True)
class Yard:
    """What pipe comes in, and what there is already."""

    stock_mm: tuple[float, ...]  # lengths pipe is bought in
    kerf_mm: float  # saw kerf and trim per cut
    on_hand: tuple[tuple[float, float], ...] = ()  # size [in] and length of each offcut

    @property
    def lengths_mm(self) -> list[float]:
        """Return the lengths pipe is bought in, shortest first [mm]."""
        return sorted(s for s in set(self.stock_mm) if s > 0)

    def hand_mm(self, size_in: float) -> tuple[float, ...]:
        """Return the offcuts of a size, shortest first [mm]."""
        return tuple(sorted(mm for size, mm in self.on_hand if size == size_in and mm > 0))

    def sizes(self, size_in: float, cuts: Iterable[Cut]) -> Sizes:
        """Return the pieces of a size and what they are cut from as whole numbers."""
        return sizes([c for c, _ in cuts], self.lengths_mm, self.kerf_mm, self.hand_mm(size_in))

    def whole(self, length_mm: float) -> int:
        """Return a piece with its kerf as a whole number."""
        return sizes([length_mm], [], self.kerf_mm).items[0]


@dataclass(slots=True)
class _Laid:
    """One stick and what is laid on it."""

    stick_mm: float
    hand: bool = False
    pieces: list[str] = field(default_factory=list)
    used_mm: float = 0.0  # with kerfs

    def lay(self, cut: Cut, kerf_mm: float) -> None:
        self.pieces.append(cut[1])
        self.used_mm += cut[0] + kerf_mm


def plan(pieces: tuple[CutPiece, ...], yard: Yard) -> tuple[Stick, ...]:
    """Return the sticks to cut from, size by size, largest size first: those on hand first, then those to buy.

    Best fit decreasing, once for every stock length as the least that is opened; of these the plan with the least pipe
    bought, then the fewest sticks; each stick is then taken as short as its pieces allow. Where that is more than the
    arithmetic bound, cheaper choices of sticks are filled one after the other.

    Args:
        pieces: The cut pieces; one without length is left out.
        yard: Stock lengths, kerf and offcuts.
    """
    if not yard.lengths_mm:
        return ()
    out: list[Stick] = []
    for size, cuts in _by_size(pieces):
        plans = [_pack(cuts, yard, size, least_mm) for least_mm in yard.lengths_mm]
        best = min(plans, key=_price)
        out += _sticks(size, _filled(cuts, yard, size, best))
    return tuple(out)


def sums(pieces: tuple[CutPiece, ...], sticks: tuple[Stick, ...], yard: Yard) -> tuple[StockSum, ...]:
    """Return of every size what its plan buys and the proven least.

    Args:
        pieces: The cut pieces.
        sticks: The plan.
        yard: Stock lengths, kerf and offcuts.
    """
    out = []
    for size, cuts in _by_size(pieces):
        of_size = [s for s in sticks if s.size_in == size]
        if not of_size:
            continue
        bought = _bought(of_size)
        held = [(c, i) for c, i in cuts if c <= yard.lengths_mm[-1] + 1e-6]
        spare = {i for s in of_size if s.on_hand for i in s.pieces}
        over = len({i for _, i in cuts} - {i for _, i in held} - spare)  # longer than any stick: each has one to itself
        bound = Least(*bought)
        if held:
            known = (bought[0] - over * yard.lengths_mm[-1], bought[1] - over)
            bound = least(yard.sizes(size, held), known)
            bound = Least(bound.mm + over * yard.lengths_mm[-1], bound.sticks + over)
        out.append(_sum(size, sum(c for c, _ in cuts), of_size, bound))
    return tuple(out)


def improved(
    pieces: tuple[CutPiece, ...], sticks: tuple[Stick, ...], given: tuple[StockSum, ...], yard: Yard, better: Better
) -> tuple[tuple[Stick, ...], tuple[StockSum, ...]]:
    """Return a plan in which a search has had its say about every size that is not at its proven least.

    Args:
        pieces: The cut pieces.
        sticks: The plan so far: the search's hint.
        given: Its sums.
        yard: Stock lengths, kerf and offcuts.
        better: The search.
    """
    of_size = dict(_by_size(pieces))
    out: list[Stick] = []
    told: list[StockSum] = []
    for was in given:
        now = [s for s in sticks if s.size_in == was.size_in]
        cuts = of_size[was.size_in]
        told.append(was)
        if not was.proven and was.by == "arithmetic" and all(c <= yard.lengths_mm[-1] + 1e-6 for c, _ in cuts):
            filled, bound, by = better(*whole_plan(pieces, sticks, yard, was.size_in))
            now = _sticks(was.size_in, _named(filled, cuts, yard, was.size_in))
            told[-1] = _sum(was.size_in, was.cut_mm, now, bound, by)
        out += now
    return tuple(out), tuple(told)


def whole_plan(
    pieces: tuple[CutPiece, ...], sticks: tuple[Stick, ...], yard: Yard, size_in: float
) -> tuple[Sizes, Filled]:
    """Return the pieces of a size, and their plan, in whole numbers: what a search for a better one begins with.

    Args:
        pieces: The cut pieces.
        sticks: The plan.
        yard: Stock lengths, kerf and offcuts.
        size_in: The size [in].
    """
    cuts = dict(_by_size(pieces))[size_in]
    of = yard.sizes(size_in, cuts)
    return of, _as_filled([s for s in sticks if s.size_in == size_in], {i: c for c, i in cuts}, of, yard)


def _sum(size_in: float, cut_mm: float, sticks: list[Stick], bound: Least, by: ProvenBy = "arithmetic") -> StockSum:
    mm, number = _bought(sticks)
    return StockSum(size_in, cut_mm, mm, number, bound.mm, bound.sticks, by, sum(s.on_hand for s in sticks))


def _bought(sticks: list[Stick]) -> tuple[float, int]:
    bought = [s.stock_mm for s in sticks if not s.on_hand]
    return round(sum(bought), 3), len(bought)


def _by_size(pieces: Iterable[CutPiece]) -> list[tuple[float, list[Cut]]]:
    """Return the pieces that are sawn, by size, largest first; the longest of a size first."""
    groups: dict[float, list[Cut]] = {}
    for p in pieces:
        if p.cut_mm > 0:
            groups.setdefault(p.size_in, []).append((p.cut_mm, p.id))
    return [(s, sorted(groups[s], key=lambda c: (-c[0], c[1]))) for s in sorted(groups, reverse=True)]


def _price(laid: list[_Laid]) -> tuple[float, int]:
    bought = [s.stick_mm for s in laid if not s.hand]
    return round(sum(bought), 3), len(bought)


def _least(need: float, stock: list[float]) -> float:
    """Return the shortest stock length that holds a piece, the longest where none does."""
    return next((s for s in stock if need <= s + 1e-6), stock[-1])


def _pack(cuts: list[Cut], yard: Yard, size_in: float, least_mm: float) -> list[_Laid]:
    stock, kerf = yard.lengths_mm, yard.kerf_mm
    sticks = [_Laid(mm, hand=True) for mm in yard.hand_mm(size_in)]
    for cut in cuts:
        room = [(s.stick_mm - s.used_mm - cut[0], k) for k, s in enumerate(sticks)]
        best = min((r for r in room if r[0] >= -1e-6), default=None)
        if best is None:
            sticks.append(_Laid(max(_least(cut[0], stock), least_mm)))
        sticks[best[1] if best else -1].lay(cut, kerf)
    return [_short(s, yard) for s in sticks if s.pieces]


def _short(s: _Laid, yard: Yard) -> _Laid:
    """Return a stick that is bought as short as its pieces allow."""
    need = s.used_mm - yard.kerf_mm  # the last kerf falls beyond the end where the stick is just used up
    short = _least(need, yard.lengths_mm)
    if not s.hand and need <= short + 1e-6:
        s.stick_mm = min(s.stick_mm, short)
    return s


def _filled(cuts: list[Cut], yard: Yard, size_in: float, best: list[_Laid]) -> list[_Laid]:
    """Return a plan that is cheaper than the best fit, or the best fit where none is found or can be."""
    if cuts[0][0] > yard.lengths_mm[-1] + 1e-6:
        return best
    of = yard.sizes(size_in, cuts)
    price = _price(best)
    for choice in islice(choices(of, price), MOST_FILLED):
        filled = fill(of, choice) if of.price(choice) < price else None
        if filled is not None:
            return _named(filled, cuts, yard, size_in)
    return best


def _named(filled: Filled, cuts: list[Cut], yard: Yard, size_in: float) -> list[_Laid]:
    """Return a plan in whole numbers with its pieces named; of pieces of one length the first goes first."""
    left: dict[int, list[Cut]] = {}
    for cut in cuts:
        left.setdefault(yard.whole(cut[0]), []).append(cut)
    stock, hand = yard.lengths_mm, yard.hand_mm(size_in)
    out: list[_Laid] = []
    for k, items in filled:
        on_hand = k >= len(stock)
        stick = _Laid(hand[k - len(stock)] if on_hand else stock[k], on_hand)
        for i in sorted(items, reverse=True):
            stick.lay(left[i].pop(0), yard.kerf_mm)
        out.append(_short(stick, yard))
    lengths = {i: c for c, i in cuts}

    def rank(s: _Laid) -> tuple[bool, float, str]:
        first = s.pieces[0]
        return not s.hand, -lengths[first], first

    return sorted(out, key=rank)


def _as_filled(sticks: list[Stick], lengths: dict[str, float], of: Sizes, yard: Yard) -> Filled:
    """Return a plan in whole numbers; of offcuts of one length the first goes first."""
    free = {mm: [k for k, h in enumerate(of.hand_mm, len(of.holds)) if h == mm] for mm in of.hand_mm}
    return [
        (
            free[s.stock_mm].pop(0) if s.on_hand else of.stock_mm.index(s.stock_mm),
            sorted((yard.whole(lengths[i]) for i in s.pieces), reverse=True),
        )
        for s in sticks
    ]


def _sticks(size_in: float, laid: list[_Laid]) -> list[Stick]:
    return [Stick(size_in, s.stick_mm, tuple(s.pieces), max(s.stick_mm - s.used_mm, 0.0), s.hand) for s in laid]
