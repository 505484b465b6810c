"""Faults of fittings measured in hand: one nobody knows, a dimension it has not, a length it cannot have."""

from __future__ import annotations

from collections.abc import Callable, Iterator

from stubout.catalog.estimate import make_ups
from stubout.catalog.measured import as_catalogued, dimension_said, dimensions, fitting_meant, fitting_said, sane_range
from stubout.catalog.shipped import SHIPPED
from stubout.files.job_faults import Loc, Marks
from stubout.files.job_words import did_you_mean, one_of, quoted
from stubout.job.model import Job
from stubout.problems import Fault

_FITTING = "a fitting as the cut list names it, with its sizes, such as sanitary tee 3 x 3 x 2"


def measured_faults(job: Job, marks: Marks, show: Callable[[float], str]) -> Iterator[Fault]:
    """Yield what is wrong with the fittings a job has measured."""
    seen: dict[tuple[str, str], int] = {}
    for number, said in enumerate(job.measured):
        loc: Loc = ("measured", number)
        fitting = fitting_said(said.fitting)
        if fitting is None:
            near = fitting_meant(said.fitting)
            do = f'Did you mean "{near}"?' if near else did_you_mean(said.fitting, SHIPPED.patterns)
            yield marks.fault((*loc, "fitting"), quoted(said.fitting), _FITTING, do)
            continue
        ports = make_ups(SHIPPED, *fitting)
        dimension = dimension_said(said.dimension, ports)
        if dimension is None:
            known = dimensions(ports)
            do = did_you_mean(said.dimension, known)
            yield marks.fault((*loc, "dimension"), quoted(said.dimension), one_of(known), do)
            continue
        key = as_catalogued(said.fitting, said.dimension)
        if key in seen:
            found = f"{quoted(f'{key[0]}, {key[1]}')} again"
            yield marks.fault((*loc, "dimension"), found, f"every dimension once: it is on line {seen[key]} too")
        seen.setdefault(key, marks.line((*loc, "dimension")))
        low, high = sane_range(*fitting, dimension)
        if not (said.is_ > 0.0 and low <= said.is_ <= high):
            least = f"at least {show(low)}" if low else "more than nothing"
            wanted = f"{least} and at most {show(high)}, as the {dimension} of such a fitting"
            yield marks.fault((*loc, "is"), show(said.is_), wanted, "Is the unit right?")
