"""A job as one file that works by itself: opened from a disk, with no server and no network.

Everything is inside: style and scripts (let in by their hashes, and nothing else), drawings, lists, the model with what
draws it (packed until its part is opened), and the data the script judges by. It asks nothing of anybody; entries leave
it only as the file that its reader saves.
"""

from __future__ import annotations

import base64
from dataclasses import dataclass
from hashlib import sha256

from markupsafe import Markup

from stubout import units
from stubout.run_field.model import Task, WallSide
from stubout.run_field.words import ENGLISH, speaker
from stubout.web import gates
from stubout.web.along.data import LISTS, Taken, as_script, reckoned, table
from stubout.web.along.spoken import packed, packed_viewer, script, style, viewer
from stubout.web.office import templates
from stubout.web.pages_see import inline
from stubout.web.pages_site import TITLES
from stubout.web.solids import MODEL, solids_of, spoken

TEMPLATE = "along_file.html"
_LENGTH, _SIZE = "_mm", "size_in"


@dataclass(frozen=True, slots=True)
class _List:
    title: str
    head: tuple[str, ...]
    rows: tuple[tuple[str, ...], ...]


def along(taken: Taken, language: str = ENGLISH) -> bytes:
    """Return the file of a planned job; the same bytes for the same job and records."""
    say = speaker(language)
    field = taken.field
    pictures = {s.id: inline(taken.files[s.picture]) for s in field.walls}
    sheets = [(d, inline(taken.files[d.file])) for d in field.drawings]
    model = taken.files.get(MODEL, b"")  # plans of an older program have none
    elsewhere = [(i, t) for i, t in enumerate(field.tasks) if not t.wall]
    words = {
        "taken": taken,
        "field": field,
        "policy": policy((script(), viewer()) if model else (script(),), style()),
        "script": Markup(script()),
        "style": Markup(style()),
        "data": Markup(as_script(reckoned(taken, say, language))),
        "walls": [(i, s, pictures[s.id], _groups(taken, s)) for i, s in enumerate(field.walls)],
        "elsewhere": _by_kind(elsewhere),
        "titles": TITLES,
        "gates": [(g.title, list(enumerate(g.needs))) for g in gates.gates(field, taken.records, say)],
        "lists": [_list(taken, name, title) for name, title in LISTS.items() if _file(name) in taken.files],
        "sheets": sheets,
        "solids": solids_of(model) if model else None,
        "spoken": spoken(say),
        "model": packed(model),
        "viewer": packed_viewer() if model else "",
    }  # fmt: skip
    return templates(language).get_template(TEMPLATE).render(**words).encode()


def policy(scripts: tuple[str, ...], look: str) -> str:
    """Return the content policy of the file: its own scripts, its one style, and nothing from anywhere."""
    code = " ".join(f"'{_hash(s)}'" for s in scripts)
    return f"default-src 'none'; script-src {code}; style-src '{_hash(look)}'; base-uri 'none'; form-action 'none'"


def _hash(text: str) -> str:
    return f"sha256-{base64.b64encode(sha256(text.encode()).digest()).decode()}"


def _groups(taken: Taken, side: WallSide) -> dict[str, list[tuple[int, Task]]]:
    """Return what is ticked on a wall beside its marks, by kind."""
    marked = {m.about for m in side.marks}
    here = enumerate(taken.field.tasks)
    return _by_kind(
        [(i, t) for i, t in here if t.wall == side.id and not (t.kind in ("bore", "stub") and t.about in marked)]
    )


def _by_kind(found: list[tuple[int, Task]]) -> dict[str, list[tuple[int, Task]]]:
    out: dict[str, list[tuple[int, Task]]] = {}
    for i, t in found:
        out.setdefault(t.kind, []).append((i, t))
    return out


_SHOWN = {
    "bores": ("bore", "member", "pipe", "hole_mm", "above_subfloor_mm", "above_finished_mm", "edge_mm", "verdict"),
    "cuts": ("piece", "pipe", "size_in", "cut_mm", "centre_mm", "start_fitting", "end_fitting", "fits", "note"),
    "materials": ("group", "item", "size", "quantity", "unit", "note"),
    "order": ("item", "size", "quantity", "unit", "each", "total", "currency"),
}


def _file(name: str) -> str:
    return f"lists/{name}.csv"


def _list(taken: Taken, name: str, title: str) -> _List:
    """Return a list of the packet as it is read on site: the columns one works by, lengths in the job's units."""
    head, rows = table(taken.files[_file(name)])
    at = [head.index(c) for c in _SHOWN[name]]
    shown = tuple(tuple(_cell(head[i], row[i], taken.field.units) for i in at) for row in rows)
    return _List(title, tuple(_column(head[i]) for i in at), shown)


def _column(name: str) -> str:
    return name.removesuffix(_LENGTH).removesuffix("_in").replace("_", " ")


def _cell(column: str, text: str, system: units.Units) -> str:
    if not text or not column.endswith((_LENGTH, _SIZE)):
        return text
    return units.size(float(text)) if column == _SIZE else units.named(float(text), system)
