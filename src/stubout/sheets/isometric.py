"""The isometric of the whole system: every pipe sized, fixtures with their load, slopes, cleanouts, terminals."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace

from stubout.design import Design
from stubout.sheets.canvas import Canvas
from stubout.sheets.iso_draw import draw_cut, draw_ends, draw_lines
from stubout.sheets.iso_enlarged import Enlarged, mark_joins, name_rooms, outline_rooms, touching
from stubout.sheets.iso_frame import Aspect, IsoFrame, aspect, aspects, fitted
from stubout.sheets.iso_rooms import IsoRoom, crowded_rooms, lettered, told_by
from stubout.sheets.iso_split import IsoPart, halves
from stubout.sheets.iso_views import WHOLE_NOTE, draw_beside, view_sheets, worth_a_view
from stubout.sheets.iso_words import Said, cut_note, doubts, iso_notes, write_labels
from stubout.sheets.model import A3, A4, LETTER, TABLOID, Paper, Sheet
from stubout.sheets.notes import draw_notes, notes_height
from stubout.sheets.symbols import north
from stubout.sheets.titleblock import body

SIDE_MM, TOP_MM, FOOT_MM = 34.0, 12.0, 12.0  # paper kept free round the pipes for words
CROWDED = 14  # words over a pipe or far from it that one sheet may have
CALM = 2  # as badly as words may stand before other views are tried
HOPELESS = 2 * CROWDED  # so many that no other view helps, and the sheet is cut at once
VIEWS = 8  # other views that are tried
WORTH = 0.67  # of the doubts about its words at most that may stay where rooms are drawn larger


def isometric(design: Design) -> tuple[Sheet, ...]:
    """Return the isometric on the paper of the job, on two sheets cut at a floor if its words crowd on one.

    Rooms whose words crowd all the same are drawn larger, beside it or on sheets that follow it.
    """
    if not design.pipes():
        return ()
    parts = halves(design)
    whole = _Shown(IsoPart(design, "", {}))
    drawn = _fitted(whole, parted=bool(parts))
    if not parts or drawn.strained <= CROWDED:
        return _with_rooms(drawn, [], {})
    # Both halves from the same corner of the house, so that a cut is found again.
    corner = aspect(design.network).quarter
    out: list[Sheet] = []
    rooms: list[IsoRoom] = []
    letters = dict(parts[0].cuts)
    for n, part in enumerate(parts, 1):
        out += _with_rooms(_fitted(_Shown(part, f"-{n}", corner)), rooms, letters)
    return tuple(out)


@dataclass(frozen=True, slots=True)
class _Shown:
    """What one sheet shows."""

    part: IsoPart
    suffix: str = ""  # of the id of the sheet
    corner: int | None = None  # quarter turns of the house, if it must be seen from a certain corner
    rooms: tuple[IsoRoom, ...] = ()  # that are drawn larger elsewhere

    @property
    def paper(self) -> Paper:
        """Return the paper of the printer of the job."""
        return LETTER if self.part.design.house.job.paper == "letter" else A4


def _with_rooms(plain: _Drawn, known: list[IsoRoom], letters: dict[str, str]) -> tuple[Sheet, ...]:
    """Return the sheet of a part, and its crowded rooms drawn larger if all is read much better so.

    Args:
        plain: The part with all its words.
        known: Rooms that have a letter already; those of the part are added.
        letters: Point at which a pipe is cut -> its letter; those of the part are added.
    """
    cuts = dict(letters)
    drawn = _relieved(plain, len(known), cuts)
    rooms = drawn.shown.rooms
    beside = draw_beside(rooms, drawn.view, drawn.canvas)
    there = {d.room.letter for d in beside}
    views = view_sheets([r for r in rooms if r.letter not in there], drawn.view, drawn.shown.paper)
    larger = [d.badly for d in (*beside, *(d for v in views for d in v.drawn))]
    badly = drawn.missing + sum(m for m, _ in larger), drawn.doubts + sum(n for _, n in larger)
    if not rooms or badly > (plain.missing, WORTH * plain.doubts):
        return (plain.sheet(()),)
    known += rooms
    letters |= cuts
    return (drawn.sheet(beside), *(v.sheet for v in views))


def _relieved(plain: _Drawn, number: int, letters: dict[str, str]) -> _Drawn:
    """Return a part without the words of its crowded rooms.

    Without the words of one room others may stand otherwise, so that it is looked again until no other is crowded.

    Args:
        plain: The part with all its words.
        number: How many rooms have a letter already.
        letters: Point at which a pipe is cut -> its letter; those of the rooms are added.
    """
    drawn, tried = plain, set[tuple[str, str]]()
    while new := [r for r in crowded_rooms(plain.shown.part, drawn.said) if r.id not in tried]:
        tried |= {r.id for r in new}
        rooms = list(drawn.shown.rooms)
        for room in new:
            if worth_a_view(room, drawn.view, plain.shown.paper):
                rooms.append(lettered(room, number + len(rooms), letters))
        if len(rooms) > len(drawn.shown.rooms):
            drawn = _fitted(replace(plain.shown, rooms=tuple(rooms)))
    return drawn


@dataclass(frozen=True, slots=True)
class _Drawn:
    """A part drawn, and how well its words stand."""

    shown: _Shown
    canvas: Canvas
    notes: tuple[str, ...]
    view: IsoFrame
    said: tuple[Said, ...]
    nameless: int  # rooms drawn larger whose names found no room
    strained: int  # words that stand badly
    over: int  # that stand over a pipe
    touching: int  # fixtures that lie on one another

    @property
    def missing(self) -> int:
        """Return how many words found no room."""
        return sum(s.missing for s in self.said) + self.nameless

    @property
    def doubts(self) -> int:
        """Return how many things make one look for what its words speak of."""
        return doubts(self.said)

    @property
    def badly(self) -> tuple[int, int]:
        """Return how badly it is read: words over a pipe hide what they speak of, fixtures on one another are one."""
        if self.shown.rooms:  # few words are left: each must be plain
            return self.missing, self.doubts + 3 * self.touching
        return self.missing, self.strained + 2 * self.over + 3 * self.touching

    def sheet(self, beside: Sequence[Enlarged]) -> Sheet:
        """Return it as a sheet; rooms drawn larger beside it are named in its title."""
        views = [f"view {d.room.letter} ({d.room.title})" for d in beside]
        title = ", ".join(t for t in ("Isometric of drains and vents", self.shown.part.title, *views) if t)
        items = tuple(self.canvas.items)
        return Sheet(f"isometric{self.shown.suffix}", title, "not to scale", self.canvas.paper, items, self.notes)


def _fitted(shown: _Shown, *, parted: bool = False) -> _Drawn:
    """Return a sheet, on the small paper if every word finds room there.

    Args:
        shown: What the sheet shows.
        parted: Whether it can be cut where it is too full.
    """
    large = TABLOID if shown.paper is LETTER else A3
    seen = aspect(shown.part.design.network, shown.corner)
    # The small paper first: a large sheet printed small falls below 9 pt, so it is the last resort.
    best = _best_view(shown, seen, parted=parted)
    for size_pt in (11.0, 10.0, 9.0):
        if best.missing == 0:
            break
        drawn = _draw(shown, seen, large, size_pt)
        if drawn.missing < best.missing:
            best = drawn
    return best


def _best_view(shown: _Shown, seen: Aspect, *, parted: bool) -> _Drawn:
    """Return a sheet in the view in which pipes cross least, or in another in which its words stand better."""
    best = _draw(shown, seen, shown.paper, 9.0)
    if best.badly <= (0, CALM) or (parted and best.strained > HOPELESS):
        return best
    for view in aspects(shown.part.design.network, VIEWS, shown.corner):
        drawn = _draw(shown, view, shown.paper, 9.0)
        if drawn.badly < best.badly:
            best = drawn
    return best


def _best_turn(notes: tuple[str, ...], seen: Aspect, paper: Paper) -> Paper:
    """Return the paper lying or standing, whichever shows the system larger: a tall house wants it upright."""
    upright = Paper(f"{paper.name} upright", paper.height, paper.width)

    def size(p: Paper) -> float:
        view = fitted(seen, *_room(p, notes))
        return view.plan_scale * view.rise_scale

    return max((paper, upright), key=size)


def _room(paper: Paper, notes: tuple[str, ...]) -> tuple[float, float]:
    """Return the width and height the pipes may fill [mm on paper]."""
    area = body(paper)
    foot = notes_height(notes, area[2] - area[0]) + 2.0
    return area[2] - area[0] - 2 * SIDE_MM, area[3] - area[1] - foot - TOP_MM - FOOT_MM


def _draw(shown: _Shown, seen: Aspect, paper: Paper, size_pt: float) -> _Drawn:
    """Return a sheet in one view, on the paper lying or standing."""
    part, rooms = shown.part, shown.rooms
    design = part.design
    notes = iso_notes(design) + cut_note(part) + ((WHOLE_NOTE,) if rooms else ())
    paper = _best_turn(notes, seen, paper)
    area = body(paper)
    width = area[2] - area[0]
    foot = notes_height(notes, width) + 2.0
    canvas = Canvas(paper, area)
    draw_notes(canvas, notes, area[0], area[1] + foot - 2.0, width)
    view = fitted(seen, *_room(paper, notes))
    view = replace(view, x0=view.x0 + area[0] + SIDE_MM, y0=view.y0 + area[1] + foot + FOOT_MM)
    canvas.body = (area[0], area[1] + foot, area[2], area[3])
    draw_lines(design, view, canvas)
    north(canvas, (area[2] - 13.0, area[3] - 13.0), view.north_deg())
    draw_ends(design, view, canvas)
    outline_rooms(part, rooms, view, canvas)  # before the letters: their rings clear it
    for node, letter in part.cuts.items():
        draw_cut(view.point(node), letter, canvas)
    mark_joins(part, rooms, view, canvas)
    said = write_labels(design, view, canvas, size_pt, told_by(rooms) if rooms else None)
    strained, over = len(canvas.strained), len(canvas.over)
    nameless = name_rooms(part, rooms, view, canvas)
    return _Drawn(shown, canvas, notes, view, said, nameless, strained, over, touching(design, view))
