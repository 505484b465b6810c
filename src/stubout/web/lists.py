"""Lists and pairs of a job file that are written over several lines, changed entry by entry in a form.

What stays the same keeps its line and the comment beside it; a text area has one entry a line, a pair as `name: text`.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from difflib import SequenceMatcher
from typing import Any, Final

from ruamel.yaml.nodes import MappingNode, ScalarNode, SequenceNode

from stubout.web import yaml_paths
from stubout.web.yaml_edit import EditError
from stubout.web.yaml_paths import BEFORE, MORE, Path

PAIR: Final = ": "


def listed(text: str, path: Path) -> list[str] | None:
    """Return the entries of a list written over several lines; None if it is none, or holds entries with keys."""
    node = yaml_paths.found(text, path)
    if not isinstance(node, SequenceNode) or node.flow_style:
        return None
    plain = all(isinstance(n, ScalarNode) or (isinstance(n, SequenceNode) and n.flow_style) for n in node.value)
    return [yaml_paths.written(text, (*path, n)) for n in range(1, len(node.value) + 1)] if plain else None


def paired(text: str, path: Path) -> dict[str, str] | None:
    """Return the pairs of a key; none where it is not there, None if there is something else than pairs of texts."""
    node = yaml_paths.found(text, path)
    if node is None:
        return {}
    if not isinstance(node, MappingNode) or not all(isinstance(v, ScalarNode) for _, v in node.value):
        return None
    return {str(k.value): str(v.value) for k, v in node.value}


def lines(said: str) -> list[str]:
    """Return the entries of a text area."""
    return [line for line in (" ".join(raw.split()) for raw in said.splitlines()) if line]


def pairs(said: str) -> dict[str, str]:
    """Return the pairs of a text area; EditError for a line that is none, or a name twice."""
    found: dict[str, str] = {}
    for line in lines(said):
        name, colon, value = line.partition(":")
        if not (colon and name.strip() and value.strip()):
            raise EditError(f"{line!r} is no pair; wanted name: text")
        if name.strip() in found:
            raise EditError(f"{name.strip()!r} stands there twice")
        found[name.strip()] = value.strip()
    return found


def list_changes(path: Path, old: list[str], new: list[str]) -> Iterator[tuple[Path, Any]]:
    """Yield what makes one list of another, from its end, so that numbers hold; an empty one takes the key out."""
    if not new:
        if old:
            yield path, None
        return
    if not old:
        yield path, new
        return
    steps = SequenceMatcher(a=old, b=new, autojunk=False).get_opcodes()
    for _, a, b, c, d in reversed([s for s in steps if s[0] != "equal"]):
        same = min(b - a, d - c)
        for nth, word in enumerate(reversed(new[c + same : d])):
            yield (*path, MORE if b == len(old) and not nth else f"{BEFORE}{b + 1}"), word
        for n in range(b, a + same, -1):
            yield (*path, n), None
        for n in range(same):
            yield (*path, a + n + 1), new[c + n]


def pair_changes(path: Path, old: Mapping[str, str], new: Mapping[str, str]) -> Iterator[tuple[Path, Any]]:
    """Yield what makes some pairs of others; those that stay keep their lines."""
    if not new:
        if old:
            yield path, None
        return
    for name, value in new.items():
        if old.get(name) != value:
            yield (*path, name), value
    for name in old:
        if name not in new:
            yield (*path, name), None
