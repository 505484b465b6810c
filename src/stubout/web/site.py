"""A planned job with the records that stand: what the pages of the site ask of the two."""

from __future__ import annotations

from collections.abc import Iterable
from typing import Any

from stubout.run_field.model import Task, WallMark
from stubout.run_field.words import ENGLISH, speaker
from stubout.store.model import Kind, Record
from stubout.web import verdicts
from stubout.web.office import Opened


def ticks(found: Iterable[Record]) -> dict[str, Record]:
    """Return the standing ticks by their place."""
    return {r.place: r for r in found if r.kind is Kind.TICK}


class Site:
    """The plan on the screen with the records that stand; what templates ask."""

    def __init__(self, at: Opened, found: tuple[Record, ...], language: str = ENGLISH) -> None:
        assert at.field is not None
        self.say = speaker(language)
        self.at, self.field, self.records = at, at.field, found
        self.ticks = ticks(found)

    def tick(self, place: str) -> Record | None:
        """Return the record that something is done."""
        return self.ticks.get(place)

    def read(self, kind: Kind, place: str) -> Record | None:
        """Return the last reading of a place."""
        return verdicts.last(self.records, kind, place)

    def height(self, mark: Any) -> tuple[Record, verdicts.Verdict] | None:
        """Return the last height of a mark with its verdict."""
        found = self.read(Kind.HEIGHT, mark.place)
        return (found, verdicts.height(mark, found.value, self.field.units, self.say)) if found else None

    def slope(self, drain: Any) -> tuple[Record, verdicts.Verdict] | None:
        """Return the last slope of a drain with its verdict."""
        found = self.read(Kind.SLOPE, drain.place)
        return (found, verdicts.slope(drain, found.value, self.field.units, self.say)) if found else None

    def test(self, filling: Any) -> tuple[verdicts.Tested, Record, verdicts.Verdict] | None:
        """Return the last test of a section with its verdict."""
        found = self.read(Kind.TEST, filling.place)
        if found is None:
            return None
        return verdicts.tested(found.value), found, verdicts.test(filling, found.value, self.field.units, self.say)

    def tasks(self, wall: str) -> dict[str, list[Task]]:
        """Return what is ticked on one wall, or elsewhere, by kind; what a mark shows itself is left out."""
        marked = {m.about for s in self.field.walls if s.id == wall for m in s.marks}
        out: dict[str, list[Task]] = {}
        for t in self.field.tasks:
            if t.wall == wall and not (t.kind in ("bore", "stub") and t.about in marked):
                out.setdefault(t.kind, []).append(t)
        return out

    def task(self, mark: Any) -> Task | None:
        """Return what is ticked at a mark: a hole bored, a stub-out set."""
        return next((t for t in self.field.tasks if t.kind in ("bore", "stub") and t.about == mark.about), None)

    def done(self, wall: str) -> tuple[int, int]:
        """Return how much of a wall is ticked, of how much."""
        here = [t for t in self.field.tasks if t.wall == wall]
        return sum(t.place in self.ticks for t in here), len(here)

    def notes(self, wall: str) -> list[Record]:
        """Return notes and photos of a wall, the last first; a photo of a mark that is there stands at the mark."""
        marked = {m.place for s in self.field.walls if s.id == wall for m in s.marks}
        kinds = (Kind.NOTE, Kind.PHOTO)
        return [r for r in reversed(self.records) if r.wall == wall and r.kind in kinds and r.place not in marked]

    def photos(self, mark: WallMark) -> list[Record]:
        """Return the photos of a mark, the last first."""
        return [r for r in reversed(self.records) if r.kind is Kind.PHOTO and r.place == mark.place]
