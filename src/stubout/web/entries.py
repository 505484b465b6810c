"""What has a form besides the lists with ids: the job's head, wishes, amendments, boxes of a cabinet, their drawers.

An entry is called by its path in the file: keys, ids, and numbers from 1 where the file gives no name.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass, field, replace
from typing import Any, Final, get_origin
from urllib.parse import quote, unquote

from ruamel.yaml.nodes import MappingNode, ScalarNode, SequenceNode
from starlette.exceptions import HTTPException

from stubout.job.model import (
    AmendSaid,
    BoxSaid,
    ClimateSaid,
    ConfirmSaid,
    DrawerSaid,
    FinishSaid,
    JobSaid,
    MeasuredSaid,
    MembersSaid,
    OffcutSaid,
    RecessSaid,
    Record,
    RecordSaid,
    SewerSaid,
    SiteSaid,
    TestSaid,
    WishesSaid,
)
from stubout.web import forms, lists, yaml_paths
from stubout.web.forms import Field, Groups, Part, Widget
from stubout.web.yaml_edit import plain_of
from stubout.web.yaml_paths import MORE, Path

Steps = tuple[str | int, ...]
SAID: Final = "said"
MANY_LINES: Final = (SAID, "through")  # a line each, written in brackets or not at all: they hold commas of their own
METHODS: Final = ("individual", "common", "wet", "island loop", "stack", "air admittance valve")


@dataclass(frozen=True, slots=True)
class Kind:
    """One kind of entry that has a form of its own."""

    path: tuple[str, ...]  # `*` stands for a name, `#` for a number
    title: str
    kind: type[Record]
    hints: Mapping[str, str] = field(default_factory=dict)
    without: tuple[str, ...] = ()  # keys left to the text
    words: str = ""  # of the page
    shown: tuple[str, ...] = ()  # keys that tell one entry of a list from another

    @property
    def listed(self) -> bool:
        """Return whether it is one of several."""
        return self.path[-1] == "#"

    @property
    def part(self) -> Part:
        """Return it as what `forms` reads keys off."""
        return Part(self.path[-1], self.title, self.kind, "id", hints=self.hints)


_FINISH: Final = {
    "thick": "from the framing", "from": "station on the wall", "to": "station on the wall",
    "above": "the subfloor", "below": "above the subfloor",
}  # fmt: skip
_FINISHES: Final = "Of this side of the wall, part by part: the last that fits a place wins."

KINDS: Final = (
    Kind(("job",), "job and rule books", JobSaid, {
        "book": "the adopted plumbing book", "framing": "whose limits hold for bores and notches",
        "issued": "the date on the sheets", "stock": "lengths pipe is bought in",
        "people": "one a line, a letter and who it is, such as B: builder"},
        ("units", "test"), "Another book plans the house anew: every size and limit is looked up there."),
    Kind(("job", "test"), "test of the rough-in", TestSaid, {
        "head": "of water over the highest joint", "hold": "such as 15 min"}),
    Kind(("wishes",), "wishes", WishesSaid, {
        "stack walls": "ids of walls, the best first", "aav": "what the authority allows",
        "sewer cleanout at": "x, y", "at most terminals": "through the roof",
        "said": "one a line, in their words"}, (),
        "What owner, builder and authority said about the choices."),
    Kind(("site",), "site", SiteSaid, {
        "footprint": "outside of the framing, east, north", "ground at house": "z", "ground at sewer": "z",
        "crawl access": "x, y of the hatch"}),
    Kind(("climate",), "climate", ClimateSaid, {"winter design": "such as 5 F"}),
    Kind(("sewer",), "sewer", SewerSaid, {
        "at": "x, y where your pipe ends", "invert": "z of the inside bottom there", "runs": "the pipe beyond it",
        "backwater valve at": "x, y"}),
    Kind(("amendments", "#"), "amendment", AmendSaid, {
        "value": "its id in the book", "is": "with its unit, such as 450 mm",
        "ask": "instead of a value: what the inspector has to answer"}, ("source",),
        "A local rule changes one value of the book, with its source.", ("value", "is", "ask")),
    Kind(("confirmations", "#"), "confirmation", ConfirmSaid, {
        "value": "its id in the book", "printed": "as your copy has it; of a clause its section",
        "copy": "which print", "book": "where both of the job's books have the value"}, ("source",),
        "A value of a book that somebody has compared with their own copy: it is not unverified any more.",
        ("value", "printed", "by")),
    Kind(("walls", "*", "left", "#"), "left finish", FinishSaid, _FINISH, (), _FINISHES, ("thick", "what")),
    Kind(("walls", "*", "right", "#"), "right finish", FinishSaid, _FINISH, (), _FINISHES, ("thick", "what")),
    Kind(("cabinets", "*", "boxes", "#"), "box", BoxSaid, {
        "floor": "cabinet floor above the finished floor", "shelves": "heights, with commas",
        "partition at": "from the start of the box", "partition to": "height", "back": "thickness of its back"},
        (), "", ("what", "width")),
    Kind(("cabinets", "*", "boxes", "#", "drawers", "#"), "drawer", DrawerSaid, {
        "from": "above the finished floor", "to": "above the finished floor",
        "cut out width": "round the trap, centred", "cut out depth": "from the back", "gap behind": "to the wall"},
        (), "", ("from", "to")),
    Kind(("records", "#"), "record", RecordSaid, {
        "about": "fixture tag, pipe or section", "what": "such as height, slope, test, waiver",
        "value": "as it was read",
        "by": "who read it"}, (),
        "Readings that stand in the job file. What is ticked and measured under Walls is kept apart from it.",
        ("about", "what", "value")),
    Kind(("offcuts", "#"), "offcut", OffcutSaid, {
        "lengths": "of each piece there is, with commas"}, (),
        "Pipe that is there already, of the material of the job. The stock plan cuts from it before any is bought.",
        ("size", "lengths")),
    Kind(("measured", "#"), "measured fitting", MeasuredSaid, {
        "fitting": "such as sanitary tee 3 x 3 x 2", "dimension": "upper, lower, branch, make-up, hub"}, (),
        "Fittings in hand, measured: they go before the make-up of the tables.", ("fitting", "dimension", "is")),
    Kind(("levels", "*", "recesses", "#"), "recess", RecessSaid, {
        "x": "from, to", "y": "from, to", "drop": "how much lower; the whole slab for a block-out"},
        (), "", ("what", "drop")),
    Kind(("frames", "*", "members"), "members", MembersSaid, {
        "at": "places across the run, with commas", "first": "of those that are counted"}),
)  # fmt: skip


def read(at: str) -> tuple[Kind, Steps]:
    """Return the kind of an entry and its path; HTTPException if nothing of that name has a form."""
    steps = [unquote(s) for s in at.split("/")]
    for kind in KINDS:
        if len(kind.path) == len(steps) and all(_fits(p, s) for p, s in zip(kind.path, steps, strict=True)):
            numbers = (int(s) if p == "#" and s != MORE else s for p, s in zip(kind.path, steps, strict=True))
            return kind, tuple(numbers)
    raise HTTPException(404, "there is no form for that")


def _fits(pattern: str, step: str) -> bool:
    if pattern == "#":
        return step == MORE or (step.isascii() and step.isdigit() and 0 < len(step) < 5 and int(step) > 0)
    return bool(step) if pattern == "*" else pattern == step


def address(path: Steps) -> str:
    """Return a path as it stands in an address."""
    return "/".join(quote(str(s), safe="") for s in path)


def called(kind: Kind, path: Steps) -> str:
    """Return an entry in words: `drawer 1 of box 2 of V1`."""
    if not kind.listed:
        return f"{kind.title} of {path[1]}" if len(path) > 2 else kind.title
    number = "new" if path[-1] == MORE else str(path[-1])
    name = f"{kind.title} {number}" if number != "new" else f"new {kind.title}"
    if len(path) > 2:
        name += f" of {path[1]}" if len(path) == 4 else f" of box {path[3]} of {path[1]}"
    return name


def groups(kind: Kind, text: str, path: Steps, choices: Mapping[str, tuple[str, ...]]) -> Groups:
    """Return the fields of an entry, those written over several lines left to the text."""
    written = several(kind.kind, text, path)
    nested = (*kind.without, *(k for k in _keys(kind) if k not in written and yaml_paths.in_lines(text, (*path, k))))
    found = forms.fields(kind.part, choices, nested, written)
    return tuple((title, tuple(_shaped(f, kind) for f in group)) for title, group in found)


def _keys(kind: Kind) -> tuple[str, ...]:
    return tuple(name.rstrip("_").replace("_", " ") for name in kind.kind.model_fields)


def nested(kind: Kind, text: str, path: Steps) -> tuple[str, ...]:
    """Return the keys of an entry that are written over several lines, and have no form of their own."""
    own = {k.path[len(kind.path)] for k in KINDS if len(k.path) > len(kind.path)}
    own |= set(several(kind.kind, text, path))
    return tuple(k for k in _keys(kind) if k not in own and yaml_paths.in_lines(text, (*path, k)))


def several(kind: type[Record], text: str, path: Steps) -> dict[str, Widget]:
    """Return the keys of an entry that hold a list over several lines, or pairs, with the widget for it.

    A list of sentences has no other form: a comma is part of them.
    """
    found: dict[str, Widget] = {}
    for name, info in kind.model_fields.items():
        key = name.rstrip("_").replace("_", " ")
        at = (*path, key)
        if get_origin(info.annotation) is dict:
            if lists.paired(text, at) is not None:
                found[key] = "pairs"
        elif lists.listed(text, at) is not None or (key in MANY_LINES and not yaml_paths.written(text, at)):
            found[key] = "lines"
    return found


def shown(text: str, path: Steps, f: Field) -> str:
    """Return what stands in a field of an entry, as a text area or a line has it."""
    at = (*path, f.key)
    if f.widget == "lines":
        return "\n".join(lists.listed(text, at) or ())
    if f.widget == "pairs":
        return "\n".join(f"{k}{lists.PAIR}{v}" for k, v in (lists.paired(text, at) or {}).items())
    return yaml_paths.written(text, at)


def statements(path: Steps, f: Field, old: str, new: str) -> Iterator[tuple[Path, Any]]:
    """Yield what the file has to say otherwise for a field; EditError where it cannot be read."""
    at = (*path, f.key)
    if f.widget == "lines":
        yield from lists.list_changes(at, lists.lines(old), lists.lines(new))
    elif f.widget == "pairs":
        yield from lists.pair_changes(at, lists.pairs(old), lists.pairs(new))
    elif bare(new) != bare(old):
        yield at, new or None


def bare(said: str) -> str:
    """Return a value with what does not tell a list in brackets from one with commas left aside."""
    return ", ".join(w.strip() for w in said.strip("[] ").split(","))


def added(text: str, path: Steps, values: Mapping[str, str]) -> Iterator[tuple[Path, Any]]:
    """Yield what puts an entry more into a file.

    One that stands alone becomes the first of a list, and a list in brackets stays in them.
    """
    new = {k: v for k, v in values.items() if v}
    there = yaml_paths.found(text, path[:-1])
    if isinstance(there, ScalarNode) and str(there.value).strip():
        yield path[:-1], [{"thick": str(there.value)}, new]  # the only list whose entry may be a bare value: finishes
    elif isinstance(there, MappingNode):
        yield path[:-1], [plain_of(there), new]
    elif isinstance(there, SequenceNode) and there.flow_style:
        yield path[:-1], [*plain_of(there), new]
    else:
        yield path, new


def gone(text: str, path: Steps) -> Iterator[tuple[Path, Any]]:
    """Yield what takes an entry out of its list; the last one takes the list with it."""
    number, there = int(path[-1]), yaml_paths.found(text, path[:-1])
    if yaml_paths.count(text, path[:-1]) == 1:
        yield path[:-1], None
    elif isinstance(there, SequenceNode) and there.flow_style:
        yield path[:-1], [plain_of(n) for k, n in enumerate(there.value, 1) if k != number]
    else:
        yield path, None


def inner(of: str, tag: str) -> Iterator[tuple[str, str]]:
    """Yield what an entry of a list holds that has a form of its own: words and address."""
    for kind in KINDS:
        if len(kind.path) > 2 and kind.path[0] == of and kind.path.count("#") < 2:
            where = address((of, tag, kind.path[2]))
            words = f"{kind.title.capitalize()} by parts" if kind.kind is FinishSaid else kind.path[2].capitalize()
            yield words, f"{'entries' if kind.listed else 'entry'}?at={quote(where)}"


def _shaped(f: Field, kind: Kind) -> Field:
    """Return a field with the widget that suits it better than its type alone tells."""
    if kind.kind in NAMING and f.key == "value":
        return replace(f, widget="named")
    if kind.kind is WishesSaid and f.key in MANY:
        return replace(f, widget="many")
    return f


NAMING: Final = (AmendSaid, ConfirmSaid)  # they name a value of a book
HEADS: Final = tuple(k for k in KINDS if len(k.path) == 1)  # of the file, one of each
MANY: Final = ("no vents in walls", "no drains in walls", "cold spaces", "methods not wanted")
