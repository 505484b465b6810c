"""A drawing under way: its items, its labels, and the paper they take (`taken.py`)."""

from __future__ import annotations

import math
from collections.abc import Iterable, Sequence
from dataclasses import replace
from itertools import pairwise
from typing import Literal

from stubout.geometry.distance import segment_meets_rect
from stubout.geometry.vec import Vec
from stubout.sheets.metrics import ASCENT_EM, DESCENT_EM, MM_PER_POINT, Rect, line_height, text_rect, text_width
from stubout.sheets.model import Circle, Item, Line, Paper, Style, Text
from stubout.sheets.search import Place, Search
from stubout.sheets.spread import spread
from stubout.sheets.taken import XY, Cover, Met, Taken

__all__ = ["XY", "Canvas", "spread"]

STRAINED_MM = 14.0  # a label whose place costs more is hard to follow

HAIR = Style("hair")


class Canvas:
    """Collects the items of one sheet and knows which paper is taken."""

    def __init__(self, paper: Paper, body: Rect) -> None:
        self.paper = paper
        self.body = body
        self.items: list[Item] = []
        self.missing: list[str] = []  # layers of labels that found no room
        self.spoken: list[XY] = []  # what the labels speak of
        self.strained: list[XY] = []  # what those speak of that found no room, stand over a pipe or far away
        self.over: list[XY] = []  # what those speak of that stand over a pipe
        self._taken = Taken(paper.width, paper.height)
        self._hidden: list[Rect] = []
        self._leaders: list[tuple[XY, XY]] = []
        self._pipes: list[tuple[XY, XY]] = []  # single lines a leader should not cross

    # -- taken paper ---------------------------------------------------------------------------------------------

    def take(self, box: Rect, cover: Cover = "hard") -> None:
        """Mark a box as taken."""
        if cover != "none":
            self._taken.take(box, cover)

    def take_words(self, box: Rect) -> None:
        """Mark a box as taken by words: not even a leader line may cross it."""
        self._taken.take(box, "hard")
        self._taken.take(box, "words")

    def covered(self, box: Rect, cover: Literal["soft", "firm", "hard"]) -> int:
        """Return how many half-millimetre cells of a box are taken."""
        return self._taken.count(self._taken.patch(box), cover)

    def free(self, box: Rect) -> bool:
        """Return whether no text and no symbol is in a box."""
        return self._taken.free(box) is not None

    def met(self, a: XY, b: XY, cover: Met) -> int:
        """Return how many taken cells a line would run through."""
        return self._taken.met(self._taken.walk(a, b), cover)

    def crosses_words(self, a: XY, b: XY) -> bool:
        """Return whether a line would run through words."""
        return self._taken.crossed(a, b)

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
            if cover != "none":
                self._taken.take_line(a, b, cover)
            if layer == "leader":
                self._leaders.append((a, b))
            elif cover == "firm" and not closed:
                self._pipes.append((a, b))

    def sink(self) -> None:
        """Move the line drawn last under all words and the clear ground below them; words it meets get one."""
        last = self.items.pop()
        assert isinstance(last, Line)
        ends = tuple(Vec(x, y) for x, y in last.points)
        for i, item in enumerate(self.items):
            if (
                isinstance(item, Text)
                and not item.halo
                and any(segment_meets_rect(a, b, text_rect(item)) for a, b in pairwise(ends))
            ):
                self.items[i] = replace(item, halo=True)
        first = next((i for i, item in enumerate(self.items) if isinstance(item, Text)), len(self.items))
        while first and isinstance(ground := self.items[first - 1], Line) and ground.style.fill == "white":
            first -= 1
        self.items.insert(first, last)

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
        spots = [s for s in spots if not self.crosses_words(s, s)] or spots  # a leader line cannot start under words
        pad = 0.7 if boxed else 0.35
        lead = line_height(size_pt)
        em = size_pt * MM_PER_POINT
        width = max(text_width(s, size_pt, bold=bold_first and i == 0) for i, s in enumerate(lines)) + 2 * pad
        height = (len(lines) - 1) * lead + (ASCENT_EM + DESCENT_EM) * em + 2 * pad
        best = Search(
            self._taken,
            self._leaders,
            self._pipes,
            spots,
            width,
            height,
            within or self.body,
            reach,
            clear,
            boxed=boxed,
            over_pipes=over_pipes,
            optional=optional,
            off_pipes=off_pipes,
            prefer_deg=prefer_deg,
        ).best()
        if best is None:
            if not optional:
                self.missing.append(layer)
                if not lesser:
                    self.told(spots[0], None)
            return None
        if not lesser:
            self.told(best.anchor, best.cost if best.careful else None)
        self._lead(best, clear)
        box = best.box
        firm = self.covered(box, "firm")
        if firm and not lesser:
            self.over.append(best.anchor)
        over = self.covered(box, "soft") + firm > 0
        if boxed:
            self.rect(box, Style("thin", fill="white"), "leader", cover="none")
        left = (box[0] + box[2]) / 2 >= best.anchor[0] - width / 4
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

    def _lead(self, place: Place, clear: float) -> None:
        """Draw the leader line of a label that had to move away."""
        anchor, end = place.anchor, place.end
        if end is None:
            return
        go = math.hypot(end[0] - anchor[0], end[1] - anchor[1])
        if go <= clear + 0.5:
            return
        t = clear / go if go else 0.0
        start = (anchor[0] + (end[0] - anchor[0]) * t, anchor[1] + (end[1] - anchor[1]) * t)
        self.line((start, end), HAIR, "leader", cover="hard")
        if clear < 0.5:  # on a line: a dot says which
            self.items.append(Circle(start, 0.4, Style("hair", fill="black"), "leader"))

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
