"""The table of `docs/faults.md` that tells what is offered for each seeded fault, from the record of `mended.py`."""

from __future__ import annotations

from collections import Counter

from seeding.mended import Mended, grave, written
from seeding.table import faults


def fix_table() -> str:
    """Return how many faults are mended, which are not and why, and what is offered for each."""
    rows = written()
    by_fault: dict[str, list[Mended]] = {}
    for m in rows:
        by_fault.setdefault(m["fault"], []).append(m)
    good = [m for m in rows if m["cleared"]]
    alone = [m for m in good if not m["asks"]]
    whole = [i for i, ms in by_fault.items() if all(m["cleared"] for m in ms)]
    asked = sum(not grave(f) for f in faults())
    left = sum(grave(f) and f.id not in by_fault for f in faults())
    lines = [
        f"Cleared {len(good)} of {len(rows)} times ({_share(len(good), len(rows))}), {len(whole)} of {len(by_fault)} "
        f"faults under every book tried ({_share(len(whole), len(by_fault))}); of the times, {len(alone)} by the "
        f"plumber alone, {len(good) - len(alone)} "
        f"where someone else has to agree ({_who(good)}). {asked} faults only ask a question, which a person answers. "
        f"{left} faults are not in the record yet.",
        "",
        "| fault | check | times | fix |",
        "|---|---|---|---|",
    ]
    for f in sorted(faults(), key=lambda f: f.id):
        if not grave(f):
            lines.append(f"| {_words(f.id)} | {f.check} | | a question |")
        elif f.id in by_fault:
            lines.append(_row(f.check, by_fault[f.id]))
    return "\n".join(lines)


def _row(check: str, tries: list[Mended]) -> str:
    good = sum(m["cleared"] for m in tries)
    bad = next((m for m in tries if not m["cleared"]), None)
    told = (bad or tries[0])["words"]
    text = (told[-1] if bad else " Then: ".join(told)).replace("|", "/") if told else "no finding left"
    asks = {m["asks"] for m in tries} - {""}
    who = f" ({', '.join(sorted(asks))} to agree)" if asks else ""
    mark = "**not cleared**: " if bad else ""
    return f"| {_words(tries[0]['fault'])} | {check} | {good} of {len(tries)} | {mark}{text}{who} |"


def _who(good: list[Mended]) -> str:
    people = Counter(m["asks"] for m in good if m["asks"])
    return ", ".join(f"{who} {n}" for who, n in sorted(people.items()))


def _share(part: int, whole: int) -> str:
    return f"{part / whole:.0%}" if whole else "none"


def _words(name: str) -> str:
    return name.replace("-", " ")
