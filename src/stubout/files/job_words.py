"""The fields of a job record as a person is told of them: what is wanted there, and which word was perhaps meant."""

from __future__ import annotations

import difflib
import types
from collections.abc import Iterable, Sequence
from enum import StrEnum
from typing import Annotated, Any, Literal, Union, get_args, get_origin

from pydantic import BeforeValidator, WithJsonSchema
from pydantic.fields import FieldInfo

from stubout.job.model import Record

_TITLED = {
    "length": 'a length such as 14 3/4", 5\'-11" or 375 mm',
    "slope": "a slope such as 1/4 in/ft, 2 % or 1:50",
    "pipe size": 'a pipe size such as 1-1/2, 2" or DN 50',
    "temperature": "a temperature such as -5 F or -20 C",
}
_COUNTED = {2: "two", 3: "three"}
OURS = ("line", "source", "file_lines")  # filled in by the reader
# What people say, and the word of the job file for it.
_SAID_FOR = {
    "toilet": "water closet", "wc": "water closet", "closet": "water closet", "basin": "lavatory",
    "bathroom sink": "lavatory", "vanity": "lavatory", "hand basin": "lavatory", "lav": "lavatory", "tub": "bathtub",
    "bath": "bathtub", "tub shower": "bathtub", "washer": "clothes washer", "washing machine": "clothes washer",
    "standpipe": "clothes washer", "laundry": "clothes washer", "laundry sink": "laundry tray",
    "utility sink": "laundry tray", "dish washer": "dishwasher", "island sink": "kitchen sink",
    "metric": "mm", "millimetres": "mm", "millimeters": "mm", "imperial": "inch", "feet": "inch", "ft": "inch",
    "iron": "cast iron", "ci": "cast iron", "no hub": "cast iron", "galv": "galvanized",
    "galvanised": "galvanized", "galvanized steel": "galvanized", "steel": "galvanized",
    "in": "inch", "septic": "septic tank", "tank": "septic tank", "existing": "existing pipe",
    "concrete": "slab", "crawl": "ground", "crawl space": "ground", "dirt": "ground", "earth": "ground",
    "joist": "sawn", "joists": "sawn", "lumber": "sawn", "dimensional": "sawn", "i joists": "i-joist",
    "floor truss": "open-web", "trusses": "truss",
}  # fmt: skip


def key_of(name: str) -> str:
    """Return a key in its one inner spelling: `Wall Height`, `wall-height` and `wall_height` are the same key."""
    return "_".join(name.replace("-", " ").replace("_", " ").lower().split())


def shown_key(key: str) -> str:
    """Return a key as the user sees it, with blanks."""
    return key.rstrip("_").replace("_", " ")


def fields_of(record: type[Record]) -> dict[str, str]:
    """Return the keys a record knows (inner spelling) with the names of their fields; not those that are ours."""
    return {key_of(name): name for name in record.model_fields if name not in OURS}


def plain_type(annotation: Any) -> tuple[Any, tuple[Any, ...]]:
    """Return an annotation without `Annotated` and `| None`, and the metadata met on the way."""
    meta: tuple[Any, ...] = ()
    while True:
        origin = get_origin(annotation)
        if origin is Annotated:
            annotation, *more = get_args(annotation)
            meta += tuple(more)
        elif origin in (Union, types.UnionType):
            annotation = next(a for a in get_args(annotation) if a is not type(None))
        else:
            return annotation, meta


def field_type(info: FieldInfo) -> tuple[Any, tuple[Any, ...]]:
    """Return the plain type of a field and its metadata."""
    plain, meta = plain_type(info.annotation)
    return plain, (*info.metadata, *meta)


def record_in(plain: Any) -> type[Record] | None:
    """Return the record of `X` or `tuple[X, ...]`, None for anything else."""
    if isinstance(plain, type) and issubclass(plain, Record):
        return plain
    if get_origin(plain) is tuple and (args := get_args(plain)):
        return record_in(plain_type(args[0])[0])
    return None


def words_in(plain: Any) -> tuple[str, ...]:
    """Return the words a field may hold, none if it is no choice."""
    if get_origin(plain) is Literal:
        return tuple(str(w) for w in get_args(plain))
    if isinstance(plain, type) and issubclass(plain, StrEnum):
        return tuple(w.value for w in plain)
    return ()


def type_at(root: type[Record], loc: Sequence[str | int]) -> tuple[Any, tuple[Any, ...]]:
    """Return the plain type and metadata at a path of keys and numbers."""
    plain: Any = root
    meta: tuple[Any, ...] = ()
    for part in loc:
        args = get_args(plain)
        if isinstance(part, int) and get_origin(plain) is tuple:
            plain, meta = plain_type(args[min(part, len(args) - 1) if args[-1] is not Ellipsis else 0])
        elif isinstance(plain, type) and issubclass(plain, Record):
            name = fields_of(plain).get(key_of(str(part)))
            if name is None:
                return str, ()
            plain, meta = field_type(plain.model_fields[name])
        elif get_origin(plain) is dict:
            plain, meta = plain_type(args[1])
        else:
            return plain, meta
    return plain, meta


def is_plain_list(plain: Any, meta: Iterable[Any]) -> bool:
    """Return whether a field takes a list of texts and nothing else: sentences, in which a comma parts nothing."""
    return (
        get_origin(plain) is tuple
        and get_args(plain) == (str, Ellipsis)
        and not any(isinstance(note, BeforeValidator) for note in meta)
    )


def wanted(plain: Any, meta: Iterable[Any] = ()) -> str:
    """Return what a field wants, in words."""
    meta = tuple(meta)
    for note in meta:
        if isinstance(note, WithJsonSchema) and note.json_schema:
            if title := note.json_schema.get("title"):
                return _TITLED[title]
            return "yes or no"
    if words := words_in(plain):
        return one_of(words)
    if get_origin(plain) is tuple:
        args = get_args(plain)
        item, item_meta = plain_type(args[0])
        if record_in(item):
            return "a list, each entry begun with a dash"
        if is_plain_list(plain, meta):
            return "a list, each text on a line of its own that begins with a dash"
        several = "lengths" if any(isinstance(n, WithJsonSchema) for n in item_meta) else "words"
        if args[-1] is Ellipsis:
            return f"{several} with commas between"
        return f"{_COUNTED[len(args)]} {several} with a comma between"
    if get_origin(plain) is dict or record_in(plain):
        return "lines of `key: value`"
    return {int: "a whole number", float: "a number", bool: "yes or no"}.get(plain, "a text")


def one_of(words: Sequence[str]) -> str:
    """Return `one of a, b, c`."""
    named = [w or '""' for w in words]
    return f"one of {', '.join(named)}" if len(named) > 1 else (named[0] if named else "nothing")


def _folded(word: str) -> str:
    return key_of(word).replace("_", " ")


def same_word(text: str, words: Iterable[str]) -> str | None:
    """Return the word that differs from the text only in capitals, blanks and hyphens."""
    return next((w for w in words if _folded(w) == _folded(text)), None)


def nearest(text: str, words: Iterable[str]) -> str | None:
    """Return the word that was perhaps meant, None if nothing is near."""
    by_fold = {_folded(w): w for w in words}
    if (said := _SAID_FOR.get(_folded(text[:80]))) and _folded(said) in by_fold:
        return by_fold[_folded(said)]
    near = difflib.get_close_matches(_folded(text[:80]), list(by_fold), n=1, cutoff=0.6)
    return by_fold[near[0]] if near else None


def did_you_mean(text: str, words: Iterable[str]) -> str:
    """Return `Did you mean "x"?`, empty if nothing is near."""
    near = nearest(text, words)
    return "" if near is None else f'Did you mean "{near}"?'


def quoted(text: str) -> str:
    """Return a text in quotes, cut short; `nothing` for an empty one."""
    short = cut_short(text)
    return f'"{short}"' if short else "nothing"


def cut_short(text: str) -> str:
    """Return a text on one line, cut short."""
    short = " ".join(text.split())
    return f"{short[:57]}..." if len(short) > 60 else short
