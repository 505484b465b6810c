"""A drawing under way: items, and where paper is already taken, so that no text lands on text.

Taken paper is kept as rows of bits, one bit a half millimetre: a label tries places and counts what it would cover.
Texts and symbols are `hard` (never covered), pipes are `firm` (covered only in need), thin lines are `soft`.
"""

from __future__ import annotations

import math
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from functools import reduce
from itertools import pairwise
from operator import or_
from typing import Literal

from stubout.sheets.metrics import ASCENT_EM, DESCENT_EM, MM_PER_POINT, Rect, line_height, text_rect, text_width
from stubout.sheets.model import Circle, Item, Line, Paper, Style, Text

CELL_MM = 0.5
LEADER_COST, PIPE_COST = 14.0, 4.0  # of a leader line that crosses another, or a pipe [mm it would rather go]
FAR_MM = 18.0  # rather lie over a pipe than stand farther off than this
STRAINED_MM = 14.0  # a label whose place costs more is hard to follow
NEAR_MM, NEAR_COST = 1.0, 0.15  # a label that stands away from its point keeps off what it does not speak of
Cover = Literal["none", "soft", "firm", "hard"]
XY = tuple[float, float]
Span = tuple[int, int, int, int]  # first row, row after the last, first column, mask of the columns

HAIR = Style("hair")

# Rings and directions a label tries round its point, nearest first [mm], [deg].
_RINGS = (1.6, 2.6, 4.0, 5.5, 7.5, 10.0, 13.0, 16.5, 20.5, 25.0, 30.0, 36.0, 43.0, 51.0, 60.0, 72.0, 86.0, 104.0)
_TURNS = tuple(range(0, 360, 15))
# In the last resort: finer directions, then with a leader line that crosses words.
_LAST = ((False, True, tuple(range(0, 360, 4))), (False, False, tuple(range(0, 360, 4))))


class Canvas:
    """Collects the items of one sheet and knows which paper is taken."""

    def __init__(self, paper: Paper, body: Rect) -> None:
        self.paper = paper
        self.body = body
        self.items: list[Item] = []
        rows = math.ceil(paper.height / CELL_MM) + 1
        self._bits: dict[str, list[int]] = {k: [0] * rows for k in ("soft", "firm", "hard", "words")}
        self.missing: list[str] = []  # layers of labels that found no room
        self.spoken: list[XY] = []  # what the labels speak of
        self.strained: list[XY] = []  # what those speak of that found no room, stand over a pipe or far away
        self._hidden: list[Rect] = []
        self._leaders: list[tuple[XY, XY]] = []
        self._pipes: list[tuple[XY, XY]] = []  # single lines a leader should not cross

    # -- taken paper ---------------------------------------------------------------------------------------------

    def _span(self, box: Rect) -> Span:
        x0, y0, x1, y1 = box
        lo = max(0, int(x0 / CELL_MM))
        hi = max(lo + 1, math.ceil(x1 / CELL_MM))
        last = min(len(self._bits["hard"]), max(math.ceil(y1 / CELL_MM), 1))
        return max(0, int(y0 / CELL_MM)), last, lo, (1 << (hi - lo)) - 1

    def take(self, box: Rect, cover: Cover = "hard") -> None:
        """Mark a box as taken."""
        if cover == "none":
            return
        first, last, shift, mask = self._span(box)
        bits = self._bits[cover]
        for row in range(first, last):
            bits[row] |= mask << shift

    def take_words(self, box: Rect) -> None:
        """Mark a box as taken by words: not even a leader line may cross it."""
        self.take(box, "hard")
        first, last, shift, mask = self._span(box)
        for row in range(first, last):
            self._bits["words"][row] |= mask << shift

    def covered(self, box: Rect, cover: Literal["soft", "firm", "hard"]) -> int:
        """Return how many half-millimetre cells of a box are taken."""
        return self._count(self._span(box), cover)

    def _count(self, span: Span, cover: Literal["soft", "firm", "hard"]) -> int:
        first, last, shift, mask = span
        count = 0
        for bits in self._bits[cover][first:last]:
            if bits:
                count += ((bits >> shift) & mask).bit_count()
        return count

    def free(self, box: Rect) -> bool:
        """Return whether no text and no symbol is in a box."""
        return self._empty(self._span(box))

    def _empty(self, span: Span) -> bool:
        first, last, shift, mask = span
        return not reduce(or_, self._bits["hard"][first:last], 0) & (mask << shift)

    def _take_segment(self, a: XY, b: XY, cover: Cover) -> None:
        if cover == "none":
            return
        steps = max(1, math.ceil(math.hypot(b[0] - a[0], b[1] - a[1]) / CELL_MM))
        bits = self._bits[cover]
        for k in range(steps + 1):
            t = k / steps
            row = int((a[1] + (b[1] - a[1]) * t) / CELL_MM)
            col = int((a[0] + (b[0] - a[0]) * t) / CELL_MM)
            if 0 <= row < len(bits) and col >= 0:
                bits[row] |= 1 << col

    def met(self, a: XY, b: XY, cover: Literal["hard", "firm", "words"]) -> int:
        """Return how many taken cells a line would run through."""
        return self._met(_cells(a, b), cover)

    def _met(self, cells: list[tuple[int, int]], cover: Literal["hard", "firm", "words"]) -> int:
        bits = self._bits[cover]
        last = len(bits)
        return sum((bits[row] >> col) & 1 for row, col in cells if 0 <= row < last and col >= 0)

    def hide(self, box: Rect) -> None:
        """Write no label that speaks of a point in a box: another sheet shows it larger."""
        self._hidden.append(box)
        self.take(box, "firm")

    def hides(self, at: XY) -> bool:
        """Return whether a point lies in a part whose labels stand on another sheet."""
        return any(x0 < at[0] < x1 and y0 < at[1] < y1 for x0, y0, x1, y1 in self._hidden)

    def told(self, at: XY, cost: float | None) -> None:
        """Record that a label speaks of a point, and what its place cost [mm]; None if it found none."""
        self.spoken.append(at)
        if cost is None or cost >= STRAINED_MM:
            self.strained.append(at)

    # -- items ---------------------------------------------------------------------------------------------------

    def line(
        self, points: Iterable[XY], style: Style, layer: str, *, closed: bool = False, cover: Cover = "soft"
    ) -> None:
        """Draw a polyline, or an area if closed."""
        pts = tuple(points)
        self.items.append(Line(pts, style, layer, closed))
        if closed and style.fill == "hatch" and cover != "none":
            xs, ys = [p[0] for p in pts], [p[1] for p in pts]
            self.take((min(xs), min(ys), max(xs), max(ys)), "soft")
        ring = (*pts, pts[0]) if closed else pts
        for a, b in pairwise(ring):
            self._take_segment(a, b, cover)
            if layer == "leader":
                self._leaders.append((a, b))
            elif cover == "firm" and not closed:
                self._pipes.append((a, b))

    def _tangled(self, a: XY, b: XY) -> float:
        """Return what a leader line costs for the leaders and pipes it would cross."""
        leaders = sum(_cross(a, b, c, d) for c, d in self._leaders)
        return LEADER_COST * leaders + PIPE_COST * sum(_cross(a, b, c, d) for c, d in self._pipes)

    def rect(self, box: Rect, style: Style, layer: str, *, cover: Cover = "soft") -> None:
        """Draw a rectangle."""
        x0, y0, x1, y1 = box
        self.line(((x0, y0), (x1, y0), (x1, y1), (x0, y1)), style, layer, closed=True, cover=cover)

    def circle(self, centre: XY, radius: float, style: Style, layer: str, *, cover: Cover = "hard") -> None:
        """Draw a circle; its box is taken."""
        self.items.append(Circle(centre, radius, style, layer))
        x, y = centre
        self.take((x - radius, y - radius, x + radius, y + radius), cover)

    def text(
        self,
        at: XY,
        text: str,
        layer: str,
        *,
        size_pt: float = 9.0,
        anchor: Literal["start", "middle", "end"] = "start",
        turn_deg: float = 0.0,
        bold: bool = False,
        mono: bool = False,
        halo: bool = False,
    ) -> Rect:
        """Write one line of text at a fixed place and return its box."""
        item = Text(at, text, size_pt, layer, anchor, turn_deg, bold, mono, halo)
        self.items.append(item)
        box = text_rect(item)
        self.take_words(box)
        return box

    # -- labels --------------------------------------------------------------------------------------------------

    def place(
        self,
        anchor: XY,
        lines: Sequence[str],
        layer: str,
        *,
        size_pt: float = 9.0,
        reach: float = 60.0,
        within: Rect | None = None,
        prefer_deg: float | None = None,
        clear: float = 0.0,
        bold_first: bool = False,
        boxed: bool = False,
        over_pipes: bool = False,
        optional: bool = False,
        also: Sequence[XY] = (),
        layers: Sequence[str] = (),
        lesser: bool = False,
        off_pipes: bool = False,
    ) -> Rect | None:
        """Write a label near a point where it covers no text, with a leader line if it had to move away.

        Args:
            anchor: The point the label speaks of [mm on paper].
            lines: The words, line by line.
            layer: Layer of the texts.
            size_pt: Font size [pt].
            reach: How far the label may move [mm].
            within: Where it must stay; the body of the sheet if not given.
            prefer_deg: Direction liked best.
            clear: Radius round the anchor that stays free (a symbol) [mm].
            bold_first: First line in bold.
            boxed: Draw a thin frame round the label.
            over_pipes: The label may lie over pipes drawn as wide bodies.
            optional: Without room the label may be left out.
            also: Other points the label may stand at as well: the best place of all is taken.
            layers: Layer of each line, where they differ.
            off_pipes: Never over a pipe, not even in the last resort.
            lesser: Names what was there before the pipes: where it stands far away, the sheet is not crowded.
        Returns:
            The box of the label, None if there was no room or the point is hidden.
        """
        spots = [s for s in (anchor, *also) if not self.hides(s)]
        if not spots:
            return None
        spots = [s for s in spots if not self.met(s, s, "words")] or spots  # a leader line cannot start under words
        pad = 0.7 if boxed else 0.35
        lead = line_height(size_pt)
        em = size_pt * MM_PER_POINT
        width = max(text_width(s, size_pt, bold=bold_first and i == 0) for i, s in enumerate(lines)) + 2 * pad
        height = (len(lines) - 1) * lead + (ASCENT_EM + DESCENT_EM) * em + 2 * pad
        area = within or self.body
        best: _Place | None = None
        # First without covering a pipe, then with; in the last resort the leader line may cross words.
        for strict, careful, turns in ((not over_pipes, True, _TURNS), (False, True, _TURNS), *_LAST):
            if (turns is not _TURNS and (optional or best is not None)) or (off_pipes and not strict):
                break
            for ring in _RINGS:
                if ring > reach or (best is not None and best.cost <= ring):
                    break
                for spot in spots:
                    found = self._on_ring(
                        spot,
                        ring,
                        clear,
                        (width, height),
                        area,
                        best,
                        strict,
                        careful,
                        turns,
                        boxed,
                        over_pipes,
                        prefer_deg,
                    )
                    best = found or best
            if best is not None and best.cost < FAR_MM:
                break
        if best is None:
            if not optional:
                self.missing.append(layer)
                if not lesser:
                    self.told(spots[0], None)
            return None
        anchor, box, end = best.anchor, best.box, best.end
        if not lesser:
            self.told(anchor, best.cost if careful else None)
        if end is not None:
            go = math.hypot(end[0] - anchor[0], end[1] - anchor[1])
            if go > clear + 0.5:
                t = clear / go if go else 0.0
                start = (anchor[0] + (end[0] - anchor[0]) * t, anchor[1] + (end[1] - anchor[1]) * t)
                self.line((start, end), HAIR, "leader", cover="hard")
                if clear < 0.5:  # on a line: a dot says which
                    self.items.append(Circle(start, 0.4, Style("hair", fill="black"), "leader"))
        over = self.covered(box, "soft") + self.covered(box, "firm") > 0
        if boxed:
            self.rect(box, Style("thin", fill="white"), "leader", cover="none")
        left = (box[0] + box[2]) / 2 >= anchor[0] - width / 4
        y = box[3] - pad - ASCENT_EM * em
        for i, words in enumerate(lines):
            self.items.append(
                Text(
                    (box[0] + pad, y) if left else (box[2] - pad, y),
                    words,
                    size_pt,
                    layers[i] if layers else layer,
                    "start" if left else "end",
                    0.0,
                    bold_first and i == 0,
                    False,
                    over and not boxed,
                )
            )
            y -= lead
        self.take_words(box)
        return box

    def _on_ring(
        self,
        anchor: XY,
        ring: float,
        clear: float,
        size: tuple[float, float],
        area: Rect,
        best: _Place | None,
        strict: bool,
        careful: bool,
        turns: Sequence[int],
        boxed: bool,
        over_pipes: bool,
        prefer_deg: float | None,
    ) -> _Place | None:
        """Return the best place for a box on a ring round its anchor, None if none is better than the best so far."""
        width, height = size
        out: _Place | None = None
        for turn in turns:
            limit = out or best
            rad = math.radians(turn)
            c, s = math.cos(rad), math.sin(rad)
            # The box touches the ring with the corner or side that faces the anchor.
            cx = anchor[0] + c * (ring + clear) + (width / 2) * max(-1.0, min(1.0, 1.6 * c))
            cy = anchor[1] + s * (ring + clear) + (height / 2) * max(-1.0, min(1.0, 1.6 * s))
            box = (cx - width / 2, cy - height / 2, cx + width / 2, cy + height / 2)
            if box[0] < area[0] or box[1] < area[1] or box[2] > area[2] or box[3] > area[3]:
                continue
            span = self._span(box)
            if not self._empty(span):
                continue
            firm = self._count(span, "firm")
            if firm and strict:
                continue
            cost = ring + (0.2 if over_pipes else 1.8) * firm
            if limit is not None and cost >= limit.cost:
                continue
            cost += (0.04 if boxed else 0.14) * self._count(span, "soft")
            if prefer_deg is not None:
                cost += abs((turn - prefer_deg + 180) % 360 - 180) / 60
            if limit is not None and cost >= limit.cost:
                continue
            end: XY | None = None
            if ring > 3.5 or boxed:
                cost += NEAR_COST * self.covered(_grown(box), "hard")
                end = (max(box[0], min(anchor[0], box[2])), max(box[1], min(anchor[1], box[3])))
                go = math.hypot(end[0] - anchor[0], end[1] - anchor[1])
                if go > 1e-6:
                    skip = min(0.95, (clear + 0.8) / go)
                    start = (anchor[0] + (end[0] - anchor[0]) * skip, anchor[1] + (end[1] - anchor[1]) * skip)
                    stop = (end[0] - (end[0] - anchor[0]) / go * 0.6, end[1] - (end[1] - anchor[1]) / go * 0.6)
                    cells = _cells(start, stop)
                    if careful and self._met(cells, "words"):
                        continue
                    cost += 1.5 * self._met(cells, "hard") + 1.2 * self._met(cells, "firm")
                    if limit is not None and cost >= limit.cost:
                        continue
                    cost += self._tangled(start, stop)
                    if limit is not None and cost >= limit.cost:
                        continue
            out = _Place(cost, box, end, anchor)
        return out

    def place_upright(self, xs: Sequence[float], span: tuple[float, float], words: str, layer: str) -> bool:
        """Write words turned upward beside an upright line where they cover least; return whether there was room.

        Args:
            xs: Middle of the words, each place allowed [mm on paper].
            span: From where to where along the line they may stand [mm on paper].
            words: What is written.
            layer: Layer of the text.
        """
        em = 9.0 * MM_PER_POINT
        long, wide = text_width(words, 9.0) + 0.8, (ASCENT_EM + DESCENT_EM) * em + 0.3
        best: tuple[float, float, float] | None = None
        room = span[1] - span[0] - long
        if room < 0:
            return False
        steps = max(1, int(room / 1.0))
        for x in xs:
            for k in range(steps + 1):
                y = span[0] + room * k / steps
                box = (x - wide / 2, y, x + wide / 2, y + long)
                if not self.free(box) or self.covered(box, "firm"):
                    continue
                cost = 0.3 * self.covered(box, "soft") + 0.02 * abs(y + long / 2 - sum(span) / 2)
                if best is None or cost < best[0] - 1e-9:
                    best = (cost, x, y)
        if best is None:
            return False
        _, x, y = best
        base = x + wide / 2 - 0.15 - DESCENT_EM * em
        self.text((base, y + 0.4), words, layer, turn_deg=90, halo=best[0] > 1.0)
        return True


@dataclass(frozen=True, slots=True)
class _Place:
    """Where a label may stand, and what that costs."""

    cost: float
    box: Rect
    end: XY | None  # of its leader line
    anchor: XY


def _cells(a: XY, b: XY) -> list[tuple[int, int]]:
    """Return row and column of the cells along a line."""
    steps = max(1, math.ceil(math.hypot(b[0] - a[0], b[1] - a[1]) / CELL_MM))
    x, y = a[0] / CELL_MM, a[1] / CELL_MM
    dx, dy = (b[0] - a[0]) / CELL_MM / steps, (b[1] - a[1]) / CELL_MM / steps
    return [(int(y + dy * k), int(x + dx * k)) for k in range(steps + 1)]


def _grown(box: Rect) -> Rect:
    return box[0] - NEAR_MM, box[1] - NEAR_MM, box[2] + NEAR_MM, box[3] + NEAR_MM


def _cross(a: XY, b: XY, c: XY, d: XY) -> bool:
    """Return whether two segments cross."""

    def side(p: XY, q: XY, r: XY) -> float:
        return (q[0] - p[0]) * (r[1] - p[1]) - (q[1] - p[1]) * (r[0] - p[0])

    return side(a, b, c) * side(a, b, d) < 0 and side(c, d, a) * side(c, d, b) < 0


def spread(wanted: Sequence[float], gap: float, lo: float, hi: float) -> list[float]:
    """Return places in the order of `wanted` at least `gap` apart, as near to the wanted ones as can be.

    Args:
        wanted: Places in rising order [mm].
        gap: Least distance [mm]; made smaller if the span cannot hold all.
        lo: Low end of the span [mm].
        hi: High end of the span [mm].
    """
    n = len(wanted)
    if n == 0:
        return []
    if n > 1:
        gap = min(gap, (hi - lo) / (n - 1))
    # Groups of touching places sit on the mean of what their members want (pool adjacent violators).
    groups: list[tuple[float, int]] = []  # (sum of wanted places less own offset, members)
    for k, w in enumerate(wanted):
        groups.append((w - k * gap, 1))
        while len(groups) > 1 and groups[-2][0] / groups[-2][1] > groups[-1][0] / groups[-1][1]:
            a, b = groups.pop(), groups.pop()
            groups.append((a[0] + b[0], a[1] + b[1]))
    top = hi - (n - 1) * gap
    out: list[float] = []
    for total, count in groups:
        base = max(lo, min(top, total / count))
        first = len(out)
        out.extend(base + (first + i) * gap for i in range(count))
    return out
