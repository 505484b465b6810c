"""Setting one cleanout after the other into a draft: size, free space, number, words, questions. Lengths [mm]."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from typing import Literal

from stubout import units
from stubout.geometry.vec import Vec
from stubout.house.model import House
from stubout.layout.cleanout_access import USUAL_CLEAR_MM, Access
from stubout.layout.cleanout_draft import Draft
from stubout.layout.cleanout_spots import LARGEST_IN, Spot, Spots
from stubout.layout.model import CleanoutPlan, Layout, Place, PointKind, Role, Run
from stubout.problems import NotInBook, Question
from stubout.rulebooks import queries
from stubout.rulebooks.model import Cell, RuleBook

COVERS = "Q-cleanout-covers"  # the one question about all covers in finished floors
NO_PLACE = "-cleanout"  # end of the id of a question about a cleanout that no place was found for


class Setter:
    """A draft of the layout and what was said while cleanouts were set into it."""

    def __init__(self, layout: Layout, house: House, book: RuleBook) -> None:
        self.layout, self.house, self.book = layout, house, book
        self.draft = Draft(layout)
        self.access = Access(house, book, self.draft)
        self.spots = Spots(house, book, self.draft, self.access)
        self.questions: list[Question] = []
        self.notes: list[str] = []
        self.told: set[str] = set()
        self.made: dict[str, Spot] = {}  # point of a cleanout set here -> its spot
        self.for_turns: set[str] = set()  # points of cleanouts that only turns asked for

    def _asked(self, key: str) -> Cell | None:
        """Return a yes of the book, None for a no or silence."""
        cell = self.book.find(f"cleanout.{key}")
        return cell if cell is not None and cell.value is True else None

    def _silent_on_clearance(self) -> bool:
        try:
            queries.cleanout_clearance(self.book, self.draft.plans[0].size_in)
        except NotInBook:
            return True
        return False

    def _open(self, drain_in: float = 0.0) -> set[str]:
        """Return the points of the cleanouts large enough for a drain of a size."""
        traps = {k for k, p in self.draft.points.items() if p.kind is PointKind.TRAP}
        return {p.point for p in self.draft.plans if self._opens(p.size_in, drain_in, trap=p.point in traps)}

    def _opens(self, size_in: float, drain_in: float, *, trap: bool) -> bool:
        """Return whether a cleanout, or a removable trap, is large enough for a drain; any is where none is asked."""
        try:
            return not drain_in or queries.cleanout_opens(self.book, size_in, drain_in, trap=trap)
        except NotInBook:
            return True

    def _least_in(self, drain_in: float) -> float:
        """Return the size a cleanout of a drain must have, 0 where the book names none."""
        try:
            return queries.cleanout_size(self.book, drain_in).number if drain_in else 0.0
        except NotInBook:
            return 0.0

    def _serve(self, near: dict[str, float], serves: str, bases: Sequence[Cell | None]) -> bool:
        """Let the nearest cleanout among some points serve a demand; False if there is none."""
        held = [(near[p.point], i) for i, p in enumerate(self.draft.plans) if p.point in near]
        if not held:
            return False
        self._add(min(held)[1], serves, bases)
        return True

    def _add(self, index: int, serves: str, bases: Sequence[Cell | None]) -> None:
        self.draft.add_words(index, self.draft.plans[index], serves)
        plan = self.draft.plans[index]
        basis = tuple(dict.fromkeys((*plan.basis, *(c.basis for c in bases if c is not None))))
        self.draft.plans[index] = replace(plan, basis=basis)

    def _large(self, spots: list[Spot], drain_in: float) -> list[Spot]:
        """Return the spots whose cleanouts are large enough for a drain."""
        return [s for s in spots if self._opens(self._size_in(s), drain_in, trap=s.how == "trap")]

    def _size_in(self, spot: Spot) -> float:
        """Return how large a cleanout at a spot is made."""
        run = self.draft.runs[spot.run]
        return max(min(run.size_in, LARGEST_IN), self._least_in(run.size_in))

    def _set(self, spot: Spot, serves: str, bases: Sequence[Cell | None]) -> str:
        """Cut a cleanout into the layout at a spot and return its point."""
        d = self.draft
        run = d.runs[spot.run]
        size = min(run.size_in, LARGEST_IN)
        if spot.how in ("end", "trap"):
            node = spot.node
            if spot.how == "end":
                d.points[node] = replace(d.points[node], kind=PointKind.CLEANOUT)
                size = min(max(r.size_in for r in d.meeting(node)), LARGEST_IN)
        elif spot.how in ("riser", "back"):
            node = d.new_point(spot.at, PointKind.CLEANOUT)
            joint = d.joint_point(spot.corner or spot.joint, node)
            kind: Literal["under slab", "crawl"] = "crawl" if run.place.kind == "crawl" else "under slab"
            place = Place(kind if self.access.inside(spot.at) else "buried", run.place.ref)
            if spot.corner is None:
                d.split(run.id, joint)
            else:
                size = min(max(r.size_in for r in d.meeting(spot.node)), LARGEST_IN)
                d.points[joint] = replace(d.points[joint], kind=PointKind.TURN)
                d.points[spot.node] = replace(d.points[spot.node], kind=PointKind.JUNCTION)
                d.extend(f"{node}F", joint, spot.node, place, size)
            d.extend(f"{node}E", node, joint, place, size)
        else:
            node = d.new_point(spot.at, PointKind.CLEANOUT)
            d.split(run.id, node)
        cells: list[Cell | None] = list(bases)
        try:
            least = queries.cleanout_size(self.book, run.size_in)
            size = max(size, least.number)
            cells.append(least)
        except NotInBook:
            self.notes.append(
                f"{self.book.title} gives no cleanout size for {units.size(run.size_in)} in: the pipe's size"
            )
        try:
            deep = queries.cleanout_clearance(self.book, run.size_in)
            clear = deep.number
            cells.append(deep)
        except NotInBook:
            clear = USUAL_CLEAR_MM
        number = f"CO{len(d.plans) + 1}"
        words = f"{serves}; two-way" if spot.two_way else serves
        basis = tuple(dict.fromkeys(c.basis for c in cells if c is not None))
        self.made[node] = spot
        d.plans.append(CleanoutPlan(number, node, size, spot.opens, clear, words, spot.access, basis))
        return node

    def _take(self, spots: list[Spot], serves: str, bases: Sequence[Cell | None]) -> bool:
        """Set the best of some spots; False if there is none."""
        if not spots:
            return False
        self._set(min(spots, key=rank_of), serves, bases)
        return True

    def _number(self) -> None:
        """Number the cleanouts and say what is to be said about each."""
        self.draft.plans = [replace(p, id=f"CO{i}") for i, p in enumerate(self.draft.plans, 1)]
        new = {n for n, s in self.made.items() if s.node == "" or s.corner is not None}
        mine = {p.point: p.id for p in self.draft.plans if p.point in new}
        self.draft.rename(mine)
        self.made = {mine.get(k, k): v for k, v in self.made.items()}
        covers: list[tuple[str, Spot]] = []
        for plan in self.draft.plans:
            spot = self.made.get(plan.point)
            if spot is None:
                continue
            if spot.remark:
                self.notes.append(f"{plan.id}: {spot.remark}")
            if spot.cover:
                covers.append((plan.id, spot))
        if covers:
            self._ask_covers(covers)

    def _ask_covers(self, covers: Sequence[tuple[str, Spot]]) -> None:
        """Ask once for all covers in finished floors, with the place of each."""
        numbers = tuple(number for number, _ in covers)
        one = len(covers) == 1
        places = [(number, spot.access, spot.at) for number, spot in covers]
        self.questions.append(Question(
            COVERS, _covers_text(places, self.house), self._who("owner"),
            f"closing the floor over {', '.join(numbers)}", f"the {'place' if one else 'places'} as drawn",
            numbers))  # fmt: skip

    def _who(self, role: str) -> str:
        return next((name for _, name in self.house.job.people if role in name), role)

    def _no_place(self, about: str, what: str, bases: Sequence[Cell | None]) -> None:
        """Ask what to do where the book wants a cleanout and no place for it can be reached."""
        if about in self.told:
            return
        self.told.add(about)
        where = next((c.section for c in bases if c is not None), "")
        self.questions.append(Question(
            f"Q-{about}{NO_PLACE}", f"The book ({self.book.id} {where}) asks for a cleanout {what}; no place for it "
            "was found that a person can reach in the finished house. Where may it be, or may it be left out?",
            self._who("inspector"), f"cleanout {what}", "left out", (about,)))  # fmt: skip

    def _before(self, run: Run) -> list[Run]:
        """Return the drains straight above a drain, the largest at every joint."""
        out: list[Run] = []
        while True:
            into = [r for r in self.draft.into(run.start) if self.draft.lying(r)]
            if not into:
                return out
            run = max(into, key=lambda r: (r.size_in, r.role is Role.BUILDING_DRAIN, r.id))
            out.append(run)


def rank_of(s: Spot) -> tuple[float, float, float, float, str, str]:
    """Return the order of spots: good ones first, then a fixed order of places."""
    return (round(s.cost, 3), round(s.at.x, 1), round(s.at.y, 1), round(s.at.z, 1), s.run, s.access)


def covers_as_drawn(layout: Layout, house: House) -> Layout:
    """Return a layout that asks about its covers where they lie now, after points were moved."""
    at, plans = {p.id: p.at for p in layout.points}, {c.id: c for c in layout.cleanouts}

    def told(q: Question) -> Question:
        if q.id != COVERS or not all(i in plans and plans[i].point in at for i in q.about):
            return q
        return replace(q, text=_covers_text([(i, plans[i].access, at[plans[i].point]) for i in q.about], house))

    return replace(layout, questions=tuple(map(told, layout.questions)))


def _covers_text(covers: Sequence[tuple[str, str, Vec]], house: House) -> str:
    """Return what is asked about covers in finished floors: of each the number, the access and the place.

    Where the job says something about cleanouts in these floors, the owner is asked knowing what he said.
    """
    one, system = len(covers) == 1, house.job.units
    said = _said_of(house, {access.split(",")[0] for _, access, _ in covers})
    quoted = f"The job says: {'; '.join(said)}. No better place was found. " if said else ""
    places = [
        f"{number} in {access.split(',')[0]} (x {units.length(at.x, system)}, y {units.length(at.y, system)})"
        for number, access, at in covers
    ]
    lead = "This cleanout ends under a flush cover" if one else "These cleanouts end under flush covers"
    return (
        f"{lead} in the finished floor, measured as on the plan: {'; '.join(places)}. "
        f"{quoted}{'Is the place' if one else 'Are the places'} accepted{' all the same' if said else ''}?"
    )


def _said_of(house: House, rooms: set[str]) -> tuple[str, ...]:
    """Return what the job says in its own words of cleanouts in the floors of some rooms, each in quotes.

    The words are not understood, only found: a sentence about cleanouts that names one of the rooms, or that speaks of
    a floor and names no room of the house.
    """
    named = {(r.title or r.id).lower() for r in house.rooms}
    here = {r.lower() for r in rooms}
    out = []
    for words in house.wishes.said:
        low = words.lower()
        speaks_of = {r for r in named | here if r in low}
        if "cleanout" in low and (speaks_of & here if speaks_of else "floor" in low):
            out.append(f'"{words}"')
    return tuple(out)
