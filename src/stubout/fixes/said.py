"""A change of the design as statements of the job file, where the file has words for it. Lengths [mm].

A fix is tried on a copy of the design; the job file is the truth. What the file can say - a fact of the house, a wish,
the test, a drawn route - is said there and planned anew; of the rest it is told why the file cannot say it.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

from stubout import units
from stubout.problems import StuboutError

Value = str | Sequence["Value"] | Mapping[str, "Value"]
MORE = "+"  # last step of a path: one more entry at the end of that list


@dataclass(frozen=True, slots=True)
class Statement:
    """One value of the job file set, added or taken out.

    The path goes from the outermost key inwards; an entry of a list is called by its tag or id, or by number, from 1.
    """

    path: tuple[str | int, ...]
    value: Value | None  # None: taken out


class NotSaid(StuboutError, ValueError):  # noqa: N818 - reads as a sentence where it is caught
    """The job file has no word for a change; the message says why, for the one who reads the fix."""


def nominal(size_in: float) -> str:
    """Return a nominal pipe size [in] as it is written into the job file."""
    return f"{units.size(size_in)} in"
