"""All drawings of a design, in the order they are bound."""

from __future__ import annotations

from stubout.design import Design, Window
from stubout.sheets.isometric import isometric
from stubout.sheets.legend import legend
from stubout.sheets.model import Sheet
from stubout.sheets.plan import floor_plans
from stubout.sheets.profile import profile
from stubout.sheets.wall import wall_marks


def sheets(design: Design, windows: tuple[Window, ...] = ()) -> tuple[Sheet, ...]:
    """Return every drawing: key, isometric, plans from the bottom up, profile, wall sheets with windows of marks."""
    return (
        *legend(design),
        *isometric(design),
        *floor_plans(design),
        *profile(design),
        *wall_marks(design, windows),
    )
