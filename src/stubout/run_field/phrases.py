"""What the engine writes about walls, marks and tasks, spoken in another language: sentences of a known form.

The engine writes English. A sentence of one of these forms is spoken with its names and figures kept; one of another
form, the name of a fitting or a rule, stays as it is.
"""

from __future__ import annotations

import re
from functools import lru_cache
from typing import Final

from stubout.run_field.words import Say, english, noted

# The first that fits is taken.
WHOLE: Final = (
    noted("{tag} stub-out {size}"),
    noted("{tag} trap arm {size}"),
    noted("{tag} arm at its riser {size}, in cabinet {id}"),
    noted("{tag} arm at its riser {size}, in front of the wall"),
    noted("{tag} arm at its riser {size}, in wall {id}"),
    noted("{tag} arm at its riser {size}"),
    noted("{tag} standpipe, rim"),
    noted("{tag} washer box, centre"),
    noted("bottom plate {id}: {pipe}"),
    noted("top plate {id}: {pipe}"),
    noted("stud {id}: {pipe}"),
    noted("vent take-off, centre"),
    noted("vent take-off {tag}, centre"),
    noted("vent tie-in, centre"),
    noted("vent tie-in {tag}, centre"),
    noted("drain fitting, centre"),
    noted("drain fitting {tag}, centre"),
    noted("stack top, centre"),
    noted("air admittance valve {tag}, centre"),
    noted("{tag} outlet centre, floor"),
    noted("cleanout {id} {size}"),
    noted("{member}: hole {hole} for {pipe}"),
    noted("{off} from framing, {away} from finish"),
    noted("Wall {wall}, left side, {rooms}"),
    noted("Wall {wall}, right side, {rooms}"),
    noted("Wall {wall}, left side"),
    noted("Wall {wall}, right side"),
    noted("south end of the framing of wall {wall}"),
    noted("north end of the framing of wall {wall}"),
    noted("east end of the framing of wall {wall}"),
    noted("west end of the framing of wall {wall}"),
    noted("Each hole and fitting through this wall has its number once: here, or on the sheet of the left side."),
    noted("Each hole and fitting through this wall has its number once: here, or on the sheet of the right side."),
    noted("STOP: do not bore mark {marks} before the builder or engineer has decided."),
    noted(
        "Caution: BEARING WALL: no hole or notch but those listed; look for wires, pipes and gas behind before "
        "drilling; wear eye protection."
    ),
    noted("Caution: look for wires, pipes and gas behind before drilling; wear eye protection."),
    noted("trap arm {size}"),
    noted("fixture drain {size}"),
    noted("branch {size}"),
    noted("building drain {size}"),
    noted("building sewer {size}"),
    noted("stack {size}"),
    noted("drain {size}"),
    noted("{height} above subfloor"),
    noted("{height} above finished floor"),
    noted("inflatable plug {size}"),
    noted("plug {size}"),
    noted("cap {size}"),
    noted("least {slope} by {clause}"),
    noted("how long is an open question"),
    noted("the head is an open question"),
)
# Remarks are several of these with commas between.
PIECES: Final = (
    noted("flush with finished wall"),
    noted("centre at the trap inside the wall"),
    noted("in cabinet {id}"),
    noted("in front of the wall"),
    noted("in wall {id}"),
    noted("no hole in this wall"),
    noted("riser {far} from finished wall"),
    noted("out {far} past finished wall"),
    noted("trap swings {far}"),
    noted("NO HEIGHT FITS: ask first"),
    noted("fin. floor: other side"),
    noted("nail plate this face"),
    noted("nail plate other face"),
    noted("nail plate both faces"),
    noted("{far} near of stud line"),
    noted("{far} far of stud line"),
    noted("serves {pipes}"),
)


@lru_cache(maxsize=2)
def _forms(whole: bool) -> tuple[tuple[re.Pattern[str], str], ...]:
    return tuple((_form(t), t) for t in (WHOLE if whole else PIECES))


def _form(template: str) -> re.Pattern[str]:
    parts = re.split(r"\{(\w+)\}", template)
    return re.compile("".join(f"(?P<{p}>.+)" if i % 2 else re.escape(p) for i, p in enumerate(parts)), re.DOTALL)


def told(text: str, say: Say) -> str:
    """Return a sentence of the engine in another language, as it stands where its form is not known."""
    if say is english or not text:
        return text
    found = _spoken(text, say, whole=True)
    if found is not None:
        return found
    return ", ".join(_spoken(part, say, whole=False) or part for part in text.split(", "))


def _spoken(text: str, say: Say, *, whole: bool) -> str | None:
    for form, template in _forms(whole):
        if match := form.fullmatch(text):
            return say(template).format(**match.groupdict())
    return None
