"""What every finding must be, whatever it is about: sentences a person can read, with a basis, for somebody."""

from __future__ import annotations

import re

from stubout.problems import Basis, Finding

NO_WORD = re.compile(r"\b(?:None|True|False|nan|inf)\b|\bX\w+X\b|-?\d+\.\d{5,}")
OWNERS = ("", "owner", "builder", "inspector", "plumber", "engineer", "cabinet maker")  # who can be asked for a thing


def nonsense(finding: Finding) -> list[str]:
    """Return what is wrong with a finding as such; nothing where it makes sense."""
    wrong = []
    for name in ("found", "wanted", "do", "why"):
        text = getattr(finding, name)
        if not text or NO_WORD.search(text):
            wrong.append(f"{name}: {text!r}")
    if not finding.bases or not all(isinstance(b, Basis) and b.what for b in finding.bases):
        wrong.append(f"bases: {finding.bases}")
    if not finding.about or not all(isinstance(a, str) and a for a in finding.about):
        wrong.append(f"about: {finding.about}")
    if finding.owner not in OWNERS:
        wrong.append(f"owner: {finding.owner}")
    return wrong
