"""What a form of a fixture offers for each key, read off the types of the job file itself."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Annotated, Any, Final, Literal, get_args, get_origin

from stubout import units
from stubout.job.model import FixtureSaid
from stubout.kinds import FixtureKind

Widget = Literal["text", "length", "pick", "number"]

GROUPS: Final = (
    ("What and where", ("kind", "title", "room", "wall", "side", "at", "drain", "rough in", "x", "y", "may move")),
    ("Heights above the finished floor", ("rim", "counter", "counter thick", "bowl", "bowl from", "outlet height",
                                          "stub height", "standpipe top", "box centre", "trap weir")),
    ("Outlet and trap", ("outlet", "from wall", "trap", "faucet", "disposer", "dishwasher")),
    ("More", ("gpf", "heads", "flush", "future", "island", "primer", "serves")),
)  # fmt: skip
HINTS: Final = {
    "at": "from the start of the wall to the outlet",
    "drain": "x, y of the outlet on the floor",
    "from wall": "outlet centre from the finished wall",
    "standpipe top": "above the subfloor",
    "trap weir": "height in the house",
    "stub height": "where the sheet wants the stub-out",
    "rough in": "closet: from the finished wall",
    "may move": "how far it may be moved",
    "disposer": "outlet centre below the bowl; given, there is one",
    "x": "from, to", "y": "from, to",
}  # fmt: skip


@dataclass(frozen=True, slots=True)
class Field:
    """One key of the form."""

    key: str
    widget: Widget
    choices: tuple[str, ...] = ()
    required: bool = False
    hint: str = ""


def fields(rooms: tuple[str, ...], walls: tuple[str, ...]) -> tuple[tuple[str, tuple[Field, ...]], ...]:
    """Return the groups of a fixture's form with their keys.

    Args:
        rooms: Ids of the rooms of the job.
        walls: Ids of its walls.
    """
    known = {_spaced(name): info for name, info in FixtureSaid.model_fields.items() if name not in ("tag", "line")}
    offered = {"room": rooms, "wall": walls}
    made = {}
    for key, info in known.items():
        widget, choices = _widget(info.annotation, info.metadata)
        if key in offered:
            widget, choices = "pick", offered[key]
        made[key] = Field(key, widget, choices, info.is_required(), HINTS.get(key, ""))
    named = {k for _, keys in GROUPS for k in keys}
    rest = tuple(k for k in made if k not in named)
    return tuple(
        (title, tuple(made[k] for k in (*keys, *(rest if title == "More" else ())) if k in made))
        for title, keys in GROUPS
    )


def _spaced(name: str) -> str:
    return name.rstrip("_").replace("_", " ")


def _widget(kind: Any, meta: list[Any]) -> tuple[Widget, tuple[str, ...]]:
    """Return how a type is asked for."""
    if kind is FixtureKind:
        return "pick", tuple(k.value for k in FixtureKind)
    args = [a for a in get_args(kind) if a is not type(None)]
    if get_origin(kind) is Literal:
        return "pick", tuple(a for a in args if a)
    if get_origin(kind) is Annotated:
        return _widget(args[0], list(args[1:]))
    titles = {m.json_schema.get("title", "") for m in meta if hasattr(m, "json_schema") and m.json_schema}
    if "length" in titles:
        return "length", ()
    if "pipe size" in titles:
        return "pick", tuple(units.size(s) for s in units.NOMINAL_SIZES_IN)
    if kind is bool:
        return "pick", ("yes", "no")
    if len(args) == 1 or any(type(None) is a for a in get_args(kind)):
        return _widget(args[0], meta)
    return ("number", ()) if kind is float else ("text", ())
