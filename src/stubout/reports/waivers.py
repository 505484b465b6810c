"""Written acceptances: a record of the job file that says who accepted which finding."""

from __future__ import annotations

from collections.abc import Iterable

from stubout.house.facts import Reading
from stubout.problems import Finding

WAIVER = "waiver"


def waiver_of(finding: Finding, readings: Iterable[Reading]) -> Reading | None:
    """Return the record that accepts a finding, None if there is none.

    A record counts when its `what` is `waiver`, its `about` names the check and one of the things it is about
    (`ARM001 KS`), and it has an author, a date and a text: an acceptance nobody signed is none.
    """
    for reading in readings:
        words = reading.about.replace(",", " ").split()
        if (
            reading.what.strip().lower() == WAIVER
            and finding.check in words
            and any(a in words for a in finding.about)
            and all((reading.author, reading.date, reading.value))
        ):
            return reading
    return None
