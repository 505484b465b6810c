"""Faults of records: a kind that is misspelt, a reading that is none, an acceptance of nothing or by nobody."""

from __future__ import annotations

import difflib
import re
from collections.abc import Iterator
from typing import Final

from stubout import units
from stubout.files.job_faults import Loc, Marks
from stubout.files.job_words import quoted
from stubout.house.facts import reading_kind
from stubout.job.model import Job, RecordSaid
from stubout.problems import Fault

_KINDS: Final = ("stub height", "height", "slope", "test", "waiver")
_NEAR: Final = 0.75  # of a misspelt kind to the one that was meant; anything farther is a kind of the user's own
_CHECK: Final = re.compile(r"[A-Za-z]{3}[0-9]{3}")


def record_faults(job: Job, marks: Marks) -> Iterator[Fault]:
    """Yield what is wrong with the records of a job."""
    for number, said in enumerate(job.records):
        loc: Loc = ("records", number)
        kind = reading_kind(said.what)
        if not kind:
            near = difflib.get_close_matches(" ".join(said.what.lower().split())[:80], _KINDS, 1, _NEAR)
            if near or not said.what.strip():
                wanted = f"{', '.join(_KINDS)}, or a word of your own that is only printed"
                yield marks.fault(
                    (*loc, "what"), quoted(said.what), wanted, f'Did you mean "{near[0]}"?' if near else ""
                )
        elif kind == "waiver":
            yield from _acceptance(said, loc, marks)
        elif kind != "test":
            try:
                units.parse_slope(said.value) if kind == "slope" else units.parse_length_mm(said.value, job.job.units)
            except units.UnitError as error:
                do = f"{error.do[0].upper()}{error.do[1:]}." if error.do else ""
                yield marks.fault((*loc, "value"), quoted(error.found), error.wanted, do)


def _acceptance(said: RecordSaid, loc: Loc, marks: Marks) -> Iterator[Fault]:
    words = said.about.replace(",", " ").split()
    checks = [w for w in words if _CHECK.fullmatch(w)]
    if not checks or len(checks) == len(words):
        wanted = "the check and what it is about, such as ARM001 KS"
        yield marks.fault((*loc, "about"), quoted(said.about), wanted, "Both stand at the head of the finding.")
    for key in ("value", "date", "by"):
        if not getattr(said, key).strip():
            yield marks.fault((*loc, key), "nothing", "a text: an acceptance nobody signed is none")
