"""Change single values of a job file: everything else, comments and blanks among it, stays letter for letter.

The text is composed by ruamel.yaml, which knows where every node begins and ends; the new value is put there and the
result is composed again: if anything but the wanted value has changed, nothing is done.
"""

from __future__ import annotations

import re
from collections.abc import Iterable
from dataclasses import dataclass
from functools import lru_cache
from typing import Any, Final

from ruamel.yaml import YAML
from ruamel.yaml.error import YAMLError
from ruamel.yaml.nodes import MappingNode, Node, ScalarNode, SequenceNode

from stubout.problems import StuboutError

LISTED: Final = "fixtures"
NAMES: Final = ("tag", "id")  # keys that an entry of a list is known by


class EditError(StuboutError, ValueError):
    """The file is written so that only a person can change this in it."""


@dataclass(frozen=True, slots=True)
class Item:
    """One entry of a list of the job file."""

    tag: str
    values: dict[str, str]  # key, with blanks -> what is written there
    nested: tuple[str, ...] = ()  # keys whose value is written over several lines


def items(text: str, listed: str = LISTED) -> tuple[Item, ...]:
    """Return the entries of a list of the job file as they are written; EditError if they cannot be read."""
    found = []
    for node in _list(text, listed).value:
        if isinstance(node, MappingNode):
            values = {key_of(k): written_of(text, v) for k, v in node.value if isinstance(k, ScalarNode)}
            nested = tuple(key_of(k) for k, v in node.value if not isinstance(v, ScalarNode) and not v.flow_style)
            found.append(Item(_known_by(values), values, nested))
    return tuple(found)


def change(text: str, tag: str, values: dict[str, str], listed: str = LISTED) -> str:
    """Return the text with values of one entry set; an empty one takes the key out.

    Raises:
        EditError: If there is no such entry, or it cannot be changed in place.
    """
    for key, value in values.items():
        text = _set(text, tag, key, " ".join(value.split()), listed)
    return text


@dataclass(frozen=True, slots=True)
class Nth:
    """One entry of a value that is a list, such as a point of a route, and what is to stand there."""

    tag: str  # tag or id of the entry of the list of the job file
    key: str  # whose value is the list
    nth: int  # from 1
    value: str


def change_nth(text: str, changes: Iterable[Nth], listed: str) -> str:
    """Return the text with some entries of values that are lists set, all at once.

    Raises:
        EditError: If one is not there, or cannot be changed in place; then nothing is changed.
    """
    expected = plain_of(root_of(text))
    pieces: list[tuple[int, int, str]] = []
    for c in changes:
        node, flow = _nth(text, c, listed)
        shape = scalar_of(f"[{c.value}]" if isinstance(node, SequenceNode) else c.value, flow=flow)
        pieces.append((node.start_mark.index, node.end_mark.index, shape))
        place = next(i for i in expected[_name(text, listed)] if _known_by(i) == c.tag)
        written = next(k for k in place if k.replace("_", " ").replace("-", " ") == c.key)
        place[written][c.nth - 1] = plain_of(root_of(f"{{v: {shape}}}" if flow else f"v: {shape}"))["v"]
    new = text
    for begin, end, shape in sorted(pieces, reverse=True):  # from the end: what stands before keeps its place
        new = new[:begin] + shape + new[end:]
    if plain_of(root_of(new)) != expected:
        raise EditError("that cannot be changed without touching something else; edit it as text")
    return new


def _nth(text: str, c: Nth, listed: str) -> tuple[Node, bool]:
    """Return one entry of a value that is a list, and whether it stands in brackets."""
    entry = _entry(_list(text, listed), c.tag, listed)
    found = next((v for k, v in entry.value if key_of(k) == c.key), None) if isinstance(entry, MappingNode) else None
    if not isinstance(found, SequenceNode) or not 1 <= c.nth <= len(found.value):
        raise EditError(f"{c.key} of {c.tag} is not written as a list with {c.nth} entries; edit it as text")
    node: Node = found.value[c.nth - 1]
    if isinstance(node, SequenceNode) and not node.flow_style:
        raise EditError(f"entry {c.nth} of {c.key} of {c.tag} is written over several lines; edit it as text")
    return node, isinstance(node, SequenceNode) or bool(found.flow_style)


def add(text: str, values: dict[str, str], listed: str = LISTED) -> str:
    """Return the text with one more entry at the end of a list."""
    node = _list(text, listed)
    if node.flow_style or not node.value:
        raise EditError(f"the list of {listed} is written in brackets or empty: add the first one as text")
    tag = _known_by(values)
    if any(i.tag == tag for i in items(text, listed)):
        raise EditError(f"there is a {tag} already")
    last = node.value[-1]
    dash = dash_of(text, node.value[-1])
    end = line_end(text, last_index(text, last))
    lines = [f"{k}: {scalar_of(' '.join(v.split()), flow=False)}" for k, v in values.items() if v.strip()]
    indent = " " * dash
    block = f"{indent}- " + f"\n{indent}  ".join(lines)
    new = f"{text[:end]}\n{block}{text[end:]}"
    if [i.tag for i in items(new, listed)] != [*(i.tag for i in items(text, listed)), tag]:
        raise EditError("the list could not be added to; edit it as text")
    return new


def remove(text: str, tag: str, listed: str = LISTED) -> str:
    """Return the text without one entry."""
    node = _list(text, listed)
    entry = _entry(node, tag, listed)
    if node.flow_style or len(node.value) < 2:
        raise EditError(f"take {tag} out as text: it is the only one, or the list is written in brackets")
    begin = text.rfind("\n", 0, entry.start_mark.index) + 1
    end = min(line_end(text, last_index(text, entry)) + 1, len(text))
    new = text[:begin] + text[end:]
    if [i.tag for i in items(new, listed)] != [i.tag for i in items(text, listed) if i.tag != tag]:
        raise EditError(f"{tag} could not be taken out; edit it as text")
    return new


def _set(text: str, tag: str, key: str, value: str, listed: str) -> str:
    entry = _entry(_list(text, listed), tag, listed)
    if not isinstance(entry, MappingNode):
        raise EditError(f"{tag} is not written as lines of `key: value`")
    pair = next(((k, v) for k, v in entry.value if key_of(k) == key), None)
    if pair is not None and written_of(text, pair[1]) == value:
        return text
    if pair is None and not value:
        return text
    flow = bool(entry.flow_style)
    if pair is None:
        new = inserted_into(text, entry, key, scalar_of(value, flow=flow), flow=flow)
    elif value:
        node = pair[1]
        if not isinstance(node, ScalarNode) and not node.flow_style:
            raise EditError(f"{key} of {tag} is written over several lines; edit it as text")
        new = text[: node.start_mark.index] + scalar_of(value, flow=flow) + text[node.end_mark.index :]
    else:
        new = removed_from(text, entry, pair, flow=flow)
    expected = plain_of(root_of(text))
    place = next(i for i in expected[_name(text, listed)] if _known_by(i) == tag)
    written = next((k for k in place if k.replace("_", " ").replace("-", " ") == key), key)
    if value:
        place[written] = plain_of(root_of(f"v: {scalar_of(value, flow=flow)}"))["v"]
    else:
        del place[written]
    if plain_of(root_of(new)) != expected:
        raise EditError(f"{key} of {tag} cannot be changed without touching something else; edit it as text")
    return new


def inserted_into(text: str, entry: MappingNode, key: str, value: str, *, flow: bool) -> str:
    """Return the text with a key and its value put at the end of an entry."""
    last = entry.value[-1][1]
    if flow:
        at = last.end_mark.index
        return f"{text[:at]}, {key}: {value}{text[at:]}"
    at = line_end(text, last_index(text, last))
    column = entry.value[0][0].start_mark.column
    return f"{text[:at]}\n{' ' * column}{key}: {value}{text[at:]}"


def removed_from(text: str, entry: MappingNode, pair: tuple[Node, Node], *, flow: bool) -> str:
    """Return the text without a key of an entry and its value."""
    begin, end = pair[0].start_mark.index, pair[1].end_mark.index
    if flow:
        comma = text.rfind(",", 0, begin)
        return text[:comma] + text[end:] if comma > entry.start_mark.index else text[:begin] + text[end:].lstrip(", ")
    if pair[0] is entry.value[0][0]:
        raise EditError("the first line of an entry cannot be taken out; edit it as text")
    begin = text.rfind("\n", 0, begin) + 1
    return text[:begin] + text[line_end(text, last_index(text, pair[1])) + 1 :]


def scalar_of(value: str, *, flow: bool) -> str:
    """Return a value as it can stand in the file: plain if YAML then reads just that, else in quotes."""
    if value[:1] in ("[", "{") and is_list(value):
        return value
    for shape in (value, "'" + value.replace("'", "''") + "'"):
        try:
            read = plain_of(root_of(f"{{v: {shape}}}" if flow else f"v: {shape}\nw: x"))
        except EditError:
            continue
        if read.get("v") == value and len(read) == (1 if flow else 2):
            return shape
    raise EditError(f"{value!r} cannot be written here")


def is_list(value: str) -> bool:
    """Return whether a value is a list or keys in brackets, and nothing behind them."""
    try:
        read = plain_of(root_of(f"v: {value}\nw: x"))
    except EditError:
        return False
    return not isinstance(read["v"], str) and len(read) == 2


@lru_cache(maxsize=16)  # the same text is looked into several times for one change
def root_of(text: str) -> MappingNode:
    """Return the outermost mapping of a job file; raises EditError."""
    try:
        node = YAML(typ="rt").compose(text)
    except (YAMLError, ValueError) as error:
        raise EditError("the file cannot be read as YAML; edit it as text") from error
    if not isinstance(node, MappingNode):
        raise EditError("the file has no keys")
    return node


def _name(text: str, listed: str) -> str:
    return next(str(k.value) for k, _ in root_of(text).value if key_of(k) == listed)


def _list(text: str, listed: str) -> SequenceNode:
    if re.search(r"(^|[\s\[{,:-])[&*][A-Za-z0-9_-]", text) and has_anchors(text):
        raise EditError("the file uses anchors; edit it as text")
    node = next((v for k, v in root_of(text).value if key_of(k) == listed), None)
    if not isinstance(node, SequenceNode):
        raise EditError(f"the file has no list of {listed}")
    return node


def has_anchors(text: str) -> bool:
    """Return whether a text uses anchors: a change in one place would then be one in others."""

    def anchored(node: Node) -> bool:
        inner: list[Node] = []
        if isinstance(node, MappingNode):
            inner = [n for pair in node.value for n in pair]
        elif isinstance(node, SequenceNode):
            inner = list(node.value)
        return bool(node.anchor) or any(anchored(n) for n in inner)

    return anchored(root_of(text))


def _entry(node: SequenceNode, tag: str, listed: str) -> Node:
    found: list[Node] = [
        n
        for n in node.value
        if isinstance(n, MappingNode) and any(key_of(k) in NAMES and v.value == tag for k, v in n.value)
    ]
    if len(found) != 1:
        raise EditError(f"{listed} has no {tag}" if not found else f"{listed} has {tag} {len(found)} times")
    return found[0]


def _known_by(values: dict[str, Any]) -> str:
    return str(next((values[n] for n in NAMES if n in values), ""))


def key_of(node: Node) -> str:
    """Return a key as the job file's words have it, whichever way its blanks are written."""
    return str(node.value).strip().replace("_", " ").replace("-", " ")


def written_of(text: str, node: Node) -> str:
    """Return a value as it is written in the text."""
    if isinstance(node, ScalarNode):
        return str(node.value)
    return " ".join(text[node.start_mark.index : node.end_mark.index].split())


def plain_of(node: Node) -> Any:
    """Return a tree as texts, lists and dictionaries."""
    if isinstance(node, MappingNode):
        return {plain_of(k): plain_of(v) for k, v in node.value}
    if isinstance(node, SequenceNode):
        return [plain_of(v) for v in node.value]
    return str(node.value)


def last_index(text: str, node: Node) -> int:
    """Return where the last scalar of a node ends: a block ends before the comments and blanks after it."""
    if isinstance(node, MappingNode) and not node.flow_style and node.value:
        return last_index(text, node.value[-1][1])
    if isinstance(node, SequenceNode) and not node.flow_style and node.value:
        return last_index(text, node.value[-1])
    end = int(node.end_mark.index)
    return len(text[:end].rstrip()) if getattr(node, "style", None) in ("|", ">") else end


def line_end(text: str, at: int) -> int:
    """Return where the line of a place ends."""
    end = text.find("\n", at)
    return len(text) if end < 0 else end


def dash_of(text: str, entry: Node) -> int:
    """Return where the dash of an entry of a list stands."""
    begin = text.rfind("\n", 0, entry.start_mark.index) + 1
    line = text[begin : entry.start_mark.index]
    if "-" not in line:
        raise EditError("the list is not written as lines that begin with a dash; edit it as text")
    return line.index("-")
