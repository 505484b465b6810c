"""What stands on the cards, in one language or in all of them: plain data that a page is set from.

Two cards a face. One hangs on the open wall and says that it may not be covered yet, and what is owed before; the other
goes on the board and says between which distances nothing may be nailed.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import Any, Final, Literal

from stubout.run_field.model import Card, CardPlate, CardZone
from stubout.run_field.words import LANGUAGES, Say, noted, speaker

Kind = Literal["cover", "nail"]
ALL: Final = "all"  # every language on each card
KINDS: Final[tuple[Kind, Kind]] = ("cover", "nail")
_PLATES: Final = {
    "nail plate": noted("nail plate"),
    "strap": noted("strap"),
    "stud shoe": noted("stud shoe"),
}
_FACES: Final = {
    "this": noted("this face"),
    "other": noted("other face"),
    "both": noted("both faces"),
    "top": noted("top"),
}
_ENDS: Final = {f"{e} end": w for e, w in (
    ("south", noted("south end")), ("north", noted("north end")), ("east", noted("east end")),
    ("west", noted("west end")),
)}  # fmt: skip


def says_of(language: str) -> tuple[Say, ...]:
    """Return what speaks on a card; KeyError for a language that there is not."""
    if language == ALL:
        return tuple(speaker(one) for one in LANGUAGES)
    if language not in LANGUAGES:
        raise KeyError(language)
    return (speaker(language),)


class _Voices:
    """The same words in every language of a card, each once."""

    def __init__(self, says: Sequence[Say]) -> None:
        self.says = says

    def each(self, text: str, **fill: str) -> list[str]:
        """Return one line a language."""
        return list(dict.fromkeys(say(text).format(**fill) for say in self.says))

    def joined(self, text: str, **fill: str) -> str:
        """Return the languages in one line."""
        return " / ".join(self.each(text, **fill))

    def named(self, text: str, **fill: str) -> list[str]:
        """Return one line a language, what is filled in spoken in that language too."""
        return list(dict.fromkeys(say(text).format(**{k: say(v) for k, v in fill.items()}) for say in self.says))


@dataclass(frozen=True, slots=True)
class Facts:
    """What stands at the foot of every card, and the paper it is printed on."""

    title: str
    address: str
    revision: str
    paper: Literal["letter", "a4"]


def card_data(
    facts: Facts, cards: Sequence[Card], pictures: Mapping[str, str], kinds: Sequence[Kind], language: str
) -> dict[str, Any]:
    """Return what the cards of a job say, ready to be set.

    Args:
        facts: The job.
        cards: Its cards.
        pictures: SVG of each card, by the name its card has for it.
        kinds: Which cards.
        language: One of LANGUAGES, or ALL.

    Raises:
        KeyError: If there is no such language.
    """
    voices = _Voices(says_of(language))
    return {
        "language": "en" if language == ALL else language,
        "job": facts.title,
        "address": facts.address,
        "revision": voices.joined("revision {mark}", mark=facts.revision),
        "caution": voices.each("An aid, not an approval: the authority having jurisdiction decides."),
        "paper": facts.paper,
        "cards": [_card(card, kind, pictures[card.picture], voices) for card in cards for kind in kinds],
    }


def _card(card: Card, kind: Kind, picture: str, voices: _Voices) -> dict[str, Any]:
    side = noted("Wall {wall}, left side") if card.side == "left" else noted("Wall {wall}, right side")
    where = (*filter(None, (card.room, card.level)), voices.joined(side, wall=card.wall))
    common = {
        "kind": kind,
        "where": ", ".join(where),
        "picture": picture,
        "bearing": voices.each("BEARING WALL: no hole or notch but those listed") if card.bearing else [],
        "corner": voices.named("Control corner: {end} of the framing", end=_ENDS.get(card.end, card.end)),
        "columns": [voices.each(c) for c in _COLUMNS],
        "rows": [_row(z, voices) for z in card.zones],
        "plates": _plates(card.plates, voices),
    }
    if kind == "cover":
        return {
            **common,
            "head": voices.each("DO NOT COVER"),
            "lead": voices.each("This wall stays open until every line is done and signed."),
            "checks": [
                voices.each("Every section of drains and vents has held its test"),
                voices.each("Nail plates and straps are on: {n} at this wall", n=str(len(card.plates))),
                voices.each("A photo of the open wall is kept"),
                voices.each("The inspector has seen it and lets it be covered"),
            ],
            "sign": [voices.joined(w) for w in (noted("Name"), noted("Date"), noted("Signature"))],
            "notes": [],
        }
    return {
        **common,
        "head": voices.each("DO NOT NAIL"),
        "lead": voices.each("Pipe lies behind this face: no nail, screw or staple in the hatched places."),
        "checks": [],
        "sign": [],
        "notes": [
            voices.each("Distances along the wall from the control corner, as seen from this side."),
            voices.each("The clear space of 25 mm (1 in) on each side is in the figures."),
            voices.each("As planned: hold it against what was built before you hang it."),
        ],
    }


_COLUMNS: Final = (
    noted("zone"),
    noted("behind it"),
    noted("do not nail between, from the corner"),
    noted("height above finished floor"),
    noted("height above subfloor"),
    noted("from the framing in to the pipe"),
)


def _row(zone: CardZone, voices: _Voices) -> list[str]:
    what = noted("drain") if zone.drain else noted("vent")
    return [
        zone.letter,
        f"{', '.join(zone.sizes)} in {voices.joined(what)}",
        _span(zone.stations),
        _span(zone.finished) if zone.finished else "-",
        _span(zone.subfloor),
        zone.deep or voices.joined("comes through"),
    ]


def _span(two: tuple[str, str]) -> str:
    return f"{two[0]} – {two[1]}"


def _plates(plates: Sequence[CardPlate], voices: _Voices) -> dict[str, Any]:
    """Return one line a kind and face, with every place of it."""
    places: dict[str, list[str]] = {}
    for p in plates:
        what = f"{voices.joined(_PLATES.get(p.kind, p.kind))}, {voices.joined(_FACES[p.face])}"
        places.setdefault(what, []).append(f"{p.station}, {p.height}")
    return {
        "title": voices.joined("Nail plates and straps: distance from the corner, height above subfloor"),
        "lines": [f"{what}: {'; '.join(at)}" for what, at in places.items()],
    }
