"""A clean system with some edits, every later stage made anew, and what the checks then say."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import replace

from seeding import records
from seeding.bench import Bench, Edit, terminal
from seeding.systems import Made
from seeding.words import DESIGN, DRAWING, LAYOUT, NETWORK, Act, refuse
from stubout.checks.registry import run_all
from stubout.design import Design
from stubout.fabrication.build import fabricate_network
from stubout.files.books import load_book
from stubout.house.model import House
from stubout.layout.cleanouts import with_cleanouts
from stubout.layout.complete import dead_ends, drawn_cleanouts, drawn_marks, faults_of_drawing
from stubout.layout.drawn import read_drawing
from stubout.layout.model import Layout, PointKind
from stubout.layout.stubs import stub_marks
from stubout.network.build import build, faults_of
from stubout.network.model import Network
from stubout.problems import Finding
from stubout.sizing.size import size

__all__ = ["Edit", "bench", "judged", "news", "spoil", "under"]


def spoil(made: Made, edits: Iterable[Edit]) -> Design:
    """Return the design of a clean system with some edits, every later stage made anew."""
    return bench(made, edits).design


def under(on: Bench, book_id: str) -> Design:
    """Return the same pipes judged by another book: loads and vent lengths counted anew, no size and no place changed.

    The fittings stay those that were bought.
    """
    design = on.design
    house = replace(design.house, job=replace(design.house.job, book_id=book_id))
    book = load_book(book_id, house.amendments)
    counted = {p.id: p for p in build(on.layout, house, book).pipes}
    pipes = tuple(
        replace(p, load=counted[p.id].load, vent_length_mm=counted[p.id].vent_length_mm) if p.id in counted else p
        for p in design.network.pipes
    )
    return replace(design, house=house, book=book, network=Network(design.network.nodes, pipes, design.network.traps))


def bench(made: Made, edits: Iterable[Edit]) -> Bench:
    """Return a clean system with some edits, all stages."""
    edits = list(edits)
    for e in edits:
        refuse(e)
    on = Bench(made, made.house, made.layout, made.network, made.design)
    _facts(on, edits, "house")
    drawing = [e for e in edits if any(w in e for w in DRAWING)]
    shaping = [e for e in edits if any(w in e for w in LAYOUT) or _root(e) == "layout"]
    pipes = [e for e in edits if any(w in e for w in NETWORK) or _root(e) == "network"]
    for e in drawing:
        _do(on, e, DRAWING)
    if on.house.routes != made.house.routes:
        on.layout = drawn_again(on)
    for e in shaping:
        _do(on, e, LAYOUT)
    _facts(on, shaping, "layout")
    drawing_changed = on.layout is not made.layout
    if drawing_changed:
        on.layout = marked(on.house, made, on.layout)
        on.network, _ = size(build(on.layout, on.house, made.book), on.layout, on.house, made.book, made.framing)
    for e in pipes:
        _do(on, e, NETWORK)
    _facts(on, pipes, "network")
    design = replace(
        made.design, house=on.house, network=on.network, stubs=on.layout.stubs, cleanouts=on.layout.cleanouts
    )
    if drawing_changed:
        design = replace(design, blocked=tuple(dict.fromkeys(on.layout.blocked + faults_of(on.layout))))
    if drawing_changed or pipes or any(_frame(e) for e in edits):
        made_anew = fabricate_network(
            on.network, on.house, made.book, made.framing, on.layout.stubs, cleanouts=on.layout.cleanouts
        )
        design = replace(design, fabrication=made_anew)
    on.design = design
    for e in edits:
        _do(on, e, DESIGN)
    _facts(on, edits, "design")
    return on


def judged(made: Made, edits: Iterable[Edit]) -> tuple[Finding, ...]:
    """Return what the checks say of a spoiled system and did not say of the clean one."""
    return news(made, spoil(made, edits))


def news(made: Made, design: Design) -> tuple[Finding, ...]:
    """Return what the checks say of a design and did not say of the clean one."""
    known = {(f.check, f.about, f.found) for f in made.findings}
    return tuple(f for f in run_all(design)[0] if (f.check, f.about, f.found) not in known)


def _root(e: Edit) -> str:
    path = e.get("set") or e.get("add") or e.get("take") or ""
    return str(path).split("/")[0]


def _frame(e: Edit) -> bool:
    """Return whether an edit changes what is bored and cut."""
    path = str(e.get("set") or e.get("add") or e.get("take") or "")
    return path.startswith(("house/walls", "house/frames"))


def _do(on: Bench, e: Edit, words: dict[str, Act]) -> None:
    for word, act in words.items():
        if word in e:
            act(on, e)


def _facts(on: Bench, edits: Iterable[Edit], stage: str) -> None:
    roots = {"house": "house", "layout": "layout", "network": "network"}
    for e in edits:
        root = _root(e)
        if not root or roots.get(root, "design") != stage:
            continue
        part = {"house": on.house, "layout": on.layout, "network": on.network}.get(root, on.design)
        path = str(e.get("set") or e.get("add") or e.get("take")).replace("{terminal}", terminal(on))
        path = path.split("/", 1)[1] if root in (*roots, "design") else path
        if "set" in e:
            new = records.put(part, path, e["to"])
        elif "add" in e:
            new = records.add(part, path, e["record"])
        else:
            new = records.take(part, path)
        setattr(on, roots.get(root, "design"), new)


def drawn_again(on: Bench) -> Layout:
    """Return the layout of the routes as they are drawn now; nothing is completed."""
    house, book = on.house, on.clean.book
    d = read_drawing(house)
    marks = drawn_marks(house, stub_marks(house, book, {t.tag: t.trap_in for t in d.traps}), d.traps, d.points, d.runs)
    lines = {leg.id: leg.line for leg in house.routes}
    blocked = (*faults_of_drawing(house, d), *dead_ends(house, d.points, d.runs, d.traps, lines))
    layout = Layout(d.points, d.runs, d.traps, marks, drawn_cleanouts(house, book, d.points, d.runs), blocked)
    have = {p.id for p in on.clean.layout.cleanouts}
    again = with_cleanouts(layout, house, book)
    openings = {p.id for p in layout.points if p.kind is PointKind.CLEANOUT}
    kept = tuple(c for c in again.cleanouts if c.id in have and c.point in openings)
    return replace(layout, cleanouts=kept)


def marked(house: House, made: Made, layout: Layout) -> Layout:
    """Return the layout with its stub-outs where the arms now pass the finished walls."""
    marks = drawn_marks(house, layout.stubs, layout.traps, layout.points, layout.runs)
    old = {
        m.tag: m for m in drawn_marks(house, made.layout.stubs, made.layout.traps, made.layout.points, made.layout.runs)
    }
    same = {m.tag: m for m in made.layout.stubs}
    kept = tuple(same[m.tag] if m == old.get(m.tag) and m.tag in same else m for m in marks)
    return replace(layout, stubs=kept)
