"""The tables of `docs/faults.md`, made of the rows that the tests of this folder hold to be true."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterable

from seeding.limits import NO_LIMIT, limits, tried
from seeding.systems import BOOKS
from seeding.table import Fault, Pair, edges, faults, pairs

FAMILY = {b: b.split("-")[0].upper() for b in BOOKS}


def counts() -> str:
    """Return how much is seeded, by book and in all."""
    rows = ["| | " + " | ".join(FAMILY[b] for b in BOOKS) + " | in all |", "|---" * (len(BOOKS) + 2) + "|"]
    seeded = Counter(b for f in faults() for b in f.books)
    limits = Counter(b for e in edges() for b in e.books)
    two = [(a, b) for p in pairs() for a in p.legal for b in p.illegal]
    there = Counter(b for _, b in two)
    rows += [
        _row("single faults, seeded", (seeded[b] for b in BOOKS), f"{len(faults())} faults, {seeded.total()} times"),
        _row(
            "numeric limits, both sides", (limits[b] for b in BOOKS), f"{len(edges())} limits, {limits.total()} times"
        ),
        _row("legal elsewhere, not here", (there[b] for b in BOOKS), f"{len(pairs())} geometries, {len(two)} pairs"),
    ]
    tried = sum(1 for f in (*faults(), *edges()) if f.fix)
    rows += [
        "",
        f"Fix tried, as the finding tells it: cleared {tried}, not tried {len(faults()) + len(edges()) - tried} "
        "(the finding tells no amount or size, or the fault is not one number of its row).",
    ]
    return "\n".join(rows)


def _row(name: str, numbers: Iterable[int], total: str) -> str:
    return f"| {name} | {' | '.join(map(str, numbers))} | {total} |"


def fault_table() -> str:
    """Return every seeded fault by topic: where, found by which check, what is true as well, and the fix."""
    rows = [
        "| topic | fault | clean system | books | found by | true as well, because | decided by | fix tried |",
        "|---|---|---|---|---|---|---|---|",
    ]
    for f in sorted(faults(), key=lambda f: (f.topic, f.id)):
        tried = "cleared" if f.fix else "not tried"
        rows.append(
            f"| {f.topic} | {_words(f.id)} | {f.system} | {_books(f.books)} | {f.check} {f.level} | {_companions(f)} "
            f"| {f.source} | {tried} |"
        )
    return "\n".join(rows)


def edge_table() -> str:
    """Return every numeric limit with the value inside, which is silent, and the value outside, which is found."""
    rows = [
        "| topic | limit | system | silent at, found at | found by | true as well, because | decided by | fix tried |",
        "|---|---|---|---|---|---|---|---|",
    ]
    for e in sorted(edges(), key=lambda e: (e.topic, e.id)):
        values = "; ".join(f"{FAMILY[b]} {inside:g}, {outside:g}" for b, (inside, outside) in e.limits.items())
        tried = "cleared" if e.fix else "not tried"
        rows.append(
            f"| {e.topic} | {_words(e.id.removeprefix('edge-'))} | {e.system} | {values} | {e.check} "
            f"| {_companions(e)} | {e.source} | {tried} |"
        )
    return "\n".join(rows)


def tried_table() -> str:
    """Return every numeric limit the checks go by: what the books say, which checks ask, and where it is tried."""
    rows = ["| limit | what | books | asked by | tried in |", "|---|---|---|---|---|"]
    for one in limits().values():
        said = "; ".join(f"{FAMILY.get(b, 'framing ' + b.split('-')[0].upper())} {v}" for b, v in one.books.items())
        pairs_of = ", ".join(_words(t.removeprefix("test_")).replace("_", " ") for t in tried().get(one.id, ()))
        where = pairs_of or f"not: {NO_LIMIT[one.id]}"
        asks = ", ".join(one.checks) or one.id.partition(".")[0].upper()
        rows.append(f"| `{one.id}` | {one.what} | {said or 'a figure of the trade'} | {asks} | {where} |")
    return "\n".join(rows)


def pair_table() -> str:
    """Return every geometry that is legal in one book and not in another."""
    rows = [
        "| topic | geometry | system | silent under | found under | found by | true as well, because | decided by |",
        "|---|---|---|---|---|---|---|---|",
    ]
    rows += [
        f"| {p.topic} | {_words(p.id)} | {p.system} | {_books(p.legal)} | {_books(p.illegal)} | {p.check} "
        f"| {_companions(p)} | {p.source} |"
        for p in sorted(pairs(), key=lambda p: (p.topic, p.id))
    ]
    return "\n".join(rows)


def _words(name: str) -> str:
    return name.replace("-", " ")


def _books(books: Iterable[str]) -> str:
    return ", ".join(FAMILY[b] for b in books)


def _companions(f: Fault | Pair) -> str:
    """Return the companions of a row, each with its reason, and the books where not all have it."""
    parts = []
    tried = f.illegal if isinstance(f, Pair) else f.books
    for check, why in f.companions.items():
        only = [b for b in f.companion_books.get(check, tried) if b in tried]
        if not only:
            continue
        only = [] if len(only) == len(tried) else only
        parts.append(f"{check}{f' ({_books(only)})' if only else ''}: {why}")
    return "; ".join(parts) or "none"
