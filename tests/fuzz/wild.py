"""Changes that break the text: wrong types, nesting, anchors, tabs, control characters, half a file."""

from __future__ import annotations

import random
from typing import Final

from blocks import Lines, end_of, indent, key_of, pick, told, value_of, valued, with_value
from seeds import words_of

_JUNK: Final = (
    "", "~", "-", "--", "0", "-0", "-1", "+1", "1e30", "1e400", "-1e400", "nan", "NaN", "inf", "-inf", ".inf", ".nan",
    "999999999", "9" * 59, "9" * 5000, "0.0000001", "1e-320", "-9999 ft", "1000 m", "5-11 3/8", "5'-11 3/8\"", "3/0",
    "0/0", "1 1/0", "½\"", "½", "٣٤", "１２", "²", "Ⅷ mm", "12 mm mm", "12,5", "1.2.3", "..", ".", "1_000", "0x10",
    "0o7",
    "1:30:00", "yes", "no", "on", "null", "P", "N, S", ",", ",,,", "1,", ", 1", "1, 2, 3, 4", "[]", "{}", "[[]]",
    "[1, 2, 3]", "[~]", "[[1, 2], [3, 4]]", "{a: b}", "{: }", "{[1]: 2}", "? a", "&a b", "*a", "<<: *a", "!!int x",
    "!!python/object/apply:os.system [echo]", "!x y", "\"", "'", "''", "\"\\x07\"", "\"\\u0000\"", "\"\\ud800\"",
    "\"a\\nb\"", "|", ">", "|-9", "@x", "`x`", "%x", "é", "\t", "1:0", "0:0", "2 %", "DN 50", "1/4 in/ft",
    "90 deg", "89.9999 deg", "water closet", "WATER  CLOSET", "x" * 5000, "a: b", "- - - 1", "2001-01-01",
    "°C", "°", "C",
    "-300 C", "nan C", "1e308 C", "15 min", "99999 h", "\u2028", "\u00a0", "\ufeff", "\u200b", "\x7f",
    "\x1b[31m", "\x00",
    "0:12", "5:0", "1e9:12", "5/12", "true", "False", "sewer", "unknown", "*", "&", "#", "a #b", "…",
)  # fmt: skip
_LEADS: Final = ("\t", " ", "  ", "   ", "        ", "- ", "- - ", "? ", "\u00a0", "-\t")
_CONTROL: Final = "\x00\x01\x07\x08\x0b\x0c\x1b\x1f\x7f\x85\u2028\u2029\ufeff\ufffe\u200b\u202e\U0001f6bf\ud800"
_LONG: Final = (200, 1023, 1025, 5000, 70_000)


def junk_value(lines: Lines, chance: random.Random) -> None:
    """Put something under a key that does not go there."""
    if (at := pick(valued(lines), chance)) is not None:
        lines[at] = with_value(lines[at], chance.choice(_JUNK))


def junk_part(lines: Lines, chance: random.Random) -> None:
    """Put something odd in place of one part of a list written on a line."""
    places = [n for n in valued(lines) if "," in value_of(lines[n])]
    if (at := pick(places, chance)) is not None:
        parts = value_of(lines[at]).split(",")
        parts[chance.randrange(len(parts))] = f" {chance.choice(_JUNK)}"
        lines[at] = with_value(lines[at], ",".join(parts))


def wrong_kind(lines: Lines, chance: random.Random) -> None:
    """Make a value of a block, a block of a value, a list of either."""
    if (at := pick(told(lines), chance)) is None:
        return
    end, blanks = end_of(lines, at), " " * (indent(lines[at]) + 4)
    head = lines[at].split(":")[0] + ":"
    new = chance.choice((
        [f"{head} {chance.choice(_JUNK)}"], [head, f"{blanks}- {chance.choice(_JUNK)}"], [head, f"{blanks}a: b"],
        [f"{head} [{lines[at].strip()}]"], [f"{head} {{{lines[at].strip()}}}"], [head, f"{blanks}- id: A",
        f"{blanks}  b: c"],
        [f"{head} |", f"{blanks}text"], [f"{head} >-", f"{blanks}1", f"{blanks}2"], [head],
    ))  # fmt: skip
    lines[at:end] = new


def second_key(lines: Lines, chance: random.Random) -> None:
    """Say a key twice, with another value or with another spelling of the key."""
    if (at := pick(valued(lines), chance)) is not None:
        again = lines[at].replace("- ", "  ", 1) if lines[at].lstrip().startswith("- ") else lines[at]
        spelt = chance.choice((str, str.upper, str.title))
        key = key_of(lines[at])
        lines.insert(at + 1, again.replace(key, spelt(key).replace(" ", chance.choice(" _-")), 1))


def other_key(lines: Lines, chance: random.Random) -> None:
    """Misspell a key, or put another key in its place."""
    if (at := pick(valued(lines), chance)) is not None:
        key = key_of(lines[at])
        cut = chance.randrange(len(key))
        new = chance.choice((key[:cut] + key[cut + 1 :], key + "s", key[:cut] + "é" + key[cut:], "", "<<", "x" * 2000,
                             chance.choice(list(words_of()))))  # fmt: skip
        lines[at] = lines[at].replace(key, new, 1)


def copied_lines(lines: Lines, chance: random.Random) -> None:
    """Copy some lines to somewhere else, as they are."""
    if (at := pick(told(lines), chance)) is not None:
        block = lines[at : at + chance.choice((1, 2, 5, 20))] * chance.choice((1, 1, 2, 30))
        to = chance.randrange(len(lines))
        lines[to:to] = block


def dropped_lines(lines: Lines, chance: random.Random) -> None:
    """Lose some lines anywhere."""
    if lines:
        at = chance.randrange(len(lines))
        del lines[at : at + chance.choice((2, 5, 20, 200))]


def other_indent(lines: Lines, chance: random.Random) -> None:
    """Shift a line, with a blank, a tab or a dash too many or too few."""
    if (at := pick(told(lines), chance)) is not None:
        bare = lines[at].lstrip(" -") if chance.random() < 0.3 else lines[at]
        lines[at] = chance.choice(_LEADS) + bare if chance.random() < 0.7 else bare[1:]


def nested(lines: Lines, chance: random.Random) -> None:
    """Put lists or groups inside each other, deep, as a value or as lines."""
    depth = chance.choice((3, 39, 41, 300, 5000, 50_000))
    opens, closes = chance.choice((("[", "]"), ("{a: ", "}"), ("[", ""), ("{", ""), ("- ", "")))
    if (at := pick(valued(lines), chance)) is not None:
        lines[at] = with_value(lines[at], opens * depth + "1" + closes * depth)
    if chance.random() < 0.2:
        lines += [" " * n + "- a:" if n % 2 else " " * n + "b:" for n in range(min(depth, 300))]


def aliases(lines: Lines, chance: random.Random) -> None:
    """Let anchors multiply each other, or one hold itself."""
    wide, deep = chance.choice(((10, 9), (2, 60), (1000, 3), (3, 3)))
    bomb = ["a0: &a0 [1, 2]"]
    bomb += [f"a{n}: &a{n} [{', '.join([f'*a{n - 1}'] * wide)}]" for n in range(1, deep)]
    new = chance.choice(
        (bomb, ["a: &a [*a]"], ["a: &a {b: *a}"], ["a: &a 1", "b: &a 2"], ["<<: *none"], ["x: &x", "<<: *x"])
    )
    to = chance.choice((0, len(lines)))
    lines[to:to] = new
    if (at := pick(valued(lines), chance)) is not None and chance.random() < 0.5:
        lines[at] = with_value(lines[at], chance.choice(("*a", "*a1", f"*a{deep - 1}", f"&a {value_of(lines[at])}")))


def anchored_value(lines: Lines, chance: random.Random) -> None:
    """Let one line say what another says, by anchor and alias: this is allowed."""
    if (at := pick(valued(lines), chance)) is not None:
        key = key_of(lines[at])
        later = [n for n in valued(lines) if n > at and key_of(lines[n]) == key]
        if later:
            lines[at] = with_value(lines[at], f"&same {value_of(lines[at])}")
            lines[chance.choice(later)] = with_value(lines[later[0]], "*same")


def control_character(lines: Lines, chance: random.Random) -> None:
    """Put a character nobody types into a line."""
    if (at := pick(told(lines), chance)) is not None:
        to = chance.randrange(len(lines[at]) + 1)
        lines[at] = lines[at][:to] + chance.choice(_CONTROL) + lines[at][to:]


def long_line(lines: Lines, chance: random.Random) -> None:
    """Make a value, a key or a comment very long."""
    if (at := pick(valued(lines), chance)) is not None:
        much = chance.choice(_LONG)
        what = chance.choice(
            ("x" * much, "1, " * much, "9" * much, "é" * much, " " * much + "1", "'" * much, "1 " * much)
        )
        lines[at] = chance.choice((with_value(lines[at], what), f"{what}: 1", f"{lines[at]} # {what}"))


def document_mark(lines: Lines, chance: random.Random) -> None:
    """Put a mark of the text format where none is wanted."""
    mark = chance.choice(
        ("---", "...", "%YAML 1.1", "%TAG ! x", "--- a", "? ", ": ", "- ", "!!map", "|", "}", "]", "#")
    )
    lines.insert(chance.randrange(len(lines) + 1), mark)


CHANGES: Final = (
    junk_value, junk_value, junk_value, junk_part, junk_part, wrong_kind, wrong_kind, second_key, other_key,
    copied_lines, dropped_lines, other_indent, nested, aliases, anchored_value, control_character, long_line,
    document_mark,
)  # fmt: skip


def truncated(data: bytes, chance: random.Random) -> bytes:
    """Keep the beginning only."""
    return data[: chance.randrange(len(data) + 1)]


def windows_lines(data: bytes, chance: random.Random) -> bytes:
    """End the lines as another system does."""
    return data.replace(b"\n", chance.choice((b"\r\n", b"\r", b"\n\r", b"\r\r\n")))


def byte_order_mark(data: bytes, chance: random.Random) -> bytes:
    """Begin with a mark of the byte order, the right or a wrong one."""
    return chance.choice((b"\xef\xbb\xbf", b"\xef\xbb\xbf" * 2, b"\xff\xfe", b"\xfe\xff", b"\x00")) + data


def other_bytes(data: bytes, chance: random.Random) -> bytes:
    """Change some bytes into others."""
    out = bytearray(data)
    for _ in range(chance.choice((1, 1, 2, 10, 200))):
        if out:
            out[chance.randrange(len(out))] = chance.choice(
                (chance.randrange(256), 0, 9, 10, 32, 34, 39, 58, 91, 123, 255)
            )
    return bytes(out)


def other_encoding(data: bytes, chance: random.Random) -> bytes:
    """Write the text in another encoding."""
    text = data.decode("utf-8", "replace")
    return text.encode(chance.choice(("utf-16", "utf-16-le", "latin-1", "utf-32", "cp037", "utf-7")), "replace")


def only_bytes(data: bytes, chance: random.Random) -> bytes:
    """Throw the job away and write anything."""
    return chance.randbytes(chance.choice((0, 1, 2, 50, 5000))) or data[:3]


BYTE_CHANGES: Final = (
    truncated, truncated, windows_lines, windows_lines, byte_order_mark, other_bytes, other_bytes,
    other_encoding, only_bytes,
)  # fmt: skip
