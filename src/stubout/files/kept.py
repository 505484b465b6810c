"""Routes and questions that `keep` writes, put into the text of a job file; everything else stays letter for letter.

The text is composed by the parser that reads job files, which tells where every entry begins; the new text is read
again before it is handed out. The field app changes single values in place with an editor that keeps comments
(`web.yaml_edit`, an extra); here whole entries come and go, and the command line has to do it as installed.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from typing import Any

import yaml

from stubout.files.job_tree import LOADER, syntax_fault
from stubout.files.job_words import key_of, shown_key
from stubout.problems import Fault, JobFileError

Value = str | Sequence["Value"] | Mapping[str, "Value"]


def with_entries(
    text: str,
    listed: str,
    entries: Sequence[Mapping[str, Value]],
    out: Callable[[Mapping[str, str]], bool] = lambda _: False,
    *,
    path: str = "",
) -> str:
    """Return the text of a job file with entries added to a list of it, and some taken out.

    Args:
        text: The job file.
        listed: The key of the list.
        entries: What to add.
        out: Which entries to take out, by what they say.
        path: What faults are told of.

    Raises:
        JobFileError: If the list is written in brackets, so that nothing can be put there line by line, or an anchor
            of the text is given twice.
    """
    try:
        root = yaml.compose(text, Loader=LOADER)
    except yaml.MarkedYAMLError as error:  # the same anchor twice, which reading alone puts up with
        raise JobFileError([syntax_fault(error, text, path)]) from None
    pairs = root.value if isinstance(root, yaml.MappingNode) else []
    node = next((v for k, v in pairs if key_of(str(k.value)) == listed), None)
    if node is None or (isinstance(node, yaml.ScalarNode) and not node.value):
        return _begun(_without_key(text, root, listed), listed, entries)
    if not isinstance(node, yaml.SequenceNode) or node.flow_style:
        raise JobFileError(
            [Fault(path, node.start_mark.line + 1, listed, "a list in brackets", "one entry a line, each with a dash")]
        )
    lines = text.splitlines(keepends=True)
    dash = " " * (node.start_mark.column)
    starts = [e.start_mark.line for e in node.value]
    end = _end_of(lines, node)
    stay: list[str] = []
    for n, entry in enumerate(node.value):
        if not out(_said(entry)):
            stay += lines[starts[n] : starts[n + 1] if n + 1 < len(starts) else end]
    head, tail = lines[: starts[0]], lines[end:]
    if stay and not stay[-1].endswith("\n"):
        stay[-1] += "\n"
    if not stay and not entries:
        raise JobFileError([Fault("", starts[0] + 1, listed, "no entry left", "at least one, or no such list at all")])
    return "".join((*head, *stay, *_written(entries, dash), *tail))


def _without_key(text: str, root: Any, listed: str) -> str:
    """Return the text without the key of an empty list."""
    for key, _ in root.value:
        if key_of(str(key.value)) == listed:
            lines = text.splitlines(keepends=True)
            return "".join((*lines[: key.start_mark.line], *lines[key.start_mark.line + 1 :]))
    return text


def _begun(text: str, listed: str, entries: Sequence[Mapping[str, Value]]) -> str:
    """Return the text with a list at its end."""
    if not entries:
        return text
    gap = "" if text.endswith("\n") else "\n"
    return f"{text}{gap}\n{listed}:\n" + "".join(_written(entries, "  "))


def _end_of(lines: list[str], node: yaml.SequenceNode) -> int:
    """Return the line after the last one that belongs to a list."""
    last = node.value[-1]
    while not isinstance(last, yaml.ScalarNode) and last.value and not last.flow_style:
        last = last.value[-1][1] if isinstance(last, yaml.MappingNode) else last.value[-1]
    return min(len(lines), int(last.end_mark.line) + int(last.end_mark.column > 0))


def _said(entry: Any) -> dict[str, str]:
    """Return what an entry says in one word a key."""
    if not isinstance(entry, yaml.MappingNode):
        return {}
    return {shown_key(key_of(str(k.value))): str(v.value) for k, v in entry.value if isinstance(v, yaml.ScalarNode)}


def kept_before(route: Mapping[str, str]) -> bool:
    """Return whether a route was written by `keep` and may be written anew: kept, not installed."""
    return route.get("kept", "").strip().lower() in ("yes", "true", "y")


def _written(entries: Sequence[Mapping[str, Value]], dash: str) -> list[str]:
    out: list[str] = []
    for entry in entries:
        mark = "- "
        for key, value in entry.items():
            if isinstance(value, str | Mapping):
                out.append(f"{dash}{mark}{key}: {_flow(value)}\n")
            else:
                out.append(f"{dash}{mark}{key}:\n")
                out += [f"{dash}    - {_plain(v)}\n" for v in value]
            mark = "  "
    return out


def _plain(value: Value) -> str:
    """Return an entry of a list on a line of its own; a length begins with a digit or a sign and needs no quotes."""
    if isinstance(value, str) and value[:1].isascii() and (value[:1].isdigit() or value[:1] == "-"):
        return value
    return _flow(value)


def _flow(value: Value) -> str:
    """Return a value in one line, texts quoted where they have to be."""
    if isinstance(value, str):
        if value and all(c.isalnum() or c in " .-/" for c in value) and value[0].isalnum() and not value.endswith(" "):
            return value
        return '"' + value.replace("\\", "\\\\").replace('"', '\\"') + '"'
    if isinstance(value, Mapping):
        return "{" + ", ".join(f"{_flow(str(k))}: {_flow(v)}" for k, v in value.items()) + "}"
    return "[" + ", ".join(_flow(v) for v in value) + "]"
