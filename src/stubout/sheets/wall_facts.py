"""What is marked on one side of one wall: stub-outs, holes, risers, floor outlets, cleanouts, vent fittings."""

from __future__ import annotations

from dataclasses import dataclass, replace
from typing import Literal

from stubout import units
from stubout.design import Design, Window, free_band
from stubout.fabrication.model import Bore
from stubout.house.framing import Side, Wall
from stubout.layout.model import PointKind, StubMark
from stubout.network.model import Node, Pipe
from stubout.network.naming import with_pipes
from stubout.network.standing import in_wall
from stubout.problems import several
from stubout.sheets.pipeware import od_mm
from stubout.sheets.words import SHORT_ROLE, finished_z, mm, pipe_size, stub_words

MarkKind = Literal["stub", "stud hole", "plate hole", "riser", "floor", "cleanout", "fitting", "standpipe", "box"]
SAME_MM = 1.5
IN_WALL = "centre at the trap inside the wall"
IN_PLACE = "in place"
NO_HOLE = "no hole in this wall"
OTHER_FLOOR = "fin. floor: other side"  # said where a height above finished floor counts from the room behind the wall


@dataclass(frozen=True, slots=True)
class Mark:
    """One dimension written on the frame."""

    kind: MarkKind
    about: str  # fixture tag, bore id, pipe id or node id
    what: str
    station_mm: float  # from the control corner
    z_mm: float | None  # house height of the centre, None for a mark on a plate or floor
    lo_z_mm: float | None = None  # window
    hi_z_mm: float | None = None
    trap_only: bool = False  # the window is what trap and cabinet allow; that of the pipes was not reckoned
    hole_mm: float | None = None
    play_mm: float | None = None  # how far the hole may be off, from hole and pipe
    remark: str = ""
    finished_z_mm: float | None = None  # finished floor in front of it, None where no room is described
    stop: bool = False  # do not bore before somebody has decided
    clear: str = ""  # what it stands in, where nothing of it is in the wall and nothing is bored: "in cabinet K1.5"
    off_wall_mm: float | None = None  # then: finished wall to the centre of the riser
    number: int = 0


def other(side: Side) -> Side:
    """Return the other side of a wall."""
    return "right" if side == "left" else "left"


def pipes_in_wall(design: Design, wall: Wall) -> tuple[Pipe, ...]:
    """Return the pipes that lie in a wall, and the upright ones that come through it from a wall over or under it."""
    return tuple(p for p in design.pipes() if in_wall(p, wall))


def nodes_in_wall(design: Design, wall: Wall) -> tuple[Node, ...]:
    """Return the points of the network at which a pipe of the wall starts or ends, but none of another storey."""
    ids = {i for p in pipes_in_wall(design, wall) for i in (p.start, p.end)}
    return tuple(n for n in design.network.nodes if n.id in ids and not _on_other_storey(design, wall, n))


def _on_other_storey(design: Design, wall: Wall, node: Node) -> bool:
    """Return whether a point lies over or under a wall, and within another wall of the house."""
    return not _between_floors(wall, node) and any(
        w.id != wall.id
        and _between_floors(w, node)
        and abs(w.offset(node.at)) < w.depth_mm / 2
        and 0.0 <= w.station(node.at) <= w.length_mm
        for w in design.house.walls
    )


def _between_floors(wall: Wall, node: Node) -> bool:
    return wall.bottom_z_mm - SAME_MM <= node.at.z <= wall.top_at(wall.station(node.at)) + SAME_MM


def sides_with_work(design: Design, wall: Wall) -> tuple[Side, ...]:
    """Return the sides of a wall that need a sheet: those with stub-outs or outlets, else the side that has a room."""
    pipes = pipes_in_wall(design, wall)
    bores = [b for b in design.fabrication.bores if b.wall_or_frame == wall.id]
    stubs = {s.side for s in design.stubs if s.wall_id == wall.id}
    outlets = {f.side for f in design.house.fixtures if f.wall_id == wall.id and f.floor_outlet}
    if not pipes and not bores and not stubs:
        return ()
    named = stubs or (outlets if pipes or bores else set())
    if named:
        return tuple(s for s in ("left", "right") if s in named)
    middle = wall.length_mm / 2
    places = [wall.station(p.a) for p in pipes] or [middle]
    for side in ("left", "right"):
        if finished_z(design, wall, side, sum(places) / len(places)) is not None:
            return (side,)
    return ("left",)


def mark_side(design: Design, wall: Wall, station_mm: float, want: Side | None = None) -> Side:
    """Return the side whose sheet carries a mark that goes through the wall: each is told once, so bored once.

    Args:
        design: The design.
        wall: The wall.
        station_mm: Where the mark is, along the wall.
        want: The side it shows on, if it shows on one only (a cleanout).
    """
    sides = sides_with_work(design, wall)
    if len(sides) == 1:
        return sides[0]
    if want is not None:
        return want
    here = [b for b in design.fabrication.bores if b.wall_or_frame == wall.id]
    floors = {v: sum(finished_z(design, wall, v, wall.station(b.centre)) is not None for b in here) for v in sides}
    stubs = {v: sum(s.wall_id == wall.id and s.side == v for s in design.stubs) for v in sides}
    main = max(sides, key=lambda v: (floors[v], stubs[v], v == "left"))
    known = finished_z(design, wall, main, station_mm) is not None
    return main if known or finished_z(design, wall, other(main), station_mm) is None else other(main)


def marks(design: Design, wall: Wall, side: Side, windows: tuple[Window, ...] = ()) -> tuple[Mark, ...]:
    """Return the marks of a wall side, numbered from the control corner on, low before high.

    Args:
        design: The design.
        wall: The wall.
        side: Its side.
        windows: How far the marks may be off, where that was reckoned: no stub-out is given more.
    """
    through = (*_risers(design, wall), *_fittings(design, wall))
    found = [
        *_stubs(design, wall, side, windows),
        *_bores(design, wall, side),
        *(m for m in through if mark_side(design, wall, m.station_mm) == side),
        *_outlets(design, wall, side),
        *_washers(design, wall, side),
        *_cleanouts(design, wall, side),
    ]
    found.sort(key=lambda m: (round(m.station_mm), m.z_mm if m.z_mm is not None else wall.bottom_z_mm, m.kind, m.about))
    out = []
    for i, m in enumerate(found, 1):
        fin, remark = m.finished_z_mm, m.remark
        if fin is None:
            fin = finished_z(design, wall, side, m.station_mm)
        if fin is None and m.z_mm is not None:  # no room described here: the floor behind the wall, and say so
            fin = finished_z(design, wall, other(side), m.station_mm)
            if fin is not None:
                remark = ", ".join(w for w in (remark, OTHER_FLOOR) if w)
        out.append(replace(m, number=i, finished_z_mm=fin, remark=remark))
    return tuple(out)


def _stubs(design: Design, wall: Wall, side: Side, windows: tuple[Window, ...]) -> list[Mark]:
    out = []
    for s in design.stubs:
        if s.wall_id != wall.id or s.side != side:
            continue
        remark = _stub_remark(design, s)
        if not s.feasible:
            remark = "NO HEIGHT FITS: ask first"
        free = free_band(s, windows)
        out.append(
            Mark(
                "stub",
                s.tag,
                stub_words(s),
                s.station_mm,
                s.mark_z_mm,
                free.lo_z_mm,
                free.hi_z_mm,
                trap_only=not free.known,
                remark=remark,
                finished_z_mm=s.finished_z_mm,
                stop=not s.feasible,
                clear=s.place.words,
                off_wall_mm=s.place.from_face_mm if s.place.clear else None,
            )
        )
    return out


def _stub_remark(design: Design, s: StubMark) -> str:
    """Return where a stub-out ends: past the wall, at the trap in it, or at a riser clear of it, with how far off."""
    if s.place.clear:
        return f"{s.place.words}, {NO_HOLE}, riser {mm(design, s.place.from_face_mm)} from finished wall"
    remark = "flush with finished wall"
    if s.projection_mm > 0.5:
        remark = f"out {mm(design, s.projection_mm)} past finished wall"
    elif s.place.kind == "in wall":
        remark = IN_WALL
    middle = design.house.fixture(s.tag).station_mm
    if middle is not None and abs(s.station_mm - middle) > SAME_MM:
        remark += f", trap swings {mm(design, abs(s.station_mm - middle))}"
    return remark


def _bored_from(design: Design, wall: Wall, bore: Bore) -> Side | None:
    """Return the side whose finished floor the bore list measures from, so that sheet and list say one height."""
    floor = bore.centre.z - bore.height_finished_mm
    station = wall.station(bore.centre)
    sides: tuple[Side, ...] = ("left", "right")
    there = {s: finished_z(design, wall, s, station) for s in sides}
    agree = [s for s, z in there.items() if z is not None and abs(z - floor) < SAME_MM / 2]
    return agree[0] if len(agree) == 1 else None


def _floor_behind(design: Design, wall: Wall, side: Side, bore: Bore) -> float | None:
    """Return the finished floor behind the wall, where the bore list measures from it and not from the one in front."""
    if _bored_from(design, wall, bore) != other(side):
        return None
    return finished_z(design, wall, other(side), wall.station(bore.centre))


def _bores(design: Design, wall: Wall, side: Side) -> list[Mark]:
    plates = {p.bore: p for p in design.fabrication.plates}
    out = []
    for b in design.fabrication.bores:
        if b.wall_or_frame != wall.id:
            continue
        if mark_side(design, wall, wall.station(b.centre), _bored_from(design, wall, b)) != side:
            continue
        pipe = next((p for p in design.pipes() if p.id == b.pipe), None)
        size = f" {pipe_size(pipe.size_in)}" if pipe else ""
        stud = b.member_kind == "stud"
        where = "stud" if stud else b.member_kind
        notes = [IN_PLACE] if pipe is not None and pipe.said == "installed" else []
        across = wall.offset(b.centre) * (1 if side == "left" else -1)
        if abs(across) > SAME_MM:
            notes.append(f"{mm(design, abs(across))} {'near' if across > 0 else 'far'} of stud line")
        if b.id in plates:
            words = _plate_words(plates[b.id].kind, plates[b.id].face, side)
            notes.append(f"see whether there is a {words}" if notes[:1] == [IN_PLACE] else words)
        if b.verdict not in ("ok", "strap"):
            notes.append(f"STOP: {b.verdict}")
        behind = _floor_behind(design, wall, side, b)
        if behind is not None:
            notes.append(OTHER_FLOOR)
        out.append(
            Mark(
                "stud hole" if stud else "plate hole",
                b.id,
                f"{where} {b.id}: {b.pipe}{size}",
                b.station_mm if stud else wall.station(b.centre),
                b.centre.z,
                hole_mm=b.hole_mm,
                play_mm=max(0.0, (b.hole_mm - od_mm(pipe.size_in)) / 2) if pipe else None,
                remark=", ".join(notes),
                finished_z_mm=behind,
                stop=b.verdict not in ("ok", "strap"),
            )
        )
    return out


def _plate_words(kind: str, face: str, side: Side) -> str:
    if face in ("left", "right"):
        return f"{kind} {'this' if face == side else 'other'} face"
    return f"{kind} {'both faces' if face == 'both' else face}"


def _risers(design: Design, wall: Wall) -> list[Mark]:
    """Return one mark for each vertical line of pipe that meets the bottom plate and has no bore recorded there."""
    bored = [wall.station(b.centre) for b in design.fabrication.bores if _plate_of(b, wall)]
    out: list[Mark] = []
    for p in pipes_in_wall(design, wall):
        if not p.vertical or min(p.a.z, p.b.z) > wall.bottom_z_mm + wall.bottom_plate_mm + 1.0:
            continue
        station = wall.station(p.a)
        if any(abs(station - s) < 25.0 for s in bored) or any(abs(station - m.station_mm) < SAME_MM for m in out):
            continue
        out.append(Mark("riser", p.id, f"{SHORT_ROLE[p.role]} {p.id} {pipe_size(p.size_in)} at floor", station, None))
    return out


def _plate_of(b: Bore, wall: Wall) -> bool:
    return b.wall_or_frame == wall.id and b.member_kind == "bottom plate"


def _outlets(design: Design, wall: Wall, side: Side) -> list[Mark]:
    out = []
    for f in design.house.fixtures:
        at = design.outlet_of(f)
        if f.wall_id != wall.id or f.side != side or not f.floor_outlet or at is None:
            continue
        away = abs(wall.offset(at))
        if away > 1000.0:  # far out on the floor: the plan carries it
            continue
        station = wall.station(at)
        face = wall.depth_mm / 2
        finish = wall.finish_mm(side, station, f.subfloor_z_mm + 100.0)
        remark = f"{mm(design, away - face)} from framing, {mm(design, away - face - finish)} from finish"
        out.append(Mark("floor", f.tag, f"{f.tag} outlet centre, floor", station, None, remark=remark))
    return out


def _washers(design: Design, wall: Wall, side: Side) -> list[Mark]:
    """Return how high a standpipe ends, over its trap, and where the box stands that it drains."""
    stubs = {s.tag: s.station_mm for s in design.stubs}
    out = []
    for f in design.house.fixtures:
        if f.wall_id != wall.id or f.side != side or f.station_mm is None or f.tag not in stubs:
            continue
        if f.standpipe_top_z_mm is not None:
            words = f"{f.tag} standpipe, rim"
            out.append(
                Mark("standpipe", f.tag, words, stubs[f.tag], f.standpipe_top_z_mm, finished_z_mm=f.finished_z_mm)
            )
        if f.box_centre_z_mm is not None:
            words = f"{f.tag} washer box, centre"
            out.append(Mark("box", f.tag, words, f.station_mm, f.box_centre_z_mm, finished_z_mm=f.finished_z_mm))
    return out


def _cleanouts(design: Design, wall: Wall, side: Side) -> list[Mark]:
    here = {n.id: n for n in nodes_in_wall(design, wall)}
    out = []
    for c in design.cleanouts:
        node = here.get(c.point)
        if node is not None and node.kind is not PointKind.TRAP:  # a removable trap that counts needs no hole
            across = wall.offset(node.at.plus(c.opens)) - wall.offset(node.at)
            want: Side | None = None if abs(across) < 0.5 else ("left" if across > 0 else "right")
            if mark_side(design, wall, wall.station(node.at), want) != side:
                continue
            words = f"cleanout {c.id} {pipe_size(c.size_in)}"
            out.append(
                Mark(
                    "cleanout",
                    c.id,
                    words,
                    wall.station(node.at),
                    node.at.z,
                    remark=f"serves {with_pipes(design.network, c.serves)}",
                )
            )
    return out


_FITTING_WORDS = {
    PointKind.TAKEOFF: "vent take-off",
    PointKind.TIE_IN: "vent tie-in",
    PointKind.JUNCTION: "drain fitting",
    PointKind.STACK_TOP: "stack top",
    PointKind.CAP: "cap",
    PointKind.AAV: "air admittance valve",
}


def _fittings(design: Design, wall: Wall) -> list[Mark]:
    out = []
    for n in nodes_in_wall(design, wall):
        words = _FITTING_WORDS.get(n.kind)
        if words is None or abs(wall.offset(n.at)) > wall.depth_mm / 2 + 1.0:
            continue
        if not wall.bottom_z_mm - 1 <= n.at.z <= wall.top_at(wall.station(n.at)) + 1:
            continue
        tag = f" {n.tag}" if n.tag else ""
        uses = [f for f in design.fabrication.fittings if f.node == n.id and len(f.sizes_in) > 2]
        sizes = " x ".join(units.size(s) for s in uses[0].sizes_in) if uses else ""
        remark = f"{uses[0].pattern} {sizes}" if uses else ""
        sleeves = sum(f.node == n.id and bool(f.onto) for f in design.fabrication.fittings)
        if sleeves:
            remark += f"{', ' if remark else ''}on old pipe: {several(sleeves, 'transition coupling')}"
        out.append(Mark("fitting", n.id, f"{words}{tag}, centre", wall.station(n.at), n.at.z, remark=remark))
    return out
