"""Which fixtures a rule of a book takes: `only lavatory, shower`, `not water closet`, `any`, in our fixture words."""

from __future__ import annotations

from stubout.kinds import FixtureKind
from stubout.problems import NotInBook
from stubout.rulebooks.model import Cell


def takes(cell: Cell, kind: FixtureKind) -> bool:
    """Return whether a rule takes a fixture.

    Args:
        cell: The value, in the words above.
        kind: The fixture.

    Raises:
        NotInBook: If the value is not in those words, as an amendment may be.
    """
    word, _, rest = cell.text.partition(" ")
    try:
        kinds = {FixtureKind(k.strip()) for k in rest.split(",") if k.strip()}
    except ValueError as fault:
        raise NotInBook(f"{cell.book}: {cell.id} names an unknown fixture: {fault}") from None
    if word == "only":
        return kind in kinds
    if word in ("not", "any"):
        return kind not in kinds
    raise NotInBook(f"{cell.book}: {cell.id} is {cell.text!r}, wanted only, not or any and fixtures")
