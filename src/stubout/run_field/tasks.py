"""What is to be done and measured on site, read off a design; and the sections of the water test."""

from __future__ import annotations

from collections.abc import Callable, Iterator

from stubout import units
from stubout.checks.rules.rec001 import SLOPE_TOL
from stubout.design import Design
from stubout.geometry.vec import Vec
from stubout.network.model import Pipe
from stubout.network.standing import walls_of
from stubout.problems import NotInBook, RuleBookError
from stubout.reports.show import clause, show
from stubout.reports.water_test import pressure, sections
from stubout.rulebooks.queries import min_slope, test_head, test_hold
from stubout.run_field.model import Drain, Filling, Task, WallSide
from stubout.sheets.words import SHORT_ROLE, pipe_size, stub_words

LEVEL_MM = 300.0  # a drain this long takes a short level; common practice, no source


def tasks(design: Design, walls: tuple[WallSide, ...]) -> tuple[Task, ...]:
    """Return everything that is ticked: holes, stub-outs, glued fittings, hangers, plates, caps."""
    told = {m.about: side.id for side in walls for m in side.marks}
    pipes, runs = {p.id: p for p in design.pipes()}, {p.id for p in design.network.pipes}
    where = {side.wall: side.id for side in reversed(walls)}

    def wall_at(at: Vec, *ids: str) -> str:
        """Return the wall of a thing on some pipes: of those its pipes come through the one of its own height."""
        here = [w for i in ids if i in pipes for w in walls_of(pipes[i], design.house.walls)]
        named = [p.place.ref for p in (pipes[i] for i in ids if i in pipes) if p.place.kind == "wall"]
        own = [w.id for w in here if w.bottom_z_mm <= at.z <= w.top_z_mm]
        return where.get((sorted(own, key=lambda w: w not in named) or named or [""])[0], "")

    def made() -> Iterator[Task]:
        for b in design.fabrication.bores:
            words = f"{b.member}: hole {units.named(b.hole_mm, design.house.job.units)} for {b.pipe}"
            yield Task("bore", b.id, words, f"{b.member}, {_at(b.centre)}, {b.hole_mm:.0f} mm", told.get(b.id, ""))
        for s in design.stubs:
            place = f"stub-out {s.tag}, wall {s.wall_id} {s.side}"
            words = stub_words(s)
            if s.place.clear:
                place = f"arm of {s.tag} {s.place.words}, by wall {s.wall_id} {s.side}"
                words = f"{words}, {s.place.words}"
            yield Task("stub", s.tag, words, place, told.get(s.tag, ""))
        for f in design.fabrication.fittings:
            joins = tuple(p for p in f.pipes if p in runs)
            words = f"{f.pattern} {' x '.join(units.size(v) for v in f.sizes_in)}, {', '.join(f.pipes)}"
            yield Task("glue", f.id, words, f"{f.pattern}, {_at(f.at)}", wall_at(f.at, *f.pipes), joins)
        for h in design.fabrication.hangers:
            yield Task("hanger", h.id, f"{h.kind} of {h.pipe}", f"{h.kind}, {_at(h.at)}", wall_at(h.at, h.pipe))
        bores = {b.id: b for b in design.fabrication.bores}
        for p in design.fabrication.plates:
            at = bores.get(p.bore)
            words = f"{p.kind}, {p.face} face, {at.member if at else p.bore}"
            place = f"{p.kind} {p.face}, {_at(at.centre) if at else p.bore}"
            yield Task("plate", p.id, words, place, told.get(p.bore, ""))
        for c in design.fabrication.caps:
            yield Task("cap", c.id, f"{c.what} {pipe_size(c.size_in)}", f"{c.what}, {_at(c.at)}")

    return tuple(made())


def _at(p: Vec) -> str:
    """Return a place to the centimetre: what moves by less is the same thing."""
    return f"x {p.x / 10:.0f} y {p.y / 10:.0f} z {p.z / 10:.0f} cm"


def drains(design: Design) -> tuple[Drain, ...]:
    """Return the lying drains with the least slope the book gives each."""
    return tuple(_drain(design, p) for p in design.network.drains() if not p.vertical)


def _drain(design: Design, p: Pipe) -> Drain:
    system = design.house.job.units
    try:
        cell = min_slope(design.book.to_judge_by, p.size_in)
        least, words = cell.number, f"least {units.slope(cell.number, system)} by {clause((cell.basis,))}"
    except RuleBookError as silent:
        least, words = None, f"no least slope to judge by: {silent}"
    what = f"{SHORT_ROLE[p.role]} {pipe_size(p.size_in)}"
    return Drain(
        p.id, what, p.slope, units.slope(p.slope, system), least, words, SLOPE_TOL,
        f"{what}, {_at(p.a)} to {_at(p.b)}", units.named(p.length_mm, system), p.length_mm >= LEVEL_MM,
    )  # fmt: skip


def fillings(design: Design) -> tuple[Filling, ...]:
    """Return the sections of the water test as the test plan prints them."""
    said = design.house.job.test
    head_mm = said.head_mm if said.head_mm is not None else _by_book(lambda: test_head(design.book).number)
    minutes = said.hold_min if said.hold_min is not None else _by_book(lambda: test_hold(design.book).number)
    hold = "how long is an open question" if minutes is None else f"{minutes:g} min"
    out = []
    for part in sections(design, head_mm):
        head = "the head is an open question"
        if part.top_mm is not None:
            deep = part.top_mm - part.low_mm
            head = f"{show(design).both(deep)} on the lowest pipe, {pressure(deep)}"
        caps = tuple(f"{c.id} {c.what}" for c in part.caps)
        place = f"section {part.letter}: {len(part.pipes)} pipes, {round(part.litres)} l"
        out.append(Filling(part.letter, part.title, head, minutes, hold, caps, place))
    return tuple(out)


def _by_book(asked: Callable[[], float]) -> float | None:
    """Return a figure of the book, None where it is silent."""
    try:
        return asked()
    except NotInBook:
        return None
