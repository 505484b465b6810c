"""Faults of a job's own costs: an item nobody knows, a size it has not, nothing said, said twice, no sane number."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Final

from stubout.catalog.costs import ANY, FACTOR
from stubout.catalog.model import size_text
from stubout.catalog.shipped_costs import COSTS
from stubout.files.job_faults import Marks
from stubout.files.job_words import did_you_mean, quoted
from stubout.job.model import CostSaid, Job
from stubout.problems import Fault

MOST_MIN: Final = 10_000.0  # of one piece or metre: a month of one plumber
MOST_TIMES: Final = 100.0


def cost_faults(job: Job, marks: Marks) -> Iterator[Fault]:
    """Yield what is wrong with the costs a job lays over those of the data."""
    known = COSTS.items()
    seen: set[tuple[str, float | None]] = set()
    for number, said in enumerate(job.costs):
        if said.item not in known:
            wanted = "an item of the cost data (docs/costs.md)"
            yield marks.fault(("costs", number, "item"), quoted(said.item), wanted, did_you_mean(said.item, known))
            continue
        if (said.item, said.size) in seen:
            yield marks.fault(("costs", number, "item"), f"{quoted(said.item)} again", "one entry an item and size")
        seen.add((said.item, said.size))
        factor = said.item.startswith(FACTOR)
        most, what = (MOST_TIMES, "how many times as long it takes") if factor else (MOST_MIN, "minutes")
        for key in ("work", "material"):
            value = getattr(said, key)
            if value is not None and not 0.0 <= value <= most:
                yield marks.fault(("costs", number, key), f"{value:g}", f"{what}, no minus and at most {most:g}")
        yield from _shape(said, number, marks)


def _shape(said: CostSaid, number: int, marks: Marks) -> Iterator[Fault]:
    """Yield what an entry says of nothing: no number, a size of a thing that has none, material of a factor."""
    loc = ("costs", number)
    if said.work is None and said.material is None:
        yield marks.fault((*loc, "item"), "no cost", "`work` or `material`, in minutes")
    factor = said.item.startswith(FACTOR)
    if factor and said.material is not None:
        yield marks.fault((*loc, "material"), f"{said.material:g}", "`work` only: how many times as long it takes")
    if said.size is None:
        return
    sizes = set() if factor else {s for s in COSTS.rows[said.item].work if s != ANY}
    if not sizes:
        yield marks.fault((*loc, "size"), size_text(said.size), f"no size: {quoted(said.item)} costs the same in all")
    elif said.size not in sizes:
        wanted = ", ".join(size_text(s) for s in sorted(sizes))
        yield marks.fault((*loc, "size"), size_text(said.size), f"one of {wanted}")
