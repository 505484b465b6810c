"""Names of what a job is asked beyond its plain plan, as the options of `plan` say it: read without the engine."""

from __future__ import annotations

from dataclasses import dataclass, fields
from typing import Final

VERIFY: Final = "verify"  # of the work that draws the verification sheet
SHEET: Final = "verify.json"
REFINE: Final = "refine"  # of the work that looks for a better layout; the number of layouts goes with it
REFINED: Final = "refined.json"
MOST_LAYOUTS: Final = 200  # over HTTP, one after the other
USUAL_LAYOUTS: Final = 40  # half a minute or two for a house of one storey
OTHERS: Final = "alternatives.json"
_PLAN: Final = "plan with"  # what the kind of a plan with options begins with
_LONG: Final = ("why_blocked", "alternatives")  # options that lay the house out again and again


@dataclass(frozen=True, slots=True)
class Options:
    """What a plan is to hold besides, as the command line has it."""

    fixes: bool = False
    why_blocked: bool = False
    alternatives: bool = False
    prices: bool = False

    @property
    def kind(self) -> str:
        """Return the kind of the work, "" where nothing is asked besides."""
        asked = " ".join(f.name for f in fields(self) if getattr(self, f.name))
        return f"{_PLAN} {asked}" if asked else ""


def is_plan(kind: str) -> bool:
    """Return whether a kind of work is a plan with options."""
    return kind.startswith(f"{_PLAN} ")


def refine_kind(layouts: int) -> str:
    """Return the kind of the work that looks for the best of so many layouts."""
    return f"{REFINE} {layouts}"


def is_refine(kind: str) -> bool:
    """Return whether a kind of work looks for a better layout."""
    return kind.startswith(f"{REFINE} ")


def options(kind: str) -> Options:
    """Return the options of a kind of work."""
    return Options(**dict.fromkeys(kind.removeprefix(_PLAN).split(), True))


def is_long(kind: str) -> bool:
    """Return whether a kind of work lays the house out many times."""
    return is_refine(kind) or (is_plan(kind) and any(getattr(options(kind), name) for name in _LONG))
