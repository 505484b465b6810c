"""Written acceptances: a record of the job file that says who accepted which finding."""

from __future__ import annotations

from collections.abc import Iterable

from stubout.house.facts import Reading
from stubout.problems import Finding


def waiver_of(finding: Finding, readings: Iterable[Reading]) -> Reading | None:
    """Return the record that accepts a finding, None if there is none.

    A record counts when its `what` is `waiver`, its `about` names the check and one of the things it is about
    (`ARM001 KS`), and it has an author, a date and a text: an acceptance nobody signed is none.
    """
    return next((r for r in readings if r.accepts(finding.check, finding.about)), None)
