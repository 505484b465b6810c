"""What is written under a wall sheet, and its title."""

from __future__ import annotations

from stubout.design import Design
from stubout.house.framing import Side, Wall
from stubout.sheets.wall_facts import OTHER_FLOOR, Mark, other, pipes_in_wall, sides_with_work
from stubout.sheets.words import installed_words, mm, set_in_words, side_room, start_end

MOST_ROOMS = 3  # named in a title


def wall_title(design: Design, wall: Wall, side: Side, found: tuple[Mark, ...], stretch: tuple[float, float]) -> str:
    """Return the title of a wall side: its rooms as far as something is marked in front of them."""
    at = [m.station_mm for m in found if m.kind in ("stub", "floor", "cleanout")] or [m.station_mm for m in found]
    rooms = [side_room(design, wall, side, s) for s in (at or [sum(stretch) / 2])]
    names = list(dict.fromkeys(r.title or r.id for r in rooms if r is not None))
    where = f", {', '.join(names)}" if 0 < len(names) <= MOST_ROOMS else ""
    return f"Wall {wall.id}, {side} side{where}"


def _bar_words(found: tuple[Mark, ...]) -> str:
    if any(m.trap_only for m in found):
        return (
            "Bar beside a stub-out: what trap and cabinet allow; how far the pipes on it let it go was not reckoned "
            "here, and may be less. "
        )
    return "Bar beside a stub-out: its window, all other marks kept. "


def wall_notes(
    design: Design, wall: Wall, side: Side, found: tuple[Mark, ...], stretch: tuple[float, float]
) -> tuple[str, ...]:
    """Return the notes of a wall sheet: where it is seen from, both floors, how it is drawn, what to beware of."""
    level = design.house.level(wall.level_id)
    floors: dict[str, float] = {}
    n = 60
    for k in range(n + 1):
        room = side_room(design, wall, side, stretch[0] + (stretch[1] - stretch[0]) * k / n)
        if room is not None:
            floors[room.title or room.id] = room.build_up_mm
    for m in found:
        room = side_room(design, wall, other(side), m.station_mm)
        if room is not None and OTHER_FLOOR in m.remark:
            floors[f"{room.title or room.id} (other side)"] = room.build_up_mm
    fin = ", ".join(f"{mm(design, v)} over subfloor in {k}" for k, v in floors.items()) or "no room described here"
    notes = [
        f"Seen from the {side} side. Control corner: {start_end(wall)} of the framing of wall {wall.id}; all distances "
        "run from it along the wall to the centre of the mark.",
        f"Heights to the centre. Subfloor: top of the floor of {level.title or level.id} before flooring "
        f"(house z {mm(design, wall.bottom_z_mm)}). Finished floor: {fin}.",
        f"Solid and grey: drain. Dashed: vent. Dark: hub at its real width. {_bar_words(found)}"
        "Black bar beside a hole: shield on this face. Crossed hole: do not bore.",
    ]
    if any(m.clear for m in found):
        notes.append(
            "Dashed square: the arm of a fixture where it meets its riser, in a cabinet or in front of the wall; it "
            "passes no wall: bore no hole for it here. How far its riser stands from the finished wall: see its remark."
        )
    if wall.tops:
        corners = (f"{mm(design, z - wall.bottom_z_mm)} at {mm(design, s)}" for s, z in wall.tops)
        notes.append(f"The roof cuts this wall: top of its plates above subfloor {', '.join(corners)}.")
    inside = pipes_in_wall(design, wall)
    notes += (*installed_words(inside), *set_in_words(design, inside, wall.bottom_z_mm, wall.top_z_mm))
    sides = sides_with_work(design, wall)
    if len(sides) == 2:
        notes.append(
            "Each hole and fitting through this wall has its number once: here, "
            f"or on the sheet of the {other(side)} side."
        )
    stop = [str(m.number) for m in found if m.stop]
    if stop:
        notes.append(f"STOP: do not bore mark {', '.join(stop)} before the builder or engineer has decided.")
    role = []
    if wall.bearing:
        role.append("BEARING WALL: no hole or notch but those listed")
    role.append("look for wires, pipes and gas behind before drilling; wear eye protection")
    text = "; ".join(role)
    notes.append(f"Caution: {text}.")
    return tuple(notes)
