"""Which path of the JSON door answers each verb of the command line, option by option; or why none does.

A test holds it against the verbs as they are and against `/api/openapi.json`; the table in `docs/door.md` comes of it.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from typing import Final


@dataclass(frozen=True, slots=True)
class Not:
    """An option that the door does not take, and why; or a verb that has no path."""

    why: str


@dataclass(frozen=True, slots=True)
class Door:
    """One verb of the command line."""

    verb: str
    ways: tuple[str, ...]  # method and path; empty where it has none
    takes: Mapping[str, str | Not] = field(default_factory=dict)  # what is called otherwise here, or is not taken
    why: str = ""  # where it has none
    note: str = ""


JOB: Final = "/api/jobs/{job_id}"
EVERYWHERE: Final[Mapping[str, Not]] = {
    "--json": Not("every answer is JSON"),
    "--out": Not("the answer is the file"),
    "--quiet": Not("202 says how far it is"),
    "--confirmations": Not("the job holds them itself, under `confirmations`: a server opens no other file"),
}
_MACHINE: Final = "it concerns the whole data folder: whoever sits at the machine does it"

DOORS: Final = (
    Door("new", ("POST /api/jobs",), {"file": "name", "--units": "starter"}),
    Door("plan", (f"POST {JOB}/plan", f"GET {JOB}/files/{{name}}", f"GET {JOB}/alternatives"), {"job": "job_id"}),
    Door("check", (f"GET {JOB}/check",), {"job": "job_id", "--all": Not("all are there")}),
    Door("why", (f"GET {JOB}/why",), {"job": "job_id"}),
    Door("keep", (f"GET {JOB}/keep", f"POST {JOB}/keep"), {"now": "base"}),
    Door("refine", (f"GET {JOB}/refine",), {"job": "job_id"}),
    Door("changed", (f"GET {JOB}/changed",)),
    Door("lookup", ("GET /api/lookup", "GET /api/lookup/{book}")),
    Door("schema", ("GET /api/schema/{of}",)),
    Door("demo", ("POST /api/jobs",), note="`starter` is `demo`"),
    Door("along", (f"GET {JOB}/along",), {"job": "job_id"}),
    Door("cards", (f"GET {JOB}/cards",), {"job": "job_id"}),
    Door("serve", (), why="it is what opens the door"),
    Door("backup", (), why=_MACHINE),
    Door("restore", (), why=_MACHINE),
    Door("books show", ("GET /api/books", "GET /api/books/{book}")),
    Door("books verify", (f"GET {JOB}/books/verify",), {"job": "job_id"}),
    Door("books diff", ("GET /api/books/diff", f"GET {JOB}/books/diff"), {"job": "job_id"}),
    *(
        Door(f"calc {what}", (f"GET /api/calc/{what}",))
        for what in ("fall", "offset", "rolling", "bore", "head", "band")
    ),
    Door("--version", ("GET /api/version",)),
)
# What the command line does with files, or not at all.
BESIDE: Final[Mapping[str, tuple[str, ...]]] = {
    "say who you are; see who you are": ("POST /api/session", "GET /api/session"),
    "jobs, and one of them": ("GET /api/jobs", f"GET {JOB}"),
    "revisions: save the next, list them, one of them": (
        f"PUT {JOB}/text", f"GET {JOB}/revisions", f"GET {JOB}/revisions/{{number}}"
    ),
    "the faults of a text": ("POST /api/check",),
    "`design.json`": (f"GET {JOB}/design",),
    "what the ticks say is in place": (f"GET {JOB}/keep/proposed",),
    "`check --fixes`, one by one: what the job file would say, and the tap": (
        f"GET {JOB}/fixes", f"GET {JOB}/fixes/{{finding}}", f"POST {JOB}/fixes/{{finding}}"
    ),
    "`plan --prices`: put the list, read it, take it back; the order by it": (
        f"PUT {JOB}/prices", f"GET {JOB}/prices", f"DELETE {JOB}/prices/{{record}}", f"GET {JOB}/order"
    ),
    "records of the site, and its gates": (f"GET {JOB}/records", f"POST {JOB}/records", f"GET {JOB}/gates"),
}  # fmt: skip


def table() -> str:
    """Return the page's table: each verb with its paths and what is taken otherwise, then what is there besides."""
    rows = ["| verb | path | otherwise |", "|---|---|---|"]
    rows += [
        f"| `stubout {d.verb}` | {_paths(d.ways) or 'none'} | {d.why or d.note or _otherwise(d.takes)} |" for d in DOORS
    ]
    rows += ["", "| not a verb | path |", "|---|---|"]
    rows += [f"| {what} | {_paths(ways)} |" for what, ways in BESIDE.items()]
    rows += ["", "| option of any verb | why it is not taken |", "|---|---|"]
    return "\n".join((*rows, *(f"| `{name}` | {said.why} |" for name, said in EVERYWHERE.items())))


def _paths(ways: tuple[str, ...]) -> str:
    return "<br>".join(f"`{w}`" for w in ways)


def _otherwise(takes: Mapping[str, str | Not]) -> str:
    said = (f"`{k}`: {v.why}" if isinstance(v, Not) else f"`{k}` is `{v}`" for k, v in takes.items() if v != "job_id")
    return "; ".join(said)
