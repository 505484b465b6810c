"""What the form of a part offers for each key, read off the types of the job file itself."""

from __future__ import annotations

from collections.abc import Collection, Iterable, Mapping
from dataclasses import dataclass, field
from typing import Annotated, Any, Final, Literal, get_args, get_origin

from stubout import units
from stubout.job.model import (
    CabinetSaid,
    FinishSaid,
    FixtureSaid,
    FrameSaid,
    LevelSaid,
    ObstacleSaid,
    OpeningSaid,
    QuestionSaid,
    Record,
    RoofOpeningSaid,
    RoofSaid,
    RoofZoneSaid,
    RoomSaid,
    RouteSaid,
    WallSaid,
)
from stubout.kinds import FixtureKind

Widget = Literal["text", "length", "lengths", "pick", "number", "many", "named", "date", "lines", "pairs"]

FIXTURE_GROUPS: Final = (
    ("What and where", ("kind", "title", "room", "wall", "side", "at", "drain", "rough in", "x", "y", "may move")),
    ("Heights above the finished floor", ("rim", "counter", "counter thick", "bowl", "bowl from", "outlet height",
                                          "stub height", "standpipe top", "box centre", "trap weir")),
    ("Outlet and trap", ("outlet", "from wall", "trap", "faucet", "disposer", "dishwasher")),
    ("More", ("gpf", "heads", "flush", "future", "island", "primer", "serves")),
)  # fmt: skip
FIXTURE_HINTS: Final = {
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
_RANGE: Final = {"x": "from, to", "y": "from, to", "z": "from, to"}


@dataclass(frozen=True, slots=True)
class Field:
    """One key of the form."""

    key: str
    widget: Widget
    choices: tuple[str, ...] = ()
    required: bool = False
    hint: str = ""


@dataclass(frozen=True, slots=True)
class Part:
    """One list of the job file whose entries have a form."""

    listed: str  # its key
    one: str  # what one of them is called
    kind: type[Record]
    name: Literal["tag", "id"]  # the key its entries are known by
    groups: tuple[tuple[str, tuple[str, ...]], ...] = ()  # of keys; one group of all where there is none
    hints: Mapping[str, str] = field(default_factory=dict)


PARTS: Final = {
    p.listed: p
    for p in (
        Part("fixtures", "fixture", FixtureSaid, "tag", FIXTURE_GROUPS, FIXTURE_HINTS),
        Part("cabinets", "cabinet", CabinetSaid, "id", hints={
            "from": "station on the wall", "to": "station on the wall", "counter": "top above the finished floor"}),
        Part("walls", "wall", WallSaid, "id", hints={
            "from": "x, y of the stud line", "to": "x, y of the stud line", "stud": "depth",
            "left": "finish on this side", "right": "finish on this side",
            "role": "bearing, exterior, insulated, interior, knee"}),
        Part("openings", "opening", OpeningSaid, "id", hints={
            "at": "station of its start", "sill": "above the subfloor", "head": "above the subfloor"}),
        Part("rooms", "room", RoomSaid, "id", hints={**_RANGE, "floor": "build-up over the subfloor"}),
        Part("obstacles", "obstacle", ObstacleSaid, "id", hints={
            **_RANGE, "from": "station", "to": "station", "above floor": "from, to", "above subfloor": "from, to",
            "deep": "into the wall from its finished face"}),
        Part("roof", "roof plane", RoofSaid, "id", hints={**_RANGE, "rise": "such as 5:12"}),
        Part("roof openings", "roof opening", RoofOpeningSaid, "id", hints={
            **_RANGE, "z": "sill, head; a skylight lies in its plane"}),
        Part("roof zones", "roof zone", RoofZoneSaid, "id", hints={**_RANGE, "why": "it may not be pierced"}),
        Part("routes", "drawn route", RouteSaid, "id", hints={
            "through": "x, y, z of the centre line, one point a line, in flow order",
            "fixture": "it is the trap arm of", "vent of": "it vents", "into": "the route it joins, or sewer",
            "fittings": "one a line, such as 2: cleanout; the number is of a point",
            "installed": "since when and by whom",
            "material": "of installed pipe",
            "kept": "may be laid out anew by keep"}),
        Part("levels", "level", LevelSaid, "id", hints={
            "subfloor": "z of its top", "ceiling": "z of the underside of what is above", "slab": "thickness"}),
        Part("frames", "frame", FrameSaid, "id", hints={
            "carries": "the level whose floor it is", "top": "z of the top of the members", "panel": "thickness",
            "along": "from, to along the run", "across": "from, to across it",
            "maker chart": "engineered members: is the hole chart at hand?"}),
        Part("questions", "question", QuestionSaid, "id", hints={
            "ask": "who owes the answer: a letter of the people", "about": "what it concerns, with commas",
            "answer": "with it the question is no longer open"}),
    )
}  # fmt: skip

Groups = tuple[tuple[str, tuple[Field, ...]], ...]


def fields(
    part: Part,
    choices: Mapping[str, tuple[str, ...]] | None = None,
    nested: Collection[str] = (),
    several: Mapping[str, Widget] | None = None,
) -> Groups:
    """Return the groups of a form with their keys.

    Args:
        part: The list.
        choices: Ids that the job offers for keys such as room and wall.
        nested: Keys that this entry has written over several lines: they are changed as text.
        several: Keys that hold a list or pairs, with the widget for it.
    """
    made: dict[str, Field] = {}
    for name, info in part.kind.model_fields.items():
        key = name.rstrip("_").replace("_", " ")
        if key in (part.name, "line", *nested) or _records(info.annotation):
            continue
        widget, offered = _widget(info.annotation, info.metadata)
        if several is not None and key in several:
            widget, offered = several[key], ()
        elif key == "date":
            widget = "date"
        elif choices is not None and key in choices:
            widget, offered = "pick", choices[key]
        made[key] = Field(key, widget, offered, info.is_required(), part.hints.get(key, ""))
    groups = part.groups or (("What and where", tuple(made)),)
    named = {k for _, keys in groups for k in keys}
    rest = tuple(k for k in made if k not in named)
    last = groups[-1][0]
    return tuple(
        (title, tuple(made[k] for k in (*keys, *(rest if title == last else ())) if k in made))
        for title, keys in groups
    )


def unread(
    asked: Iterable[Field], values: Mapping[str, str], old: Mapping[str, str], system: units.Units
) -> dict[str, str]:
    """Return what is wrong with fields that are needed or hold changed lengths: by key, in words.

    Args:
        asked: The fields of the form.
        values: What was typed, by key.
        old: What the file says, by key.
        system: Units of a bare number.
    """
    wrong = {}
    for f in asked:
        said = values.get(f.key, "")
        if f.required and not said:
            wrong[f.key] = "this is needed"
        elif f.widget in ("length", "lengths") and said and said != old.get(f.key):
            try:
                for one in filter(str.strip, said.strip("[] ").split(",")):  # a range, a point, a list of lengths
                    units.parse_length_mm(one, system)
            except units.UnitError as error:
                wrong[f.key] = str(error)
    return wrong


def _records(kind: Any) -> bool:
    """Return whether a type holds records of its own, which have no single field."""
    if isinstance(kind, type) and issubclass(kind, Record) and kind is not FinishSaid:
        return True
    return any(_records(a) for a in get_args(kind))


def _widget(kind: Any, meta: list[Any]) -> tuple[Widget, tuple[str, ...]]:
    """Return how a type is asked for."""
    if kind is FixtureKind:
        return "pick", tuple(k.value for k in FixtureKind)
    args = [a for a in get_args(kind) if a is not type(None)]
    if get_origin(kind) is Literal:
        return "pick", tuple(a for a in args if a)
    if get_origin(kind) is Annotated:
        return _widget(args[0], list(args[1:]))
    if get_origin(kind) is tuple:
        return ("lengths", ()) if _widget(args[0], [])[0] == "length" else ("text", ())
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
