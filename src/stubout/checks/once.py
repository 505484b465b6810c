"""One cause told once: what two checks would say of the same place."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import replace

from stubout.problems import Finding

QUESTION = "ASK001"
NO_PLACE = "-cleanout"  # end of the id of a question about a cleanout that no place was found for


def told_once(findings: Iterable[Finding]) -> tuple[Finding, ...]:
    """Return the findings, where a cleanout is missing because no place was found for it with that question in it.

    The question stays in the list of open questions: somebody must answer it. As a finding of its own it would tell
    the missing cleanout a second time.
    """
    every = tuple(findings)
    asked = {f.about[1]: f for f in every if f.check == QUESTION and f.about[0].endswith(NO_PLACE)}
    told: dict[str, Finding] = {}
    out = []
    for f in every:
        places = [a for a in f.about if a in asked] if f.check.startswith("CLO") else []
        told.update({a: asked[a] for a in places})
        out.append(_with_question(f, asked[places[0]]) if places else f)
    return tuple(f for f in out if f not in told.values())


def _with_question(missing: Finding, question: Finding) -> Finding:
    """Return the finding of a missing cleanout that says whom to ask for a place."""
    ask = f"no place was found that a person can reach in the finished house: ask the {question.owner} where it may be"
    return replace(missing, do=f"{missing.do}; {ask}, or whether it may be left out", owner=question.owner)
