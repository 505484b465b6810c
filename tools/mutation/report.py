"""The page of mutation testing from result files: `python -m tools.mutation.report sizing.jsonl checks.jsonl …`.

Sections of parts that no file is of stay as they are.

Every survivor is listed with the first reason of `reasons.toml` that fits it, or as an open gap.
"""

from __future__ import annotations

import json
import math
import re
import sys
import tomllib
from collections import Counter
from collections.abc import Iterable, Iterator
from pathlib import Path
from typing import Any

from tools.mutation.parts import PARTS, ROOT

PAGE = ROOT / "docs" / "mutation.md"
REASONS = Path(__file__).with_name("reasons.toml")
PATTERNS = ("module", "function", "rule", "before", "after", "nth")
NONE = "open: a test is still missing"
START, END = "<!-- generated: tools/mutation/report.py -->", "<!-- end -->"
Z = 1.96  # 95 %

Result = dict[str, Any]


def interval(killed: int, tried: int) -> tuple[float, float]:
    """Return the range of a share that a sample leaves open [1], by Wilson, 95 %."""
    if not tried:
        return 0.0, 1.0
    p, zz = killed / tried, Z * Z / tried
    middle, half = p + zz / 2, Z * math.sqrt(p * (1 - p) / tried + zz / (4 * tried))
    return (middle - half) / (1 + zz), (middle + half) / (1 + zz)


def reason_of(result: Result, reasons: Iterable[dict[str, str]]) -> str:
    """Return why a survivor is left: the first rule whose patterns all fit."""
    for rule in reasons:
        if all(re.search(rule[k], str(result[k])) for k in PATTERNS if k in rule):
            return rule["reason"]
    return NONE


def table(results: list[Result], totals: dict[str, int]) -> Iterator[str]:
    """Yield the lines of the table of one part: a line a module, and all of them."""
    tried, killed = (
        Counter(r["module"] for r in results),
        Counter(r["module"] for r in results if r["fate"] == "killed"),
    )
    yield "| module | mutants | tried | killed | survived | score |"
    yield "|---|---|---|---|---|---|"
    for module in sorted(tried):
        n, k = tried[module], killed[module]
        yield f"| `{module.removeprefix('stubout.')}` | {totals[module]} | {n} | {k} | {n - k} | {100 * k / n:.0f} % |"
    n, k = len(results), sum(killed.values())
    yield f"| all | {sum(totals.values())} | {n} | {k} | {n - k} | {100 * k / n:.1f} % |"


def part_text(name: str, results: list[Result], reasons: list[dict[str, str]]) -> Iterator[str]:
    """Yield the section of one part."""
    keys = {m: [one.key for one in f] for m, f in PARTS[name].faults().items()}
    totals = {m: len(k) for m, k in keys.items()}
    results = [r for r in results if r["key"] in set(keys.get(r["module"], ()))]  # of the code as it stands
    n, k = len(results), sum(r["fate"] == "killed" for r in results)
    yield f"## {name.capitalize()}"
    yield ""
    lo, hi = interval(k, n)
    if n < sum(totals.values()):
        yield (
            f"A sample of {n} of {sum(totals.values())} mutants, drawn module by module with a fixed seed: "
            f"{100 * k / n:.1f} % killed (95 % interval {100 * lo:.0f} to {100 * hi:.0f} %)."
        )
    else:
        yield f"All {n} mutants tried: {100 * k / n:.1f} % killed."
    yield ""
    yield from table(results, totals)
    yield ""
    left = sorted((r for r in results if r["fate"] != "killed"), key=lambda r: (r["module"], r["lines"], r["key"]))
    by_reason: dict[str, list[Result]] = {}
    for r in left:
        by_reason.setdefault(reason_of(r, reasons), []).append(r)
    for why in sorted(by_reason, key=lambda w: (w == NONE, -len(by_reason[w]), w)):
        yield f"**{why[0].upper()}{why[1:]}** ({len(by_reason[why])})"
        yield ""
        for r in by_reason[why]:
            place = ".".join(x for x in (r["module"].removeprefix("stubout."), r["function"]) if x)
            yield f"- `{place}`: `{r['before']}` → `{r['after']}`"
        yield ""


def read(paths: Iterable[str]) -> dict[str, list[Result]]:
    """Return the results by part; a mutant of a later file replaces the same of an earlier one."""
    found: dict[str, dict[str, Result]] = {}
    for path in paths:
        for line in Path(path).read_text("utf-8").splitlines():
            r = json.loads(line)
            found.setdefault(r["module"].split(".")[1], {})[r["key"]] = r
    return {name: list(found[name].values()) for name in PARTS if name in found}


def page(old: str, parts: dict[str, list[Result]], reasons: list[dict[str, str]]) -> str:
    """Return the page with the sections of some parts made anew; those of the others stay as they are."""
    head, _, rest = old.partition(START)
    made, _, tail = rest.partition(END)
    stays = {text.splitlines()[0].lower(): f"## {text.rstrip()}\n\n" for text in made.split("\n## ")[1:]}
    lines = [
        line
        for name in PARTS
        for line in (part_text(name, parts[name], reasons) if name in parts else stays.get(name, "").splitlines())
    ]
    return "\n".join([f"{head}{START}", "", *lines, f"{END}{tail}"])


def main() -> None:
    """Write the page."""
    reasons = tomllib.loads(REASONS.read_text("utf-8"))["survivor"]
    PAGE.write_text(page(PAGE.read_text("utf-8"), read(sys.argv[1:]), reasons), encoding="utf-8")


if __name__ == "__main__":
    main()
