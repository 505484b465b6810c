"""What is installed of a revision, as its ticks propose it and as a form says it, and the job file that says so."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from typing import Any, Final

from stubout.problems import JobFileError
from stubout.run_field import texts
from stubout.run_field.model import Field
from stubout.store.model import LONGEST_NAME, Kind, Record, StoreError
from stubout.web import yaml_paths

LISTED: Final = "installed"
WALL, UNDER = "wall:", "under:"  # what the names of the boxes to tick begin with
_LONGEST: Final = 2_000  # characters of the ids of runs


@dataclass(frozen=True, slots=True)
class Chosen:
    """What is said to be in place, since when and by whom."""

    walls: tuple[str, ...] = ()
    under: tuple[str, ...] = ()  # levels
    runs: tuple[str, ...] = ()
    date: str = ""
    by: str = ""

    @property
    def entry(self) -> dict[str, Any]:
        """Return it as an entry of the job file; nothing where nothing is chosen."""
        said = {"walls": list(self.walls), "under": list(self.under), "runs": list(self.runs)}
        named = {k: v for k, v in said.items() if v}
        return {**named, "date": self.date, "by": self.by} if named else {}

    @property
    def fields(self) -> dict[str, str]:
        """Return it as the fields of a form."""
        ticked = {**{f"{WALL}{w}": "yes" for w in self.walls}, **{f"{UNDER}{v}": "yes" for v in self.under}}
        return {**ticked, "runs": ", ".join(self.runs), "date": self.date, "by": self.by}


def chosen(fields: Mapping[str, str]) -> Chosen:
    """Return what a form says; StoreError where something is in place and nobody says since when."""
    walls, under = (
        [k.removeprefix(begin) for k, v in fields.items() if k.startswith(begin) and v] for begin in (WALL, UNDER)
    )
    runs = fields.get("runs", "").replace(",", " ").split()
    return checked(walls, under, runs, fields.get("date", ""), fields.get("by", ""))


def checked(walls: Iterable[str], under: Iterable[str], runs: Iterable[str], date: str, by: str) -> Chosen:
    """Return what is said to be in place; raises as `chosen`."""
    made = Chosen(
        tuple(sorted(set(walls))), tuple(sorted(set(under))), tuple(dict.fromkeys(runs)),
        " ".join(date.split()), " ".join(by.split()),
    )  # fmt: skip
    if len(", ".join(made.runs)) > _LONGEST:
        raise StoreError("too many runs: name a wall or a level instead")
    if made.entry and not (made.date and made.by):
        raise StoreError("what is in place needs a date, and who put it there")
    if max(len(made.date), len(made.by)) > LONGEST_NAME:
        raise StoreError(f"a date or a name has at most {LONGEST_NAME} characters")
    return made


def proposed(field: Field, ticked: Mapping[str, Record]) -> Chosen:
    """Return what the ticks of the site say is in place.

    A wall is, when every fitting in it is ticked as glued; a pipe elsewhere, when each of its fittings is.

    Args:
        field: The plan.
        ticked: The standing ticks by their place.
    """
    walls = {s.id: s.wall for s in field.walls}
    glue = [t for t in field.tasks if t.kind == "glue"]
    by_wall: dict[str, list[bool]] = {}
    by_pipe: dict[str, list[bool]] = {}
    for t in glue:
        if t.wall:
            by_wall.setdefault(walls[t.wall], []).append(t.place in ticked)
        for p in t.pipes:
            by_pipe.setdefault(p, []).append(t.place in ticked)
    whole = {w for w, done in by_wall.items() if all(done)}
    inside = {p for t in glue if t.wall and walls[t.wall] in whole for p in t.pipes}
    runs = tuple(sorted(p for p, done in by_pipe.items() if all(done) and p not in inside))
    last = max((ticked[t.place] for t in glue if t.place in ticked), key=lambda r: r.at, default=None)
    return Chosen(tuple(sorted(whole)), (), runs, last.at[:10] if last else "", last.author if last else "")


def accepted_by(ticked: Mapping[str, Record], head: int) -> int:
    """Return the revision whose layout is on site: that of the last tick, else the one before the last."""
    at = [r.revision for r in ticked.values() if r.kind is Kind.TICK and r.revision <= head]
    return max(at) if at else max(1, head - 1)


def said(text: str, what: Chosen) -> str:
    """Return a job file that says what is in place besides what it says already; raises EditError."""
    return yaml_paths.said(text, [((LISTED, yaml_paths.MORE), what.entry)]) if what.entry else text


def known(text: str) -> tuple[str, ...]:
    """Return what a job file says already to be in place, an entry a line; nothing while it has faults."""
    try:
        job = texts.read_text(text)
    except JobFileError:
        return ()
    return tuple(
        f"{', '.join((*e.walls, *(f'under {v}' for v in e.under), *e.levels, *e.runs))}: {e.date}, {e.by}"
        for e in job.installed
    )
