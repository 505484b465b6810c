"""Lists set right: fittings, holes, plates, straps and supports as the pipes of the design ask for them."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, replace

from stubout import units
from stubout.design import Change, Design
from stubout.fabrication.model import Bore, FittingUse, Hanger, Plate
from stubout.fabrication.protect import STRAP_PAST_MM
from stubout.fixes.model import FITTING, LIST, Candidate, Case, listed, once


@dataclass(frozen=True, slots=True)
class Refit:
    """Other fittings at a point."""

    node: str
    fittings: tuple[FittingUse, ...]

    def on(self, design: Design) -> Design:
        """Return the design with those fittings at the point."""
        fab = design.fabrication
        others = tuple(f for f in fab.fittings if f.node != self.node)
        return replace(design, fabrication=replace(fab, fittings=(*others, *self.fittings)))

    def told(self, design: Design) -> Change:
        """Return the exchange in words."""
        old = " and ".join(f.pattern for f in design.fabrication.fittings if f.node == self.node) or "nothing"
        new = " and ".join(f.pattern for f in self.fittings)
        node = design.network.node(self.node)
        where = "/".join((*node.inflow, *node.outflow))
        return Change("fitting", (self.node,), old, new, f"Where {where} meet, set a {new} instead of the {old}")


@dataclass(frozen=True, slots=True)
class Protect:
    """Nail plates and straps put on."""

    plates: tuple[Plate, ...]

    def on(self, design: Design) -> Design:
        """Return the design with the plates on its list."""
        fab = design.fabrication
        return replace(design, fabrication=replace(fab, plates=(*fab.plates, *self.plates)))

    def told(self, design: Design) -> Change:
        """Return what is put on, in words."""
        holes = {b.id: b for b in design.fabrication.bores}
        what = listed(
            f"a {p.kind} over the hole of {holes[p.bore].pipe} in {holes[p.bore].member}" for p in self.plates
        )
        return Change("plate", tuple(p.bore for p in self.plates), "none", what, f"Put on {what}")


@dataclass(frozen=True, slots=True)
class Hang:
    """Pipes supported."""

    pipes: tuple[str, ...]
    hangers: tuple[Hanger, ...]

    def on(self, design: Design) -> Design:
        """Return the design with those supports of the pipes."""
        fab = design.fabrication
        others = tuple(h for h in fab.hangers if h.pipe not in self.pipes)
        return replace(design, fabrication=replace(fab, hangers=(*others, *self.hangers)))

    def told(self, design: Design) -> Change:
        """Return where the supports go, in words."""
        had = sum(h.pipe in self.pipes for h in design.fabrication.hangers)
        many = len(self.hangers)
        text = f"Support {listed(self.pipes)} in {many} place{'s' if many != 1 else ''}, as the book's spacing asks"
        return Change("hanger", self.pipes, f"{had} supports", f"{many} supports", text)


@dataclass(frozen=True, slots=True)
class Rebore:
    """Holes bored as the pipe asks for: size, edge, and what protects them."""

    pipes: tuple[str, ...]
    bores: tuple[Bore, ...]
    plates: tuple[Plate, ...]

    def on(self, design: Design) -> Design:
        """Return the design with those holes of the pipes."""
        fab = design.fabrication
        gone = {b.id for b in fab.bores if b.pipe in self.pipes}
        bores = (*(b for b in fab.bores if b.id not in gone), *self.bores)
        plates = (*(p for p in fab.plates if p.bore not in gone), *self.plates)
        return replace(design, fabrication=replace(fab, bores=bores, plates=plates))

    def told(self, design: Design) -> Change:
        """Return the holes in words."""
        u = design.house.job.units
        old = {(b.pipe, b.member): b for b in design.fabrication.bores}
        said = []
        for b in self.bores:
            was = old.get((b.pipe, b.member))
            if was is None or abs(was.hole_mm - b.hole_mm) > 0.5 or abs(was.edge_mm - b.edge_mm) > 0.5:
                edge = units.both(b.edge_mm, u)
                said.append(f"a {units.both(b.hole_mm, u)} hole in {b.member} for {b.pipe}, {edge} from its edge")
            elif was.verdict != b.verdict or was.member_kind != b.member_kind:
                said.append(f"the hole of {b.pipe} in {b.member} as a hole in a {b.member_kind}")
        what = "; ".join(said) or f"the holes of {listed(self.pipes)} as listed anew"
        return Change("bore", self.pipes, "as listed", what, f"Bore {what}")


def fittings(case: Case) -> Iterator[Candidate]:
    """Yield the fittings of each point of a finding as its pipes ask for them."""
    fab = case.design.fabrication
    for node in case.nodes:
        old = tuple(f for f in fab.fittings if f.node == node.id)
        new = tuple(f for f in case.anew.fittings if f.node == node.id)
        if new and [f.pattern for f in old] != [f.pattern for f in new]:
            names = {i: f.id for i, f in enumerate(old)}
            taken = tuple(replace(f, id=names.get(i, f"{node.id}-{f.id}")) for i, f in enumerate(new))
            yield once(Refit(node.id, taken), cost=FITTING)


def plates(case: Case) -> Iterator[Candidate]:
    """Yield the plates and straps that the holes of a finding lack."""
    fab = case.design.fabrication
    ours = {p.id for p in case.pipes}
    holes = {(b.pipe, b.member): b for b in fab.bores}
    anew = {b.id: b for b in case.anew.bores}
    have = {(p.kind, p.bore) for p in fab.plates}
    lacking = []
    for plate in case.anew.plates:
        hole = anew[plate.bore]
        listed_hole = holes.get((hole.pipe, hole.member))
        if hole.pipe in ours and listed_hole is not None and (plate.kind, listed_hole.id) not in have:
            lacking.append(replace(plate, id=f"{plate.id}+", bore=listed_hole.id))
    if lacking:
        yield once(Protect(tuple(lacking)), cost=LIST)
    straps = tuple(
        Plate(f"ST+{b.id}", "strap", b.id, "top", b.hole_mm + 2 * STRAP_PAST_MM, 0.0, b.bases)
        for b in fab.bores
        if b.verdict == "strap" and b.id in case.about and ("strap", b.id) not in have
    )
    if straps:
        yield once(Protect(straps), cost=2 * LIST)


def supports(case: Case) -> Iterator[Candidate]:
    """Yield the supports of the pipes of a finding, and of the straight runs they are part of."""
    ours = tuple(p.id for p in case.pipes)
    yield once(Hang(ours, tuple(h for h in case.anew.hangers if h.pipe in ours)), cost=LIST)
    runs = {i for p in case.anew.pieces if set(ours) & set(p.pipes or (p.pipe,)) for i in (p.pipes or (p.pipe,))}
    more = tuple(sorted(runs | set(ours)))
    if more != tuple(sorted(ours)):
        yield once(Hang(more, tuple(h for h in case.anew.hangers if h.pipe in more)), cost=2 * LIST)


def bores(case: Case) -> Iterator[Candidate]:
    """Yield the holes of the pipes of a finding as the pipes ask for them."""
    ours = tuple(p.id for p in case.pipes)
    names = {(b.pipe, b.member): b.id for b in case.design.fabrication.bores}
    new, renamed = [], {}
    for b in case.anew.bores:
        if b.pipe in ours:
            renamed[b.id] = names.get((b.pipe, b.member), f"{b.id}+")
            new.append(replace(b, id=renamed[b.id]))
    plates_anew = tuple(replace(p, id=f"{p.id}+", bore=renamed[p.bore]) for p in case.anew.plates if p.bore in renamed)
    had = tuple(b for b in case.design.fabrication.bores if b.pipe in ours)
    if tuple(new) != had:
        yield once(Rebore(ours, tuple(new), plates_anew), cost=3 * LIST)  # after what is merely put on
