"""Jobs made up from the record model alone: every key any value, by hypothesis."""

from __future__ import annotations

from typing import Any, Final, get_args, get_origin

import yaml
from hypothesis import strategies as st
from seeds import words_of

from stubout.files.job_words import field_type, plain_type, record_in, shown_key, words_in
from stubout.job.model import Job, Record

_REQUIRED: Final = 0.97  # share of the needed keys that are there
_ODD: Final = st.one_of(
    st.text(max_size=12),
    st.floats().map(str),
    st.integers(-(10**6), 10**6).map(str),
    st.none(),
    st.booleans(),
    st.lists(st.text(max_size=3), max_size=3),
    st.dictionaries(st.text(max_size=3), st.text(max_size=3), max_size=2),
)
_NAMES: Final = st.sampled_from(("A", "B", "C", "main", "²", "a b"))
_LENGTHS: Final = st.one_of(
    st.integers(-100, 9000).map(str),
    st.tuples(st.integers(-20, 60), st.integers(0, 13)).map(lambda p: f"{p[0]}'-{p[1]}\""),
    st.fractions(-20, 200, max_denominator=16).map(lambda f: f"{f} mm"),
    st.floats(-1e4, 1e4).map(lambda f: f"{f} mm"),
)


def texts() -> st.SearchStrategy[str]:
    """Return texts built from what YAML is built of, and a few that are anything."""
    marks = st.sampled_from((": ", ":\n", "- ", "\n", "\n  ", "\n    ", "[", "]", "{", "}", ", ", "&a ", "*a", "'", '"',
                             "|\n", ">\n", "#", "? ", "\t", "%", "---\n", "<<: ", "\\", "\r", "\0", "~",
                             "!!x "))  # fmt: skip
    words = st.sampled_from(("stubout", "1", "job", "walls", "id", "levels", *list(words_of())))
    return st.one_of(st.text(), st.lists(st.one_of(marks, words, st.text(max_size=4)), max_size=60).map("".join))


@st.composite
def jobs(draw: st.DrawFn) -> str:
    """Return the text of a job of the shape of the model; most of its values fit their keys, most of its ids do not."""
    whole = draw(_record(Job))
    whole["stubout"] = "1"
    return yaml.safe_dump(whole, allow_unicode=True, sort_keys=False, default_flow_style=draw(st.booleans()))


@st.composite
def _record(draw: st.DrawFn, kind: type[Record]) -> dict[str, Any]:
    out: dict[str, Any] = {}
    for name, info in kind.model_fields.items():
        if name in ("line", "source") or (not info.is_required() and draw(st.integers(0, 5)) != 0):
            continue
        if draw(st.integers(0, 99)) < 100 * _REQUIRED:
            key = shown_key(info.alias or name)
            out[key] = draw(_ODD if draw(st.integers(0, 99)) == 0 else _value(name, *field_type(info)))
    return out


def _value(name: str, plain: Any, meta: tuple[Any, ...]) -> st.SearchStrategy[Any]:
    if inner := record_in(plain):
        return _record(inner) if plain is inner else st.lists(_record(inner), max_size=3)
    if words := words_in(plain):
        return st.sampled_from(words)
    if get_origin(plain) is tuple:
        args = get_args(plain)
        item = _value(name, *plain_type(args[0]))
        return (
            st.lists(item, max_size=3)
            if args[-1] is Ellipsis
            else st.lists(item, min_size=len(args), max_size=len(args))
        )
    if get_origin(plain) is dict:
        return st.dictionaries(_NAMES, st.text(max_size=5), max_size=2)
    if name in ("id", "tag", "level", "wall", "room", "carries", "ask", "into", "fixture"):
        return _NAMES
    if known := words_of().get(shown_key(name)):
        return st.one_of(st.sampled_from(known), _LENGTHS) if plain is float else st.sampled_from(known)
    if plain is bool:
        return st.sampled_from(("yes", "no"))
    return _LENGTHS if plain in (float, int) else st.text(max_size=20)
