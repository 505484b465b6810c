"""The lines of the file in which two revisions differ; what that moved in the plan is told by `change/told.py`."""

from __future__ import annotations

from dataclasses import dataclass
from difflib import SequenceMatcher
from typing import Literal

_AROUND = 2  # lines shown before and after a change


@dataclass(frozen=True, slots=True)
class Row:
    """One line of a comparison."""

    kind: Literal["same", "out", "in", "gap"]
    before: int  # line number, 0 where there is none
    after: int
    text: str


def rows(before: str, after: str) -> tuple[Row, ...]:
    """Return what changed with a few lines round it; nothing for the same text."""
    a, b = before.splitlines(), after.splitlines()
    out: list[Row] = []
    for group in SequenceMatcher(None, a, b, autojunk=False).get_grouped_opcodes(_AROUND):
        if group[0][1] or out:
            out.append(Row("gap", 0, 0, ""))
        for what, a0, a1, b0, b1 in group:
            if what == "equal":
                out += [Row("same", a0 + i + 1, b0 + i + 1, a[a0 + i]) for i in range(a1 - a0)]
            else:
                out += [Row("out", i + 1, 0, a[i]) for i in range(a0, a1)]
                out += [Row("in", 0, i + 1, b[i]) for i in range(b0, b1)]
    return tuple(out)
