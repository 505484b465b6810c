"""Where things stand in the lines of a job file: values, blocks of a list, ids."""

from __future__ import annotations

import random
import re

from seeds import LINE

Lines = list[str]


def indent(line: str) -> int:
    """Return how many blanks lead a line."""
    return len(line) - len(line.lstrip(" "))


def told(lines: Lines) -> list[int]:
    """Return the numbers of the lines that say something."""
    return [n for n, line in enumerate(lines) if line.strip() and not line.lstrip().startswith("#")]


def valued(lines: Lines) -> list[int]:
    """Return the numbers of the lines with a key and a value."""
    return [n for n, line in enumerate(lines) if LINE.match(line)]


def end_of(lines: Lines, start: int) -> int:
    """Return the line after the block that begins at a line: what is indented deeper belongs to it."""
    own = indent(lines[start])
    end = start + 1
    while end < len(lines) and (not lines[end].strip() or indent(lines[end]) > own):
        end += 1
    return end


def entries(lines: Lines) -> list[int]:
    """Return the numbers of the lines that begin an entry of a list."""
    return [n for n in told(lines) if lines[n].lstrip().startswith("- ")]


def pick(places: list[int], chance: random.Random) -> int | None:
    """Return one of the places, None if there is none."""
    return chance.choice(places) if places else None


def with_value(line: str, value: str) -> str:
    """Return a line with another value."""
    match = LINE.match(line)
    assert match
    return f"{match['lead']}{match['key']}:{match['gap']}{value}{match['tail']}"


def value_of(line: str) -> str:
    """Return the value of a line."""
    match = LINE.match(line)
    assert match
    return match["value"]


def key_of(line: str) -> str:
    """Return the key of a line, "" if it has none."""
    match = re.match(r"\s*(?:- )?([A-Za-z][\w ]*):", line)
    return match[1] if match else ""


def ids(lines: Lines) -> list[str]:
    """Return the ids and tags of the job."""
    return [value_of(lines[n]) for n in valued(lines) if key_of(lines[n]) in ("id", "tag")]
