"""The cards of a design: one for each face of a wall that has pipe behind it, with its picture."""

from __future__ import annotations

import math
from collections.abc import Iterator, Mapping, Sequence

from stubout import run, units
from stubout.design import Design
from stubout.export.cards import cards_pdf
from stubout.export.svg import svg
from stubout.files.fonts import font_folder, template
from stubout.house.framing import Side, Wall
from stubout.problems import StuboutError
from stubout.run_field.card_words import Facts, Kind, card_data
from stubout.run_field.model import Card, CardPlate, CardZone, Field
from stubout.sheets.card_facts import Zone, zones
from stubout.sheets.card_picture import card_picture
from stubout.sheets.model import Sheet
from stubout.sheets.words import side_room, start_end

SIDES: tuple[Side, Side] = ("left", "right")
STEP_MM = {"inch": 25.4 / 4, "mm": 5.0}  # of the figures on a card, always to the safe side


def cards(design: Design) -> list[tuple[Card, Sheet]]:
    """Return every card with its picture, level by level; both faces of a wall, since nails come from both."""
    order = {v.id: v.order for v in design.house.levels}
    faces = [
        (wall, side, found)
        for wall in sorted(design.house.walls, key=lambda w: order[w.level_id])
        for side in SIDES
        if (found := zones(design, wall, side))
    ]
    pictures = [card_picture(design, w, s, found, f"{w.id}-{s[0].upper()}") for w, s, found in faces]
    names = run.file_names(tuple(p.id for p in pictures))
    return [
        (_card(design, w, s, found, f"cards/{names[picture.id]}.svg"), picture)
        for (w, s, found), picture in zip(faces, pictures, strict=True)
    ]


def _card(design: Design, wall: Wall, side: Side, found: tuple[Zone, ...], picture: str) -> Card:
    level = design.house.level(wall.level_id)
    room = side_room(design, wall, side, sum(found[0].stations_mm) / 2)
    return Card(
        wall.id,
        side,
        level.title or level.id,
        (room.title or room.id) if room else "",
        start_end(wall),
        wall.bearing,
        picture,
        tuple(_zone(design, wall, z) for z in found),
        tuple(sorted(_plates(design, wall, side), key=lambda p: (p.kind, p.station))),
    )


def _zone(design: Design, wall: Wall, z: Zone) -> CardZone:
    system = design.house.job.units
    step = STEP_MM[system]

    def shown(span: tuple[float, float], base: float = 0.0) -> tuple[str, str]:
        """Return a stretch, widened to what can be read off a tape across a room; not below the floor."""
        lo, hi = (v - base for v in span)
        return units.named(max(0.0, _down(lo, step)), system), units.named(-_down(-hi, step), system)

    return CardZone(
        z.letter,
        z.drain,
        tuple(units.size(s) for s in z.sizes_in),
        shown(z.stations_mm),
        shown(z.heights_mm, wall.bottom_z_mm),
        None if z.floor_z_mm is None else shown(z.heights_mm, z.floor_z_mm),
        units.named(deep, system) if (deep := _down(z.deep_mm, step)) > 0.0 else "",
    )


def _down(mm: float, step: float) -> float:
    """Return the next lower whole step; what is a step but for the dust of a float is one."""
    return math.floor(mm / step + 1e-6) * step


def _plates(design: Design, wall: Wall, side: Side) -> Iterator[CardPlate]:
    bores = {b.id: b for b in design.fabrication.bores if b.wall_or_frame == wall.id}
    system = design.house.job.units
    for p in design.fabrication.plates:
        bore = bores.get(p.bore)
        if bore is None:
            continue
        station = units.named(wall.station(bore.centre), system)
        height = units.named(bore.centre.z - wall.bottom_z_mm, system)
        if p.face in ("both", "top"):
            yield CardPlate(p.kind, "both" if p.face == "both" else "top", station, height)
        else:
            yield CardPlate(p.kind, "this" if p.face == side else "other", station, height)


def cards_file(field: Field, pictures: Mapping[str, bytes], kinds: Sequence[Kind], language: str) -> bytes:
    """Return the cards of a planned job as one PDF.

    Args:
        field: The planned job.
        pictures: Its files by name; those of the cards are among them.
        kinds: "cover", "nail", or both.
        language: One of `words.LANGUAGES`, or `card_words.ALL` for every one on each card.

    Raises:
        KeyError: If there is no such language.
        StuboutError: If the job has no wall with pipe in it.
    """
    facts = Facts(field.title, field.address, field.revision, field.paper)
    return _bound(facts, field.cards, {c.picture: pictures[c.picture].decode() for c in field.cards}, kinds, language)


def cards_of(design: Design, kinds: Sequence[Kind], language: str) -> tuple[bytes, int]:
    """Return the cards of a design as one PDF, and how many they are; raises as `cards_file`."""
    made = cards(design)
    said = design.house.job
    facts = Facts(said.title, said.address, said.revision, said.paper)
    found = tuple(card for card, _ in made)
    pictures = {card.picture: svg(picture) for card, picture in made}
    return _bound(facts, found, pictures, kinds, language), len(found) * len(kinds)


def _bound(
    facts: Facts, found: tuple[Card, ...], pictures: Mapping[str, str], kinds: Sequence[Kind], language: str
) -> bytes:
    if not found:
        raise StuboutError("no wall of this job has pipe in it: there is no card to print")
    data = card_data(facts, found, pictures, kinds, language)
    return cards_pdf(data, template=template("cards.typ"), fonts=font_folder())
