"""Faults between entries: ids that are used but not given, given twice or left empty.

Works on the texts of the file, so that it also finds them in a file that has other faults.
"""

from __future__ import annotations

from collections.abc import Collection, Iterator, Sequence
from typing import Any, Final

from stubout.files.job_faults import Loc, Marks
from stubout.files.job_words import cut_short, did_you_mean, one_of, quoted, same_word
from stubout.layout.model import VentMethod
from stubout.problems import Fault

# list, key of its entries, list the key points into, what such an entry is called
_POINTERS: Final = (
    ("frames", "carries", "levels", "level"),
    ("walls", "level", "levels", "level"),
    ("rooms", "level", "levels", "level"),
    ("openings", "wall", "walls", "wall"),
    ("cabinets", "wall", "walls", "wall"),
    ("cabinets", "room", "rooms", "room"),
    ("fixtures", "room", "rooms", "room"),
    ("fixtures", "wall", "walls", "wall"),
    ("obstacles", "wall", "walls", "wall"),
    ("choices", "fixture", "fixtures", "fixture"),
    ("choices", "vent_not_in", "walls", "wall"),
    ("routes", "fixture", "fixtures", "fixture"),
    ("routes", "vent_of", "fixtures", "fixture"),
    ("routes", "into", "routes", "route"),
)
_WISHED_WALLS: Final = ("no_vents_in_walls", "no_drains_in_walls", "stack_walls", "no_stacks_in_walls")
_LISTS: Final = ("levels", "frames", "walls", "openings", "rooms", "cabinets", "fixtures", "obstacles", "roof",
                 "roof_openings", "roof_zones", "questions", "routes")  # fmt: skip
_LONGEST_NAME: Final = 60  # it stands in every mark, and is part of a file name
_TITLES: Final = "Long words go under `title` or `what`."
_ROLES: Final = ("bearing", "non-bearing", "exterior", "interior", "insulated", "knee")


def reference_faults(
    raw: dict[str, Any], marks: Marks, known_books: Collection[str], framing_books: Collection[str] = ()
) -> Iterator[Fault]:
    """Yield the faults between the entries of a job."""
    ids = {name: _ids(raw, name) for name in _LISTS}
    yield from _doubles(raw, marks)
    yield from _pointers(raw, ids, marks)
    yield from _wishes(raw, ids, marks)
    yield from _installed(raw, ids, marks)
    yield from _people(raw, marks)
    yield from _roles(raw, marks)
    yield from _books(raw, marks, known_books, framing_books)


def _id_key(name: str) -> str:
    return "tag" if name == "fixtures" else "id"


def _entries(raw: dict[str, Any], name: str) -> Iterator[tuple[int, dict[str, Any]]]:
    listed = raw.get(name)
    if isinstance(listed, list):
        yield from ((i, e) for i, e in enumerate(listed) if isinstance(e, dict))


def _ids(raw: dict[str, Any], name: str) -> list[str]:
    return [e[_id_key(name)] for _, e in _entries(raw, name) if isinstance(e.get(_id_key(name)), str)]


def _doubles(raw: dict[str, Any], marks: Marks) -> Iterator[Fault]:
    for name in _LISTS:
        key = _id_key(name)
        first: dict[str, int] = {}
        for number, entry in _entries(raw, name):
            value = entry.get(key)
            if not isinstance(value, str):
                continue
            loc: Loc = (name, number, key)
            if not value.strip():
                yield marks.fault(loc, "nothing", "a short name")
            elif len(value) > _LONGEST_NAME:
                found = f"a name of {len(value)} characters"
                yield marks.fault(loc, found, f"a short name, of at most {_LONGEST_NAME}", _TITLES)
            elif value in first:
                wanted = f"a name of its own ({quoted(value)} is on line {first[value]} too)"
                yield marks.fault(loc, f"{quoted(value)} again", wanted)
            else:
                first[value] = marks.line(loc)


def _texts(value: Any) -> list[str]:
    """Return the words of `a, b` or of a list."""
    if isinstance(value, str):
        return [w.strip() for w in value.split(",") if w.strip()]
    return [w.strip() for w in value if isinstance(w, str)] if isinstance(value, list) else []


def _some(names: Sequence[str]) -> str:
    return ", ".join([*(cut_short(n) for n in names[:12]), *(["..."] if len(names) > 12 else [])])


def _unknown(marks: Marks, loc: Loc, value: str, known: Collection[str], noun: str) -> Fault:
    names = list(dict.fromkeys(known))
    wanted = f"a {noun} of this job ({_some(names)})"
    return marks.fault(loc, quoted(value), wanted if names else f"a {noun}, but the job has none",
                       did_you_mean(value, names))  # fmt: skip


def _pointers(raw: dict[str, Any], ids: dict[str, list[str]], marks: Marks) -> Iterator[Fault]:
    for name, key, target, noun in _POINTERS:
        known = ids[target] + (["sewer"] if key == "into" else [])
        for number, entry in _entries(raw, name):
            value = entry.get(key)
            if isinstance(value, str) and value.strip() and value not in known:
                yield _unknown(marks, (name, number, key), value, known, noun)


def _wishes(raw: dict[str, Any], ids: dict[str, list[str]], marks: Marks) -> Iterator[Fault]:
    wishes = raw.get("wishes")
    if not isinstance(wishes, dict):
        return
    for key in _WISHED_WALLS:
        for word in _texts(wishes.get(key)):
            if word not in ids["walls"]:
                yield _unknown(marks, ("wishes", key), word, ids["walls"], "wall")
    methods = [m.value for m in VentMethod if m is not VentMethod.NONE]
    for word in _texts(wishes.get("methods_not_wanted")):
        if word not in methods:
            loc: Loc = ("wishes", "methods_not_wanted")
            yield marks.fault(loc, quoted(word), one_of(methods), did_you_mean(word, methods))
    spaces = [*ids["levels"], *ids["rooms"], "attic"]
    for word in _texts(wishes.get("cold_spaces")):
        if word not in spaces:
            yield _unknown(marks, ("wishes", "cold_spaces"), word, spaces, "level or room")


def _installed(raw: dict[str, Any], ids: dict[str, list[str]], marks: Marks) -> Iterator[Fault]:
    for number, entry in _entries(raw, "installed"):
        for key, target, noun in (
            ("walls", "walls", "wall"),
            ("under", "levels", "level"),
            ("levels", "levels", "level"),
        ):
            for word in _texts(entry.get(key)):
                if word not in ids[target]:
                    yield _unknown(marks, ("installed", number, key), word, ids[target], noun)
        if not any(_texts(entry.get(key)) for key in ("walls", "under", "levels", "runs")):
            yield marks.fault(("installed", number), "nothing that is in place", "walls, under, levels or runs")


def _people(raw: dict[str, Any], marks: Marks) -> Iterator[Fault]:
    job = raw.get("job")
    people = job.get("people", {}) if isinstance(job, dict) else None
    if not isinstance(people, dict):
        return
    for number, entry in _entries(raw, "questions"):
        who = entry.get("ask")
        if isinstance(who, str) and who not in people:
            wanted = (
                f"one of the people of this job ({_some(list(people))})" if people else "somebody of `job: people:`"
            )
            yield marks.fault(("questions", number, "ask"), quoted(who), wanted, "" if people else "Name them there.")


def _roles(raw: dict[str, Any], marks: Marks) -> Iterator[Fault]:
    for number, entry in _entries(raw, "walls"):
        for word in _texts(entry.get("role")):
            if word not in _ROLES:
                near = same_word(word, _ROLES)
                do = f'Write "{near}".' if near else did_you_mean(word, _ROLES)
                yield marks.fault(("walls", number, "role"), quoted(word), one_of(_ROLES), do)


def _books(
    raw: dict[str, Any], marks: Marks, known_books: Collection[str], framing_books: Collection[str]
) -> Iterator[Fault]:
    job = raw.get("job")
    if not known_books or not isinstance(job, dict):
        return
    for key in ("book", "framing"):
        # Told apart only where the caller knows which is which.
        known = sorted(b for b in known_books if not framing_books or (b in framing_books) == (key == "framing"))
        value = job.get(key)
        if isinstance(value, str) and value not in known:
            noun = "framing" if key == "framing" and framing_books else "rule"
            wanted = f"a {noun} book at hand: {', '.join(known)}"
            yield marks.fault(("job", key), quoted(value), wanted, did_you_mean(value, known))
