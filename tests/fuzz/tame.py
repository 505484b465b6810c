"""Changes a person makes: another number, another word, an entry more or less. Most leave a job that can be read."""

from __future__ import annotations

import random
import re
from typing import Final

from blocks import Lines, end_of, entries, ids, indent, key_of, pick, told, value_of, valued, with_value
from seeds import words_of

_NUMBER: Final = re.compile(r"\d+(?:\.\d+)?")
_NUMBERS: Final = ("0", "1", "2", "3", "5", "7", "11", "13", "24", "60", "99", "240", "1000", "0.5", "0.001", "12.5")
_NAMES: Final = (
    "a", "A 1", "x/y", "../up", "²", "٣", "Ⅷ", "wand-ä", "壁", "🚿", "a.b", "sewer", "P'", "on", "1", "01", "1e3", "_",
    "W" * 300, "<b>", "&amp;", "#{}", "$x$", "a, b", "N°2", "\u0301", "con", "\u200fabc", "\\n", "~x", "@", "*", "[",
    "%s {0}",
)  # fmt: skip


def drop_line(lines: Lines, chance: random.Random) -> None:
    """Leave one line away."""
    if (at := pick(told(lines), chance)) is not None:
        del lines[at]


def drop_entry(lines: Lines, chance: random.Random) -> None:
    """Leave one entry of a list away, with all its lines."""
    if (at := pick(entries(lines), chance)) is not None:
        del lines[at : end_of(lines, at)]


def drop_block(lines: Lines, chance: random.Random) -> None:
    """Leave a key away, with all that stands under it."""
    if (at := pick(told(lines), chance)) is not None:
        del lines[at : end_of(lines, at)]


def copy_entry(lines: Lines, chance: random.Random) -> None:
    """Say an entry twice, the second time under another id."""
    if (at := pick(entries(lines), chance)) is not None:
        block = lines[at : end_of(lines, at)]
        new = [re.sub(r"((?:id|tag): *)(\S+)", rf"\1\g<2>{chance.randint(2, 99)}", line, count=1) for line in block[:1]]
        lines[at:at] = [*new, *block[1:]]


def swap_entries(lines: Lines, chance: random.Random) -> None:
    """Exchange two neighbouring entries of a list."""
    if (at := pick(entries(lines), chance)) is not None:
        middle = end_of(lines, at)
        if middle < len(lines) and indent(lines[middle]) == indent(lines[at]):
            end = end_of(lines, middle)
            lines[at:end] = lines[middle:end] + lines[at:middle]


def swap_values(lines: Lines, chance: random.Random) -> None:
    """Exchange the values of two lines, most often of the same key."""
    if (at := pick(valued(lines), chance)) is not None:
        same = [n for n in valued(lines) if chance.random() < 0.05 or key_of(lines[n]) == key_of(lines[at])]
        other = chance.choice(same or [at])
        one, two = value_of(lines[at]), value_of(lines[other])
        lines[at], lines[other] = with_value(lines[at], two), with_value(lines[other], one)


def other_word(lines: Lines, chance: random.Random) -> None:
    """Put another value that goes under the same key, in this job or in another."""
    if (at := pick(valued(lines), chance)) is not None:
        lines[at] = with_value(lines[at], chance.choice(words_of().get(key_of(lines[at]), ("",))))


def other_number(lines: Lines, chance: random.Random) -> None:
    """Change one number of a value: a slip of a digit, twice as much, half of it, a minus before it."""
    places = [n for n in valued(lines) if _NUMBER.search(value_of(lines[n]))]
    if (at := pick(places, chance)) is None:
        return
    value = value_of(lines[at])
    match = chance.choice(list(_NUMBER.finditer(value)))
    number = float(match[0])
    factor = chance.choice((0.5, 2.0, 10.0, 0.1, 1.1))
    new = chance.choice((*_NUMBERS, f"{number * factor:g}", f"{number + 1:g}", f"-{match[0]}", f"{match[0]}0"))
    lines[at] = with_value(lines[at], value[: match.start()] + new + value[match.end() :])


def turned_sign(lines: Lines, chance: random.Random) -> None:
    """Put a minus before a length, or take it away."""
    places = [n for n in valued(lines) if re.match(r"-?\d", value_of(lines[n]))]
    if (at := pick(places, chance)) is not None:
        value = value_of(lines[at])
        lines[at] = with_value(lines[at], value[1:] if value.startswith("-") else f"-{value}")


def other_name(lines: Lines, chance: random.Random) -> None:
    """Give a thing another id, everywhere the old one stands."""
    names = ids(lines)
    if not names:
        return
    old, new = chance.choice(names), chance.choice(_NAMES)
    quoted = "'" + new.replace("'", "''") + "'" if chance.random() < 0.7 else new
    for n in valued(lines):
        if value_of(lines[n]) == old:
            lines[n] = with_value(lines[n], quoted)


def other_reference(lines: Lines, chance: random.Random) -> None:
    """Let a line name another thing of the job."""
    names = ids(lines)
    places = [n for n in valued(lines) if value_of(lines[n]) in names]
    if (at := pick(places, chance)) is not None:
        lines[at] = with_value(lines[at], chance.choice(names))


def added_key(lines: Lines, chance: random.Random) -> None:
    """Add a key beside a line, one of its own record or of any other, with a value that goes under it."""
    if (at := pick(valued(lines), chance)) is not None:
        blanks = " " * (indent(lines[at]) + (2 if lines[at].lstrip().startswith("- ") else 0))
        near = {key_of(line) for line in lines if indent(line) == len(blanks)} & set(words_of())
        key = chance.choice(sorted(near) if near and chance.random() < 0.7 else list(words_of()))
        lines.insert(at + 1, f"{blanks}{key}: {chance.choice(words_of()[key])}")


def odd_text(lines: Lines, chance: random.Random) -> None:
    """Put odd characters into a title or another free text."""
    free = ("title", "what", "address", "permit", "revision", "issued", "why", "text", "serves", "ask", "B", "I")
    places = [n for n in valued(lines) if key_of(lines[n]) in free]
    if (at := pick(places, chance)) is not None:
        lines[at] = with_value(lines[at], "'" + chance.choice(_NAMES).replace("'", "''") + "'")


CHANGES: Final = (
    drop_line, drop_entry, drop_block, copy_entry, swap_entries, swap_values, other_word, other_word, other_number,
    other_number, other_number, turned_sign, other_name, other_reference, added_key, odd_text,
)  # fmt: skip
