"""For the drill, the yard and the saw: bores and plates, materials, cuts, stock, hangers."""

from __future__ import annotations

from collections.abc import Sequence
from itertools import groupby

from stubout.catalog.shipped import SHIPPED
from stubout.design import Design
from stubout.fabrication.in_place import pipes_in_place
from stubout.fabrication.model import Bore, Hanger
from stubout.fabrication.openings import Passing, passings
from stubout.reports.model import Block, Document, Heading, Paragraph, TableBlock
from stubout.reports.show import (
    NO_BREAK,
    NONE,
    UNVERIFIED_NOTE,
    Show,
    clause,
    from_corner,
    mark_all,
    show,
    size,
)

WHOLE_RUN = "all along the straight run"  # where a bed lies: it has no places
VERDICTS = {
    "ok": "ok",
    "too big": "TOO BIG",
    "edge": "TOO NEAR THE EDGE",
    "engineer": "STOP: maker's chart or engineer first",
    "not allowed": "NOT ALLOWED",
    "strap": "ok with strap",
}


def bores_page(design: Design) -> Document:
    """Return holes by wall or frame with edge, limit and verdict; then plates and straps."""
    unit, there = show(design), pipes_in_place(design.network)
    plates = {p.bore: p for p in design.fabrication.plates}
    walls = {w.id for w in design.house.walls}
    old = {b.id for b in design.fabrication.bores if b.pipe in there}

    def row(b: Bore) -> tuple[str, ...]:
        plate = plates.get(b.id)
        return (
            b.id,
            _member(b),
            _hole_at(design, unit, b),
            b.pipe,
            unit.length(b.hole_mm),
            f"{unit.length(b.height_finished_mm)} / {unit.length(b.height_subfloor_mm)}",
            unit.length(b.depth_mm),
            unit.length(b.limit_mm) if b.limit_mm is not None else "none",
            unit.length(b.edge_mm)
            + (f" (at least {unit.length(b.edge_limit_mm)})" if b.edge_limit_mm is not None else ""),
            ("in place, " if b.pipe in there else "")
            + VERDICTS[b.verdict]
            + (f", {plate.kind}" if plate and plate.kind not in VERDICTS[b.verdict] else ""),
            (clause(b.bases) or NONE) + mark_all(b.bases),
        )

    blocks: list[Block] = [
        Paragraph(
            "Height is the hole's centre above finished floor / above subfloor; it follows the fall of the pipe "
            "from member to member. "
            "Hole at: along a wall from its control corner, along a joist east (E) or north (N) of the corner of the "
            "house. "
            "The hole is the one the trade bores for the pipe. No hole where the last column but one says stop."
        ),
    ]
    ranked = sorted(enumerate(design.fabrication.bores), key=lambda x: (x[1].wall_or_frame, x[0]))
    for ref, group in groupby((b for _, b in ranked), key=lambda b: b.wall_or_frame):
        blocks.append(
            TableBlock(
                (
                    "Bore",
                    "Member",
                    "Hole at",
                    "Pipe",
                    "Hole",
                    "Height finished / subfloor",
                    "Member depth",
                    "Largest hole",
                    "Wood to edge",
                    "Verdict",
                    "By",
                ),
                tuple(row(b) for b in group),
                (0.75, 1.6, 1.2, 1.05, 1, 1.6, 1.1, 1.05, 1.6, 1.5, 2.2),
                title=f"Wall {ref}" if ref in walls else ref,
            )
        )
    if not design.fabrication.bores:
        blocks.append(Paragraph("No member is bored or notched."))
    blocks += _through_openings(design, unit)
    if design.fabrication.plates:
        blocks += [
            Heading("Plates, straps, shoes"),
            TableBlock(
                ("No.", "What", "At bore", "Face", "Length", "Pipe to face", "By"),
                tuple(
                    (
                        p.id,
                        p.kind + (" (not ordered: see whether it is there)" if p.bore in old else ""),
                        p.bore,
                        p.face,
                        unit.length(p.length_mm),
                        unit.length(p.distance_mm),
                        clause(p.bases) or NONE,
                    )
                    for p in design.fabrication.plates
                ),
                (0.8, 1.2, 1, 1, 1, 1, 3),
            ),
        ]
    blocks.append(Paragraph(UNVERIFIED_NOTE, "note"))
    return Document("bores", "Bores, notches and plates", tuple(blocks))


def _through_openings(design: Design, unit: Show) -> list[Block]:
    """Return where pipes go through the openings of open-web joists; nothing where none does."""
    runs = {f.id: f.runs for f in design.house.frames}

    def row(p: Passing) -> tuple[str, ...]:
        return (
            p.pipe,
            size(p.size_in),
            p.member.removeprefix(f"{p.frame} ").replace(" at ", f" at{NO_BREAK}"),
            f"{'E' if runs[p.frame] == 'x' else 'N'}{NO_BREAK}{unit.length(p.along_mm)}",
            unit.length(p.up_mm),
            "through the opening, no cut",
            clause(p.bases) + mark_all(p.bases),
        )

    found = passings(design.network, design.house, SHIPPED)
    if not found:
        return []
    head = ("Pipe", "Size", "Joist", "Passes at", "Above underside of joist", "How", "By")
    blocks: list[Block] = [
        Heading("Through the openings of open-web joists"),
        Paragraph(
            "Passes at: along the joist, east (E) or north (N) of the corner of the house, centre of the pipe. Cut no "
            "web and no chord: where there is no opening, stop and ask."
        ),
    ]
    for ref, group in groupby(found, key=lambda p: p.frame):
        blocks.append(TableBlock(head, tuple(row(p) for p in group), (0.8, 0.7, 1.5, 1.1, 1.3, 1.8, 2.6), title=ref))
    return blocks


def _hole_at(design: Design, unit: Show, bore: Bore) -> str:
    """Return where along its member a hole is; a hole in a stud is where the stud is."""
    wall = next((w for w in design.house.walls if w.id == bore.wall_or_frame), None)
    if wall is not None:
        return unit.length(bore.station_mm if bore.member_kind == "stud" else wall.station(bore.centre))
    frame = next((f for f in design.house.frames if f.id == bore.wall_or_frame), None)
    if frame is None:
        return from_corner(unit, bore.centre)
    along, letter = (bore.centre.x, "E") if frame.runs == "x" else (bore.centre.y, "N")
    return f"{letter}{NO_BREAK}{unit.length(along)}"


def _member(bore: Bore) -> str:
    """Return the name of a member without its wall or frame, which heads the table; no line ends inside its length."""
    kind, at, length = bore.member.removeprefix(f"{bore.wall_or_frame} ").partition(" at ")
    return kind + at + length.replace(" ", NO_BREAK)


def _reaches(hung: Sequence[Hanger], unit: Show) -> str:
    """Return how far some hangers of a pipe reach down, least and most where they differ as printed."""
    some = sorted(h.reach_mm for h in hung if h.reach_mm > 0.0)
    if not some:
        return NONE
    least, most = unit.length(some[0]), unit.length(some[-1])
    return least if least == most else f"{least} to {most}"


def hangers_page(design: Design) -> Document:
    """Return supports by pipe."""
    unit = show(design)
    rows = []
    for pipe_id, group in groupby(design.fabrication.hangers, key=lambda h: h.pipe):
        of_pipe = list(group)
        pipe = design.network.pipe(pipe_id)
        bedded = all(h.kind == "bed" for h in of_pipe)
        rows.append(
            (
                pipe_id,
                size(pipe.size_in),
                "vertical" if pipe.vertical else "horizontal",
                NONE if bedded else str(len(of_pipe)),
                ", ".join(dict.fromkeys(h.kind for h in of_pipe)),
                WHOLE_RUN if bedded else ", ".join(unit.length(pipe.a.to(h.at)) for h in of_pipe),
                _reaches(of_pipe, unit),
                clause(of_pipe[0].bases) or NONE,
            )
        )
    return Document(
        "hangers",
        "Hangers and supports",
        (
            Paragraph(
                "Places are along the pipe from its upstream end. Straps must not cut into the pipe or hold it "
                "so tight that it cannot move with heat. Below the joists is how far the top of the pipe hangs under "
                "them: what strap or rod has to bridge, without what goes round the pipe and up the wood."
            ),
            TableBlock(
                ("Pipe", "Size", "Lies", "Count", "Kind", "Places from the start", "Below the joists", "By"),
                tuple(rows),
                (0.8, 0.6, 0.9, 0.6, 0.8, 2.6, 1.3, 2.8),
                ("left", "left", "left", "right", "left", "left", "left", "left"),
            ),
        ),
    )
