"""Facts of the job changed, where that is the honest cure: marks, heights, cut-outs, the test."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, replace
from typing import Any

from stubout import units
from stubout.design import Change, Design
from stubout.fixes.graph import arm_marks
from stubout.fixes.model import FACT, MARK, Candidate, Case, Edit, once
from stubout.fixes.moves import COMPASS
from stubout.geometry.vec import Box, Vec
from stubout.layout.places import place_of
from stubout.network.model import Network
from stubout.rulebooks import queries

SPARE_MM = 2.0  # a cut-out is asked for so much wider and deeper than what goes through it
BODY_MM = 60.0  # as much shorter as a round closet bowl is than a long one; common practice, no source


@dataclass(frozen=True, slots=True)
class Fact:
    """Some facts of the job or the sheets said otherwise: list, id, field, value."""

    kind: str
    what: tuple[str, ...]
    was: str
    to: str
    words: str
    says: tuple[tuple[str, str, str, Any], ...]

    def on(self, design: Design) -> Design:
        """Return the design with the facts said so."""
        for part, name, key, value in self.says:
            design = _said(design, part, name, key, value)
        return design

    def told(self, design: Design) -> Change:
        """Return the change in words."""
        return Change(self.kind, self.what, self.was, self.to, self.words)


def _said(design: Design, part: str, name: str, key: str, value: Any) -> Design:
    house = design.house

    def put(items: tuple[Any, ...]) -> tuple[Any, ...]:
        return tuple(
            replace(i, **{key: value})
            if name in (getattr(i, "id", None), getattr(i, "tag", None), getattr(i, "about", None))
            else i
            for i in items
        )

    match part:
        case "stubs":
            return replace(design, stubs=put(design.stubs))
        case "traps":
            net = design.network
            return replace(design, network=Network(net.nodes, net.pipes, put(net.traps)))
        case "test":
            return replace(
                design, house=replace(house, job=replace(house.job, test=replace(house.job.test, **{key: value})))
            )
        case "wishes" | "ground":
            return replace(design, house=replace(house, **{part: replace(getattr(house, part), **{key: value})}))
    changed: dict[str, Any] = {part: put(getattr(house, part))}
    return replace(design, house=replace(house, **changed))


@dataclass(frozen=True, slots=True)
class MoveThing:
    """Something that stands in the way moved."""

    thing: str
    by: Vec

    def on(self, design: Design) -> Design:
        """Return the design with the thing elsewhere."""
        house = design.house
        moved = tuple(
            replace(o, box=Box(o.box.lo.plus(self.by), o.box.hi.plus(self.by))) if o.id == self.thing else o
            for o in house.obstacles
        )
        return replace(design, house=replace(house, obstacles=moved))

    def told(self, design: Design) -> Change:
        """Return the move in words."""
        o = next(o for o in design.house.obstacles if o.id == self.thing)
        way = next(w for d, w in COMPASS.items() if self.by.length and self.by.unit().dot(d) > 0.9)
        amount = units.both(self.by.length, design.house.job.units)
        return Change(
            "move",
            (o.id,),
            "where it is",
            f"{amount} {way}",
            f"Have the {o.what or o.kind} {o.id} moved {amount} {way}",
        )


def marks(case: Case) -> Iterator[Candidate]:
    """Yield stub-out marks set to where the arm really passes the finished wall."""
    u = case.design.house.job.units
    for mark, true in zip(case.design.stubs, arm_marks(case.design), strict=True):
        off = max(abs(mark.station_mm - true.station_mm), abs(mark.mark_z_mm - true.mark_z_mm))
        if mark.tag in case.about and off > 1.0:
            z = units.both(true.mark_z_mm - true.finished_z_mm, u)
            told = (
                f"Set the mark of {mark.tag} where its arm comes out: {z} above finished floor, "
                f"{units.both(true.station_mm, u)} along {mark.wall_id}"
            )
            was = f"{units.both(mark.mark_z_mm - mark.finished_z_mm, u)}, {units.both(mark.station_mm, u)}"
            says = (
                ("stubs", mark.tag, "station_mm", true.station_mm),
                ("stubs", mark.tag, "mark_z_mm", true.mark_z_mm),
            )
            yield once(Fact("mark", (mark.tag,), was, z, told, says), cost=MARK)


def tests(case: Case) -> Iterator[Candidate]:
    """Yield the test as the book wants it: with water, with its head."""
    test, u = case.design.house.job.test, case.design.house.job.units
    if test.method == "air":
        says = (("test", "", "method", "water"),)
        yield once(Fact("test", ("test",), "air", "water", "Test with water, not with air", says), cost=1.0)
    head = queries.test_head(
        case.design.book,
    ).number
    if test.head_mm is not None and test.head_mm < head:
        told = f"Plan the water test with {units.both(head, u)} of head"
        says_head = (("test", "", "head_mm", head),)
        yield once(Fact("test", ("test",), units.both(test.head_mm, u), units.both(head, u), told, says_head), cost=1.0)


def readings(case: Case) -> Iterator[Candidate]:
    """Yield pipes bedded again to the slope the design lays them at, and recorded anew."""
    for reading in case.design.house.readings:
        pipe = next((p for p in case.net.pipes if p.id == reading.about), None)
        if pipe is None or pipe.id not in case.about:
            continue
        least = queries.min_slope(case.design.book, pipe.size_in).number
        value = f"{max(least, pipe.slope) * 100 + 0.005:.2f} %"
        told = f"Hang or bed {pipe.id} again to {value} as designed, measure it and record that"
        says = (("readings", pipe.id, "value", value),)
        yield once(Fact("record", (pipe.id,), reading.value, value, told, says), cost=FACT)


def standpipes(case: Case) -> Iterator[Candidate]:
    """Yield standpipes cut longer or shorter."""
    for body in case.design.house.fixtures:
        top = body.standpipe_top_z_mm
        if body.tag not in case.about or top is None:
            continue
        for sign, word in ((1.0, "longer"), (-1.0, "shorter")):

            def made(
                mm: float, sign: float = sign, word: str = word, tag: str = body.tag, top: float = top
            ) -> tuple[Edit, ...]:
                amount = units.both(mm, case.design.house.job.units)
                says = (("fixtures", tag, "standpipe_top_z_mm", top + sign * mm),)
                return (
                    Fact(
                        "standpipe",
                        (tag,),
                        "as drawn",
                        f"{amount} {word}",
                        f"Make the standpipe of {tag} {amount} {word}",
                        says,
                    ),
                )

            yield Candidate(made, 2 * MARK, 512.0)


@dataclass(frozen=True, slots=True)
class Placed:
    """A pipe said to lie where it lies."""

    pipe: str

    def on(self, design: Design) -> Design:
        """Return the design with the place of the pipe looked up anew."""
        net = design.network
        pipes = tuple(replace(p, place=place_of(design.house, p.a, p.b)) if p.id == self.pipe else p for p in net.pipes)
        return replace(design, network=Network(net.nodes, pipes, net.traps))

    def told(self, design: Design) -> Change:
        """Return the change in words."""
        p = design.network.pipe(self.pipe)
        true = place_of(design.house, p.a, p.b)
        was, now = f"{p.place.kind} {p.place.ref}", f"{true.kind} {true.ref}"
        return Change("place", (p.id,), was, now, f"List {p.id} where it lies: {now}, not {was}")


def places(case: Case) -> Iterator[Candidate]:
    """Yield pipes whose place is listed otherwise than they lie."""
    for p in case.pipes:
        if p.id in case.about and place_of(case.design.house, p.a, p.b) != p.place:
            yield once(Placed(p.id), cost=MARK)
