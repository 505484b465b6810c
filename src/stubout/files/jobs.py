"""Read a job file: every fault of the file in one run, each with its line, what was found and what was wanted."""

from __future__ import annotations

from collections.abc import Collection, Iterator
from itertools import islice
from pathlib import Path
from typing import Any, Final, TypeVar, get_args, get_origin

from pydantic import BeforeValidator, ValidationError

from stubout.files.job_faults import Loc, Marks, fault_of, loc_of
from stubout.files.job_refs import reference_faults
from stubout.files.job_sense import sense_faults
from stubout.files.job_tree import BrokenText, Keyed, Many, Node, Text, read_tree
from stubout.files.job_words import (
    field_type,
    fields_of,
    key_of,
    nearest,
    plain_type,
    quoted,
    record_in,
    same_word,
    shown_key,
    words_in,
)
from stubout.job.model import Job, Record
from stubout.problems import Fault, JobFileError

_LARGEST_FILE_BYTES: Final = 4_000_000
_MOST_ENTRIES: Final = 2000  # of one list; a large house has some 60 walls
_MOST_FAULTS: Final = 200
_REST_OF_VALUE: Final = (
    "Is it the rest of the value before it? Put that whole value in double quotes, an inch mark in it left away: "
    "\"13'-6, 25'-4\"."
)
_LONGEST_TEXT: Final = 4000  # characters of one value; a question to the engineer has some hundreds
# How files begin that are no text, and what they are.
_OTHER_FILES: Final = (
    (b"%PDF", "a PDF"), (b"\xff\xfe", "UTF-16 text"), (b"\xfe\xff", "UTF-16 text"),
    (b"PK\x03\x04", "a zip or office file"), (b"\x89PNG", "a picture"), (b"\xff\xd8\xff", "a picture"),
    (b"GIF8", "a picture"),
)  # fmt: skip


def read_job(path: Path | str, known_books: Collection[str] = (), framing_books: Collection[str] = ()) -> Job:
    """Return the job of a file.

    Args:
        path: The job file, UTF-8 text.
        known_books: Ids of the rule books at hand; given, an unknown one is a fault.
        framing_books: Those of them that hold framing cuts and nothing else.

    Raises:
        JobFileError: With every fault of the file.
    """
    return read_job_text(text_of(path), str(path), known_books, framing_books)


def text_of(path: Path | str, what: str = "a job file", do: str = "`stubout new` begins one.") -> str:
    """Return the text of a file the user wrote; `what` it should be, and what to `do` if it is not there.

    Raises:
        JobFileError: With the one fault of a file that cannot be read.
    """
    path = Path(path)
    shown = str(path)
    try:
        with path.open("rb") as stream:
            data = stream.read(_LARGEST_FILE_BYTES + 1)
    except FileNotFoundError:
        raise _unreadable(shown, "no such file", what, do) from None
    except IsADirectoryError:
        raise _unreadable(shown, "a folder", what) from None
    except (OSError, ValueError) as error:
        reason = error.strerror if isinstance(error, OSError) and error.strerror else "a name that is no path"
        raise _unreadable(shown, reason.lower(), "a file that can be read") from None
    if len(data) > _LARGEST_FILE_BYTES:
        raise _unreadable(shown, "a file too large for a job", f"at most {_LARGEST_FILE_BYTES} bytes")
    kind = next((k for start, k in _OTHER_FILES if data.startswith(start)), "no text" if b"\0" in data else "")
    if kind:
        raise _unreadable(shown, kind, f"{what}, which is plain text", "Save it as plain text, UTF-8.")
    try:
        return data.decode("utf-8")
    except UnicodeDecodeError as error:
        line = data.count(b"\n", 0, error.start) + 1
        fault = Fault(shown, line, "file", "a character that is not UTF-8", "UTF-8 text", "Save the file as UTF-8.")
        raise JobFileError([fault]) from None


def _unreadable(shown: str, found: str, wanted: str, do: str = "") -> JobFileError:
    return JobFileError([Fault(shown, 0, "file", found, wanted, do)])


def read_job_text(
    text: str,
    name: str = "job.yaml",
    known_books: Collection[str] = (),
    framing_books: Collection[str] = (),
) -> Job:
    """Return the job of a text; `name` is what the faults call it. Raises JobFileError with every fault."""
    raw, reader = _read(text, name, Job)
    faults = reader.faults
    job = None
    try:
        ours = {"source": Path(name).name or "job.yaml", "file_lines": _file_lines(raw, reader.marks)}
        job = Job.model_validate({**raw, **ours}, context={"bare": _bare(raw)})
    except ValidationError as error:
        faults += reader.told(error)
    faults += islice(reference_faults(raw, reader.marks, known_books, framing_books), _MOST_FAULTS + 1)
    if job is not None:
        faults += islice(sense_faults(job, reader.marks), _MOST_FAULTS + 1)
    if faults or job is None:
        raise JobFileError(_ranked(faults, name))
    return job


def _file_lines(raw: dict[str, Any], marks: Marks) -> list[int]:
    """Return the lines on which a job names files of amendments, then those of confirmations."""
    said = ((key, raw.get(key)) for key in ("amendment_files", "confirmation_files"))
    return [marks.line((key, number)) for key, many in said if isinstance(many, list) for number in range(len(many))]


R = TypeVar("R", bound=Record)


def read_record_text(text: str, name: str, kind: type[R]) -> R:
    """Return a record of a text of its own, such as a file of amendments, read like a job file.

    Raises:
        JobFileError: With every fault of the text.
    """
    return read_marked_text(text, name, kind)[0]


def read_marked_text(text: str, name: str, kind: type[R]) -> tuple[R, Marks]:
    """Return the same with the line of every place of the text."""
    raw, reader = _read(text, name, kind)
    faults = reader.faults
    try:
        record = kind.model_validate(raw, context={"bare": None})
    except ValidationError as error:
        raise JobFileError(_ranked([*faults, *reader.told(error)], name)) from None
    if faults:
        raise JobFileError(_ranked(faults, name))
    return record, reader.marks


def _read(text: str, name: str, kind: type[Record]) -> tuple[dict[str, Any], _Reader]:
    try:
        tree = read_tree(text, name, *(() if kind is Job else ("lines of `key: value`", "")))
    except BrokenText as broken:
        raise JobFileError([broken.fault]) from None
    if not isinstance(tree, Keyed):
        found = "a list" if isinstance(tree, Many) else quoted(tree.value)
        raise JobFileError([Fault(name, tree.line, "file", found, "lines of `key: value`")])
    reader = _Reader(name, kind)
    return reader.record(tree, kind, ()), reader


def _ranked(faults: list[Fault], name: str) -> list[Fault]:
    """Return the faults by line, the same one once, and not more than anybody reads."""
    kept = {(f.line, f.path, f.found): f for f in reversed(faults)}  # two readers of a place may say the same of it
    out = sorted(kept.values(), key=lambda f: (f.line, f.path))
    if len(out) > _MOST_FAULTS:
        out[_MOST_FAULTS:] = [
            Fault(name, out[_MOST_FAULTS].line, "file", "more faults than these", "these set right first")
        ]
    return out


def _bare(raw: dict[str, Any]) -> str:
    """Return the unit of bare numbers; while `units` is at fault itself, the forgiving one, to say it only once."""
    job = raw.get("job")
    units = job.get("units") if isinstance(job, dict) else None
    return "mm" if units == "mm" else "inch"


class _Reader:
    """Turns the tree into the nested texts pydantic validates, and remembers the line of every place."""

    def __init__(self, name: str, root: type[Record]) -> None:
        self.root = root
        self.faults: list[Fault] = []
        self.marks = Marks(name)
        self.mistyped: set[Loc] = set()  # keys that are perhaps there under a wrong name

    def explains(self, error: Any) -> bool:
        """Return whether a missing key has been found under a wrong name already."""
        return error["type"] == "missing" and loc_of(error["loc"], self.root) in self.mistyped

    def told(self, error: ValidationError) -> Iterator[Fault]:
        """Yield the faults that the library found, but for those we have said ourselves."""
        found = (e for e in error.errors(include_url=False) if not self.explains(e))
        yield from (fault_of(e, self.marks, self.root) for e in islice(found, _MOST_FAULTS + 1))

    def _fault(self, line: int, loc: Loc, found: str, wanted: str, do: str = "") -> None:
        self.faults.append(Fault(self.marks.name, line, self.marks.path(loc), found, wanted, do))

    def record(self, node: Keyed, kind: type[Record], loc: Loc) -> dict[str, Any]:
        known = fields_of(kind)
        self.marks.put(loc, node.line, next((v.value for k, v in node.pairs if k.value.strip() in ("id", "tag")
                                             and isinstance(v, Text)), ""))  # fmt: skip
        data: dict[str, Any] = {}
        for key, value in node.pairs:
            name = known.get(key_of(key.value))
            if name is None:
                rest = bool(data) and isinstance(value, Text) and not value.value
                self._unknown_key(key, [shown_key(k) for k in known], loc, rest=rest)
                continue
            here = (*loc, key_of(name))
            if name in data:
                self._fault(key.line, here, "the key a second time", "every key once")
                continue
            info = kind.model_fields[name]
            if not loc and isinstance(value, Text) and not value.value.strip() and not info.is_required():
                continue  # a heading with nothing under it
            self.marks.put(here, key.line if isinstance(value, Text) and not value.value else value.line)
            data[name] = self.value(value, *field_type(info), here)
        if "line" in kind.model_fields:
            data["line"] = node.line
        return data

    def _unknown_key(self, key: Text, names: list[str], loc: Loc, *, rest: bool) -> None:
        """Note a key that is not known; `rest`: with nothing behind it, after others, as what a comma cuts off."""
        if len(self.faults) > _MOST_FAULTS:
            return  # nobody reads them all, and looking for neighbours takes time
        near = nearest(key.value, names)
        if near:
            self.mistyped.add((*loc, key_of(near)))
        wanted = "a known one" if near else f"one of {', '.join(names)}"
        do = f'Did you mean "{near}"?' if near else _REST_OF_VALUE if rest else ""
        self._fault(key.line, (*loc, key.value), "a key that is not known here", wanted, do)

    def value(self, node: Node, plain: Any, meta: tuple[Any, ...], loc: Loc) -> Any:
        if isinstance(node, Text):
            if len(node.value) > _LONGEST_TEXT:
                self._fault(node.line, loc, f"a text of {len(node.value)} characters", f"at most {_LONGEST_TEXT}")
                return node.value[:_LONGEST_TEXT]
            return self._text(node, plain)
        inner = record_in(plain)
        if isinstance(node, Keyed):
            if inner and (plain is inner or any(isinstance(m, BeforeValidator) for m in meta)):
                return self.record(node, inner, loc)
            return self._pairs(node, loc)
        items = []
        if len(node.items) > _MOST_ENTRIES:
            self._fault(node.line, loc, f"{len(node.items)} entries", f"at most {_MOST_ENTRIES}")
        for number, item in enumerate(node.items[:_MOST_ENTRIES]):
            here = (*loc, number)
            self.marks.put(here, item.line)
            args = get_args(plain) if get_origin(plain) is tuple else ()
            item_plain, item_meta = plain_type(args[0]) if args else (str, ())
            items.append(self.value(item, item_plain, item_meta, here))
        return items

    @staticmethod
    def _text(node: Text, plain: Any) -> str:
        words = words_in(plain)
        return node.value if node.value in words else (same_word(node.value, words) or node.value)

    def _pairs(self, node: Keyed, loc: Loc) -> dict[str, Any]:
        data: dict[str, Any] = {}
        for key, value in node.pairs:
            here = (*loc, key.value)
            self.marks.put(here, value.line)
            if key.value in data:
                self._fault(key.line, here, "the key a second time", "every key once")
            data[key.value] = self.value(value, str, (), here)
        return data
