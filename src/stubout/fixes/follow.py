"""What follows a change of pipes: fittings, pieces, holes, plates, supports and caps of the pipes it touched. [mm].

The lists of all other pipes stay as they are, wrong or right.
"""

from __future__ import annotations

import re
from collections.abc import Callable, Iterable
from dataclasses import replace
from typing import Protocol, TypeVar

from stubout.catalog.queries import measured_catalog
from stubout.design import Design
from stubout.fabrication.build import cut_and_bored
from stubout.fabrication.joined import joined
from stubout.fabrication.joining import room
from stubout.fabrication.model import Bore, CutPiece, Fabrication, FittingUse, Plate
from stubout.fixes.near import BESIDE_MM, RINGS, frame_round, joined_near
from stubout.geometry.distance import segment_bounds
from stubout.geometry.vec import Box
from stubout.house.model import House
from stubout.network.model import Network, Pipe


class _Named(Protocol):
    @property
    def id(self) -> str: ...


T = TypeVar("T", bound=_Named)


def made_anew(design: Design) -> Fabrication:
    """Return fittings, pieces, holes, plates and supports as the pipes of a design ask for them."""
    d = design
    return cut_and_bored(d.network, d.house, d.book, d.framing, d.stubs, cleanouts=d.cleanouts)


SAME_LINE_MM = 0.5  # so much longer is the way over a point that lies beside a pipe


def touched(before: Design, after: Design) -> frozenset[str]:
    """Return the pipes that a change moved, made, resized or took away, and those that meet others than before."""
    old = {p.id: _laid(p) for p in before.network.pipes}
    new = {p.id: _laid(p) for p in after.network.pipes}
    changed = {i for i in old.keys() | new.keys() if old.get(i) != new.get(i)}
    opens = {c.point: (c.size_in, c.opens) for c in before.cleanouts}
    opened = {c.point: (c.size_in, c.opens) for c in after.cleanouts}
    at = {n for n in opens.keys() | opened.keys() if opens.get(n) != opened.get(n)}
    return frozenset(changed | {p.id for p in after.network.pipes if {p.start, p.end} & at})


def moves_installed(before: Design, after: Design) -> bool:
    """Return whether a change moves, resizes or takes away installed pipe; what joins it may part it."""
    now = {p.id: p for p in after.network.pipes}

    def stays(old: Pipe) -> bool:
        new = now.get(old.id)
        if new is None or new.size_in != old.size_in:
            return False
        return all(e.to(old.a) + e.to(old.b) - old.length_mm < SAME_LINE_MM for e in (new.a, new.b))

    return not all(stays(p) for p in before.network.pipes if p.said == "installed")


def _laid(p: Pipe) -> tuple[object, ...]:
    return (p.system, p.start, p.end, p.a, p.b, p.size_in, p.place)


def followed(before: Design, after: Design, *, joints_only: bool = False) -> Design:
    """Return the changed design with the lists of the pipes that the change touched made anew.

    Args:
        before: The design as it stands.
        after: The design with its pipes changed.
        joints_only: Look at the pipes near the change and at no hole: fittings and pieces are right there, quickly.
    """
    pipes = touched(before, after)
    if not pipes:
        return after
    return relisted(after, pipes, made_anew(_neighbourhood(after, pipes, bare=joints_only)))


def jointed(before: Design, after: Design) -> Design:
    """Return the changed design with fittings and pieces made anew near the change; holes and supports stay."""
    pipes = touched(before, after)
    if not pipes:
        return after
    d = _neighbourhood(after, pipes, bare=not _coupled(after, pipes))
    made = joined(d.network, d.house, d.book, d.stubs, cleanouts=d.cleanouts)
    return relisted(after, pipes, replace(after.fabrication, fittings=made.fittings, pieces=made.pieces))


def _coupled(design: Design, pipes: frozenset[str]) -> bool:
    """Return whether a run of some pipes is coupled: where, hangs on the frame it goes through."""
    ends = {f.id for f in design.fabrication.fittings if f.in_run}
    return any(p.end_fitting in ends and pipes.intersection(p.pipes) for p in design.fabrication.pieces)


def with_growth(before: Design, after: Design) -> Design:
    """Return the changed design with its pieces longer or shorter by as much as the runs they are cut from, quickly.

    The fittings stay what they are: near enough to see how far two of them have to be moved apart.
    """
    old = {p.id: p.length_mm for p in before.network.pipes}
    grown = {p.id: p.length_mm - old[p.id] for p in after.network.pipes if abs(p.length_mm - old[p.id]) > 1e-6}
    parts = measured_catalog(before.house.measured)
    longest: dict[tuple[str, ...], str] = {}
    for p in sorted(before.fabrication.pieces, key=lambda p: (-p.cut_mm, p.id)):
        longest.setdefault(p.pipes or (p.pipe,), p.id)

    def cut(p: CutPiece) -> CutPiece:
        run = p.pipes or (p.pipe,)
        by = sum(grown.get(i, 0.0) for i in run)
        if not by or longest[run] != p.id or p.street:
            return p
        ends = sum(e not in ("", "trap", "terminal") for e in (p.start_fitting, p.end_fitting))
        fits = room(p.cut_mm + by, ends, parts.socket_mm(p.size_in))
        return replace(p, centre_mm=p.centre_mm + by, cut_mm=p.cut_mm + by, fits=fits)

    fab = before.fabrication
    return replace(after, fabrication=replace(fab, pieces=tuple(cut(p) for p in fab.pieces)))


def _neighbourhood(design: Design, pipes: frozenset[str], *, bare: bool) -> Design:
    """Return the pipes so near to some pipes that what is made of these hangs on them, in the frame round them.

    Args:
        design: The design.
        pipes: The pipes of which everything is to be made.
        bare: Leave out the frame: fittings and pieces only.
    """
    net = design.network
    near = joined_near(net, pipes & {p.id for p in net.pipes}, 2 if bare else RINGS)
    ends = {n for i in near for n in (net.pipe(i).start, net.pipe(i).end)}
    nodes = tuple(
        replace(n, inflow=tuple(i for i in n.inflow if i in near), outflow=tuple(i for i in n.outflow if i in near))
        for n in net.nodes
        if n.id in ends
    )
    house = design.house
    if bare:
        walls = tuple(replace(w, studs=()) for w in house.walls)
        house = replace(house, walls=walls, frames=tuple(replace(f, centres_mm=()) for f in house.frames))
    else:
        house = frame_round(house, [_round(design.house, p) for p in net.pipes if p.id in near])
    return replace(
        design,
        network=Network(nodes, tuple(p for p in net.pipes if p.id in near), net.traps),
        house=house,
        cleanouts=tuple(c for c in design.cleanouts if c.point in ends),
    )


def _round(house: House, p: Pipe) -> Box:
    """Return the box round what a pipe can touch; an upright one is put in from above or below, in its line."""
    box = segment_bounds(p.a, p.b, BESIDE_MM)
    if not p.vertical:
        return box
    lo, hi = house.footprint.lo.z, house.footprint.hi.z
    return Box(box.lo.at_z(min(box.lo.z, lo)), box.hi.at_z(max(box.hi.z, hi)))


def relisted(design: Design, pipes: frozenset[str], anew: Fabrication) -> Design:
    """Return the design with everything that is cut, bored and fixed on some pipes as in lists made anew.

    A fitting, hole or plate that is there in both lists keeps its number.
    """
    fab = design.fabrication
    ends = {n for p in design.network.pipes if p.id in pipes for n in (p.start, p.end)}
    nodes = {n.id for n in design.network.nodes}
    there = {p.id for p in design.network.pipes}

    runs: dict[str, set[str]] = {}  # pipe -> the straight runs it is cut in
    for p in (*fab.pieces, *anew.pieces):
        for i in p.pipes:
            runs.setdefault(i, set()).update(p.pipes)

    def here(f: FittingUse) -> bool:
        if f.in_run:
            run = runs.get(f.pipes[0], {f.pipes[0]})
            return bool(pipes & run) or f.pipes[0] not in there
        if f.node in nodes:
            return f.node in ends or bool(pipes.intersection(f.pipes))
        return True

    fittings, names = _merged(fab.fittings, anew.fittings, here, _fitting_key(anew), _fitting_key(fab), "F")
    bores, bore_names = _merged(fab.bores, anew.bores, lambda b: b.pipe in pipes, _bore_key, _bore_key, "B")
    listed = {b.id: b for b in fab.bores}
    plates, _ = _merged(
        fab.plates,
        tuple(replace(p, bore=bore_names.get(p.bore, p.bore)) for p in anew.plates),
        lambda p: _plated(p, listed, bores, pipes),
        _plate_key,
        _plate_key,
        "NP",
    )
    known = {p.id for p in design.network.pipes}

    def cut_here(p: CutPiece, uses: dict[str, FittingUse]) -> bool:
        """Return whether a piece is of the pipes touched; the riser of a floor outlet belongs to its fitting."""
        if p.pipe:
            return bool(pipes.intersection(p.pipes or (p.pipe,)))
        return any(e in uses and uses[e].node in ends for e in (p.start_fitting, p.end_fitting))

    old_uses, new_uses = {f.id: f for f in fab.fittings}, {f.id: f for f in anew.fittings}
    old_pieces = tuple(p for p in fab.pieces if not cut_here(p, old_uses) and p.pipe in {*known, ""})
    new_pieces = tuple(_renamed(p, names) for p in anew.pieces if cut_here(p, new_uses))
    return replace(
        design,
        fabrication=replace(
            fab,
            fittings=fittings,
            pieces=(*old_pieces, *new_pieces),
            bores=bores,
            plates=plates,
            hangers=(
                *(h for h in fab.hangers if h.pipe not in pipes and h.pipe in known),
                *(h for h in anew.hangers if h.pipe in pipes),
            ),
        ),
    )


def _renamed(p: CutPiece, names: dict[str, str]) -> CutPiece:
    """Return a piece with the fittings it speaks of under the numbers they have on the list."""
    note = p.note
    for old in {p.start_fitting, p.end_fitting, p.street} - {""}:
        note = re.sub(rf"\b{old}\b", f"<{old}>", note)
    for old in re.findall(r"<(F\d+)>", note):
        note = note.replace(f"<{old}>", names.get(old, old))
    return replace(
        p,
        start_fitting=names.get(p.start_fitting, p.start_fitting),
        end_fitting=names.get(p.end_fitting, p.end_fitting),
        street=names.get(p.street, p.street),
        note=note,
    )


def _plated(plate: Plate, listed: dict[str, Bore], bores: tuple[Bore, ...], pipes: frozenset[str]) -> bool:
    hole = listed.get(plate.bore) or next((b for b in bores if b.id == plate.bore), None)
    return hole is None or hole.pipe in pipes


def _fitting_key(fab: Fabrication) -> Callable[[FittingUse], object]:
    place: dict[object, int] = {}
    keys: dict[str, object] = {}
    for f in fab.fittings:
        spot = f.node or f.pipes
        keys[f.id] = (spot, place.get(spot, 0))
        place[spot] = place.get(spot, 0) + 1
    return lambda f: keys[f.id]


def _bore_key(b: Bore) -> object:
    return (b.pipe, b.member)


def _plate_key(p: Plate) -> object:
    return (p.kind, p.bore)


def _merged(
    listed: Iterable[T],
    anew: Iterable[T],
    here: Callable[[T], bool],
    key_anew: Callable[[T], object],
    key_listed: Callable[[T], object],
    stem: str,
) -> tuple[tuple[T, ...], dict[str, str]]:
    """Return a list with the entries of a place taken from the list made anew, and the numbers those now have."""
    listed = tuple(listed)
    had = {key_listed(t): t.id for t in listed}
    taken = {t.id for t in listed}
    out = [t for t in listed if not here(t)]
    names: dict[str, str] = {}
    for t in anew:
        name = had.get(key_anew(t))
        if not here(t):
            names[t.id] = name or t.id
            continue
        if name is None:
            number = len(taken) + 1
            while f"{stem}{number}" in taken:
                number += 1
            name = f"{stem}{number}"
            taken.add(name)
        names[t.id] = name
        out.append(replace(t, id=name))  # type: ignore[type-var]
    return tuple(out), names
