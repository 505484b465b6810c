"""Job-file text to a tree of texts with line numbers: YAML, but every scalar stays the text that was typed.

The tree is built from parser events without recursion, so neither deep nesting nor repeated aliases can exhaust the
stack or the memory.
"""

from __future__ import annotations

import re
from collections.abc import Iterator
from dataclasses import dataclass, field
from typing import Any, Final

import yaml

from stubout.problems import Fault

_LONGEST_FILE: Final = 2_000_000  # characters; a large house has about 60,000
_MOST_NODES: Final = 200_000  # aliases counted as often as they are used
_DEEPEST: Final = 40
# What YAML takes for no text at all, and the line ends nobody types on purpose.
_ODD: Final = re.compile(
    "[^\\t\\n\\x20-\\x7e\\xa0-\\u2027\\u202a-\\ud7ff\\ue000-\\ufefe\\uff00-\\ufffd\\U00010000-\\U0010ffff]"
)
LOADER: Final[Any] = getattr(yaml, "CBaseLoader", yaml.BaseLoader)  # libyaml where it is built in


@dataclass(slots=True)
class Text:
    """A scalar as typed."""

    line: int
    value: str
    size: int = 1
    depth: int = 0


@dataclass(slots=True)
class Many:
    """A list."""

    line: int
    items: list[Node] = field(default_factory=list)
    size: int = 1
    depth: int = 0


@dataclass(slots=True)
class Keyed:
    """Lines of `key: value`, in order; the same key may occur twice, which the reader reports."""

    line: int
    pairs: list[tuple[Text, Node]] = field(default_factory=list)
    size: int = 1
    depth: int = 0


Node = Text | Many | Keyed


class BrokenText(Exception):  # noqa: N818 - never leaves this package
    """The text is no YAML tree; carries the one fault."""

    def __init__(self, fault: Fault) -> None:
        self.fault = fault
        super().__init__(str(fault))


def read_tree(text: str, name: str, wanted: str = "a job", do: str = "`stubout new` writes one to begin from.") -> Node:
    """Return the tree of a job file; `wanted` is what an empty file should be, and what to `do` then.

    Raises:
        BrokenText: If it is no single YAML document, or one too long, deep or repetitive to be a job.
    """
    if len(text) > _LONGEST_FILE:
        raise _broken(name, 0, f"{len(text)} characters", f"at most {_LONGEST_FILE}")
    text = text.removeprefix("\ufeff").replace("\r\n", "\n").replace("\r", "\n")
    _refuse_odd_characters(text, name)
    try:
        root = _grow(yaml.parse(text, Loader=LOADER), name)
    except yaml.MarkedYAMLError as error:
        raise BrokenText(syntax_fault(error, text, name)) from None
    except yaml.YAMLError as error:
        raise _broken(name, 0, str(error).splitlines()[0], "plain text") from None
    if root is None:
        raise _broken(name, 1, "an empty file", wanted, do)
    return root


def _broken(name: str, line: int, found: str, wanted: str, do: str = "") -> BrokenText:
    return BrokenText(Fault(name, line, "file", found, wanted, do))


def _refuse_odd_characters(text: str, name: str) -> None:
    if odd := _ODD.search(text):
        raise _odd(name, text.count("\n", 0, odd.start()) + 1, odd)


def _odd(name: str, line: int, odd: re.Match[str]) -> BrokenText:
    return _broken(name, line, f"the unprintable character U+{ord(odd.group()):04X}", "plain text", "Delete it.")


def _grow(events: Iterator[Any], name: str) -> Node | None:
    """Build the tree from parser events with an explicit stack; None if the text holds nothing."""
    root: Node | None = None
    stack: list[Many | Keyed] = []
    keys: list[Text | None] = []  # the key that waits for its value, one per level
    anchors: dict[str, Node] = {}
    anchor_of: list[str | None] = []
    total = 0

    def put(node: Node) -> None:
        nonlocal root, total
        total += node.size
        if total > _MOST_NODES:
            raise _broken(name, node.line, f"more than {_MOST_NODES} values", "a job file of sensible length")
        if len(stack) + node.depth > _DEEPEST:
            raise _broken(name, node.line, f"more than {_DEEPEST} levels inside each other", "a job file")
        if not stack:
            root = node
            return
        parent = stack[-1]
        if isinstance(parent, Many):
            parent.items.append(node)
        elif (key := keys[-1]) is not None:
            parent.pairs.append((key, node))
            keys[-1] = None
        elif isinstance(node, Text):
            keys[-1] = node
        else:
            raise _broken(name, node.line, "a list or a group where a key is wanted", "lines of `key: value`")

    for event in events:
        line = event.start_mark.line + 1
        if isinstance(event, yaml.DocumentStartEvent) and root is not None:
            raise _broken(name, line, "a second document after `---`", "one job a file")
        if isinstance(event, yaml.AliasEvent):
            if event.anchor not in anchors:
                raise _broken(name, line, f"*{event.anchor}", "a text", "Put a text that begins with * in quotes.")
            put(anchors[event.anchor])
        elif isinstance(event, yaml.ScalarEvent):
            if event.style == '"' and (odd := _ODD.search(event.value)):  # written as an escape, such as \0
                raise _odd(name, line, odd)
            node = Text(line, event.value)
            if event.anchor:
                anchors[event.anchor] = node
            put(node)
        elif isinstance(event, (yaml.SequenceStartEvent, yaml.MappingStartEvent)):
            if len(stack) >= _DEEPEST:  # before anything is put, so that the parser is not asked to go deeper
                raise _broken(name, line, f"more than {_DEEPEST} levels inside each other", "a job file")
            stack.append(Many(line) if isinstance(event, yaml.SequenceStartEvent) else Keyed(line))
            keys.append(None)
            anchor_of.append(event.anchor)
        elif isinstance(event, (yaml.SequenceEndEvent, yaml.MappingEndEvent)):
            done = stack.pop()
            keys.pop()
            inside = done.items if isinstance(done, Many) else [v for _, v in done.pairs]
            size = 1 + sum(v.size for v in inside)
            total -= size - 1  # its parts were counted one by one; `put` counts the whole
            done.size = size
            done.depth = 1 + max((v.depth for v in inside), default=0)
            if anchor := anchor_of.pop():
                anchors[anchor] = done
            put(done)
    return root


# What the YAML parser says, and what a person has usually done.
_SAYINGS: Final = (
    ("tab character", "a tab", "blanks to indent with", "Replace the tab by blanks."),
    ("'\\t'", "a tab", "blanks to indent with", "Replace the tab by blanks."),
    ("mapping values are not allowed", "a colon too many, or a line indented too far", "one `key: value`",
     "Put a text that holds a colon and a blank in quotes."),
    ("could not find expected ':'", "a line without `key:`", "`key: value`", "Is a colon missing?"),
    ("expected key", "a line that does not fit those above it", "`key: value` indented like its neighbours",
     "A value that begins with a quote must end with it."),
    ("expected '-' indicator", "a line that does not fit the list above it", "an entry that begins with a dash",
     "Indent it like its neighbours."),
    ("expected ',' or", "brackets that are not closed", "[a, b] on one line", "Is a comma or a bracket missing?"),
    ("end of stream", "quotes or brackets that are not closed", "both ends of them",
     "Write 5'-11 3/8\" without quotes around it."),
    ("escape character", "a backslash in quotes", "the text as it is", "Use single quotes."),
    ("cannot start any token", "a mark that no text may begin with", "a text", "Put the text in quotes."),
    ("node content", "brackets that are not closed", "[a, b] on one line", "Is a bracket missing?"),
    ("nesting depth", "brackets inside brackets without end", "lines of `key: value`", ""),
    ("<document start>", "a line that is neither `key: value` nor a list entry", "lines of `key: value`",
     "Is this another kind of file?"),
    ("directive", "a line that begins with %", "lines of `key: value`", ""),
    ("duplicate anchor", "the same anchor twice", "every anchor once", ""),
)  # fmt: skip


def syntax_fault(error: yaml.MarkedYAMLError, text: str, name: str) -> Fault:
    """Return the fault that an error of the YAML parser stands for."""
    mark = error.problem_mark or error.context_mark
    lines = text.split("\n")
    line = min(mark.line + 1, len(lines)) if mark else 0  # the parser may stand behind the last line
    shown = lines[line - 1] if 0 < line <= len(lines) else ""
    problem = error.problem or "text that is no YAML"
    if "duplicate anchor" in (error.context or ""):
        problem = "duplicate anchor"
    if "\t" in shown[: len(shown) - len(shown.lstrip(" \t-"))]:
        problem = "tab character"
    said = next((s for s in _SAYINGS if s[0] in problem), ("", problem, "lines of `key: value`", ""))
    _, found, wanted, do = said
    shown = " ".join(shown.split())[:50]
    return Fault(name, line, "file", f'{found} at "{shown}"' if shown else found, wanted, do)
