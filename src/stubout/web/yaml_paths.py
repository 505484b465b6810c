"""Values anywhere in a job file, set, added or taken out by a path; everything else stays letter for letter.

A path goes from the outermost key inwards: keys, tags or ids of entries, their numbers from 1, `+` for one entry more
at the end, `+before 2` for one before the second.
After each change the file is read again: if anything but the wanted value is not as before, nothing is done.
"""

from __future__ import annotations

import re
from collections.abc import Iterable, Mapping, Sequence
from typing import Any, Final

from ruamel.yaml.nodes import MappingNode, Node, ScalarNode, SequenceNode

from stubout.web.yaml_edit import (
    NAMES,
    EditError,
    dash_of,
    has_anchors,
    inserted_into,
    is_list,
    key_of,
    last_index,
    line_end,
    plain_of,
    removed_from,
    root_of,
    scalar_of,
    written_of,
)

MORE: Final = "+"
BEFORE: Final = "+before "  # with a number: one entry more, before that one
_COMMENT: Final = re.compile(r"(^|\s)#")
Path = Sequence["str | int"]


def written(text: str, path: Path) -> str:
    """Return what a file says at a path, on one line; "" where it says nothing."""
    node = found(text, path)
    return "" if node is None else written_of(text, node)


def found(text: str, path: Path) -> Node | None:
    """Return the node at a path, None if it is not there."""
    node: Node | None = root_of(text)
    for step in path:
        node = _step(node, step) if node is not None else None
    return node


def count(text: str, path: Path) -> int:
    """Return how many entries a list has; 0 where there is none."""
    node = found(text, path)
    return len(node.value) if isinstance(node, SequenceNode) else 0


def in_lines(text: str, path: Path) -> bool:
    """Return whether a value is written over several lines: keys or entries of its own."""
    node = found(text, path)
    return isinstance(node, (MappingNode, SequenceNode)) and not node.flow_style


def said(text: str, statements: Iterable[tuple[Path, Any]]) -> str:
    """Return a file with some values set one after the other; None takes out. Raises EditError, and then changes none.

    Entries called by a number are counted as the file stands when their statement comes.
    """
    plain = text.replace("\r\n", "\n")
    dos = plain.count("\n") == text.count("\r\n") > 0
    new = plain if dos else text
    for path, value in statements:
        new = put(new, path, value)
    return new.replace("\n", "\r\n") if dos else new


def put(text: str, path: Path, value: Any) -> str:
    """Return a file with one value set, added (last step `+`) or, for None, taken out; raises EditError."""
    root = root_of(text)
    if has_anchors(text):
        raise EditError("the file uses anchors; edit it as text")
    value = _texts(value)
    node: Node = root
    for n, step in enumerate(path[:-1]):
        inner = _step(node, step)
        if inner is None or _void(inner):
            if value is None:
                return text
            return _checked(text, path, value, _set(text, node, step, _nested(path[n + 1 :], value)))
        node = inner
    last = path[-1]
    if last == MORE:
        new = _appended(text, node, value)
    elif isinstance(last, str) and last.startswith(BEFORE):
        new = _before(text, node, int(last.removeprefix(BEFORE)), value)
    elif value is None:
        new = _out(text, node, last)
    else:
        new = _set(text, node, last, value)
    return _checked(text, path, value, new)


def _texts(value: Any) -> Any:
    """Return a value with every scalar as one line of text."""
    if isinstance(value, Mapping):
        return {str(k): _texts(v) for k, v in value.items()}
    if isinstance(value, str):
        line = " ".join(value.split())
        return plain_of(root_of(f"v: {line}"))["v"] if line[:1] in ("[", "{") and is_list(line) else line
    return value if value is None else [_texts(v) for v in value]


def _nested(rest: Path, value: Any) -> Any:
    """Return a value with the keys round it that are not there yet."""
    for step in reversed(rest):
        if isinstance(step, int):
            raise EditError("the file has no such list; edit it as text")
        value = [value] if step == MORE else {step: value}
    return value


def _void(node: Node) -> bool:
    """Return whether a key stands there with nothing behind it."""
    return isinstance(node, ScalarNode) and not str(node.value).strip()


def _in_braces(node: Node) -> bool:
    return isinstance(node, (MappingNode, SequenceNode)) and bool(node.flow_style)


def _step(node: Node, step: str | int) -> Node | None:
    if isinstance(node, MappingNode):
        return next((v for k, v in node.value if key_of(k) == str(step)), None)
    if not isinstance(node, SequenceNode):
        return None
    if isinstance(step, int):
        return node.value[step - 1] if 1 <= step <= len(node.value) else None
    return next((n for n in node.value if isinstance(n, MappingNode) and _called(n, step)), None)


def _called(node: MappingNode, name: str) -> bool:
    return any(key_of(k) in NAMES and str(v.value) == name for k, v in node.value)


def _set(text: str, node: Node, step: str | int, value: Any) -> str:
    old = _step(node, step)
    if old is not None and not _void(old):
        return _replaced(text, old, value, flow=_in_braces(node))
    if not isinstance(node, MappingNode) or isinstance(step, int):
        raise EditError(f"the file has no entry {step} there; edit it as text")
    if old is not None:
        return _filled(text, node, step, value)
    if node.flow_style:
        if not node.value:
            raise EditError("empty braces; edit it as text")
        return inserted_into(text, node, str(step), _flow(value), flow=True)
    column = node.value[0][0].start_mark.column
    at = line_end(text, last_index(text, node.value[-1][1]))
    block = _block(str(step), value, column)
    return f"{text[:at]}\n{block}{text[at:]}"


def _filled(text: str, node: MappingNode, step: str, value: Any) -> str:
    """Return the text with something behind a key that had nothing."""
    key = next(k for k, _ in node.value if key_of(k) == step)
    begin = text.rfind("\n", 0, key.start_mark.index) + 1
    end = line_end(text, key.end_mark.index)
    if node.flow_style or _COMMENT.search(text[begin:end]):
        raise EditError(f"{step} is empty, or has a comment beside it; edit it as text")
    return text[:begin] + _block(str(key.value), value, key.start_mark.column) + text[end:]


def _replaced(text: str, old: Node, value: Any, *, flow: bool) -> str:
    begin = int(old.start_mark.index)
    if isinstance(old, ScalarNode) or _in_braces(old):
        shape = scalar_of(value, flow=flow) if isinstance(value, str) else _flow(value)
        return text[:begin] + shape + text[old.end_mark.index :]
    end = last_index(text, old)
    if _COMMENT.search(text[begin:end]):
        raise EditError("there are comments in what would be written anew; edit it as text")
    if isinstance(value, str) or not value:
        raise EditError("it is written over several lines; edit it as text")
    column = old.start_mark.column
    return text[:begin] + _lines(value, column).lstrip(" ") + text[end:]


def _out(text: str, node: Node, step: str | int) -> str:
    gone = _step(node, step)
    if gone is None:
        return text
    if isinstance(node, MappingNode):
        if len(node.value) < 2:
            raise EditError(f"{step} is the only thing said there; edit it as text")
        pair = next((k, v) for k, v in node.value if v is gone)
        if not node.flow_style and pair[0] is node.value[0][0]:
            return _first_out(text, node, pair[1])
        return removed_from(text, node, pair, flow=bool(node.flow_style))
    if not isinstance(node, SequenceNode) or len(node.value) < 2 or node.flow_style:
        raise EditError("it is the only entry, or the list is written in brackets; edit it as text")
    begin = text.rfind("\n", 0, gone.start_mark.index) + 1
    return text[:begin] + text[min(line_end(text, last_index(text, gone)) + 1, len(text)) :]


def _first_out(text: str, node: MappingNode, value: Node) -> str:
    """Return the text without the first key of an entry, its dash kept."""
    second = node.value[1][0].start_mark.index
    between = text[last_index(text, value) : second]
    if _COMMENT.search(between):
        raise EditError("a comment stands beside what would go; edit it as text")
    return text[: node.start_mark.index] + text[second:]


def _appended(text: str, node: Node, value: Any) -> str:
    if not isinstance(node, SequenceNode) or node.flow_style or not node.value:
        raise EditError("the list is empty or written in brackets; add the first one as text")
    dash = dash_of(text, node.value[-1])
    at = line_end(text, last_index(text, node.value[-1]))
    return f"{text[:at]}\n{_lines([value], dash)}{text[at:]}"


def _before(text: str, node: Node, nth: int, value: Any) -> str:
    if not isinstance(node, SequenceNode) or node.flow_style or not 1 <= nth <= len(node.value):
        raise EditError("the list has no such entry, or is written in brackets; edit it as text")
    entry = node.value[nth - 1]
    begin = text.rfind("\n", 0, entry.start_mark.index) + 1
    return f"{text[:begin]}{_lines([value], dash_of(text, entry))}\n{text[begin:]}"


def _flow(value: Any) -> str:
    """Return a value in one line."""
    if isinstance(value, Mapping):
        return "{" + ", ".join(f"{k}: {_flow(v)}" for k, v in value.items()) + "}"
    if isinstance(value, list):
        return "[" + ", ".join(_flow(v) for v in value) + "]"
    return scalar_of(value, flow=True)


def _block(key: str, value: Any, column: int) -> str:
    """Return a key with its value as lines of their own."""
    if isinstance(value, str):
        return f"{' ' * column}{key}: {scalar_of(value, flow=False)}"
    if not value:
        return f"{' ' * column}{key}: {_flow(value)}"
    return f"{' ' * column}{key}:\n{_lines(value, column + 2)}"


def _lines(value: Any, column: int) -> str:
    """Return keys or entries as lines."""
    if isinstance(value, Mapping):
        return "\n".join(_block(k, v, column) for k, v in value.items())
    out = []
    for entry in value:
        if isinstance(entry, str):
            out.append(f"{' ' * column}- {scalar_of(entry, flow=False)}")
        else:
            out.append(f"{' ' * column}- {_lines(entry, column + 2).lstrip(' ')}")
    return "\n".join(out)


def _checked(text: str, path: Path, value: Any, new: str) -> str:
    """Return the new text if it says what it should, and nothing else has changed."""
    wanted = plain_of(root_of(text))
    place: Any = wanted
    for n, step in enumerate(path):
        last = n == len(path) - 1
        key = _place_of(place, step)
        if last and value is None:
            if key is not None:
                del place[key]
        elif step == MORE and isinstance(place, list):
            place.append(value)
        elif last and isinstance(step, str) and step.startswith(BEFORE):
            place.insert(int(step.removeprefix(BEFORE)) - 1, value)
        elif last or key is None or place[key] == "":
            place[step if key is None else key] = value if last else _nested(path[n + 1 :], value)
            break
        else:
            place = place[key]
    if plain_of(root_of(new)) != wanted:
        raise EditError("that cannot be changed without touching something else; edit it as text")
    return new


def _place_of(place: Any, step: str | int) -> Any:
    """Return the key or index of a step in a tree of texts, None if it is not there."""
    if isinstance(place, dict):
        return next((k for k in place if k.replace("_", " ").replace("-", " ").strip() == step), None)
    if isinstance(step, int):
        return step - 1 if 1 <= step <= len(place) else None
    return next((i for i, e in enumerate(place) if isinstance(e, dict) and _name_of(e) == step), None)


def _name_of(entry: Mapping[str, Any]) -> Any:
    return next((entry[n] for n in NAMES if n in entry), None)
