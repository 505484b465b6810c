"""How each family of books measures the developed length of a vent. Data, with sections; used by `vents.py`."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

from stubout.layout.model import Role
from stubout.problems import Basis, Status


@dataclass(frozen=True, slots=True)
class Measure:
    """Where the developed length of a vent ends, in the words of one family.

    `stops_at` are the roles a length stops at when it meets them; `always_to_air` are the roles that are measured to
    the open air whatever they meet; `own_start` are the roles measured from their own lower end, not from the most
    distant drain connection that feeds them.
    """

    stops_at: frozenset[Role]
    always_to_air: frozenset[Role]
    own_start: frozenset[Role]
    words: str
    section: str
    status: Status
    value_id: str = "vent.length_from"

    def basis(self, book_id: str) -> Basis:
        """Return the rule as a basis."""
        return Basis("developed length of a vent", self.words, book_id, self.section, self.status)


MEASURES: Mapping[str, Measure] = {
    "n": Measure(
        frozenset({Role.STACK_VENT, Role.HEADER}),
        frozenset({Role.STACK_VENT, Role.HEADER}),
        frozenset({Role.STACK_VENT}),
        "most distant drain connection to stack vent, header or open air; a header and a stack vent to open air",
        "2.5.8.3(2)-(5), 2.5.8.4(2)",
        Status.SECONDARY,
    ),
    "u": Measure(
        frozenset(),
        frozenset(),
        frozenset(),
        "most distant drain connection to the open air",
        "703.2, 904.2",
        Status.MEMORY,
    ),
    "i": Measure(
        frozenset({Role.STACK_VENT}),
        frozenset({Role.STACK_VENT, Role.HEADER}),
        frozenset(),
        "farthest vent connection at the drainage to the stack vent, vent stack or terminal",
        "P3113.2, 906.1",
        Status.READ,
    ),
}


def measure_of(family: str) -> Measure:
    """Return the measure of a family; the strictest (to the open air) for one that is not listed."""
    return MEASURES.get(family, MEASURES["u"])
