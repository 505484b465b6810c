"""What the engine remembers of the routes drawn by hand while it completes them. Lengths [mm]."""

from __future__ import annotations

from dataclasses import dataclass, field

from stubout.layout.drawn import Drawing
from stubout.layout.space_shapes import XY


@dataclass(slots=True)
class Adopted:
    """A drawing put on the board: node and edge of every point and run, and where others may meet it."""

    drawing: Drawing
    open: dict[str, str]  # fixture -> "all" or "vent": what the engine has to add
    nodes: dict[str, int] = field(default_factory=dict)  # point id -> node
    edges: dict[str, int] = field(default_factory=dict)  # run id -> edge, before any split
    layers: dict[str, dict[int, str]] = field(default_factory=dict)  # level -> lying edge -> layer
    keys: dict[str, set[XY]] = field(default_factory=dict)  # level -> plan positions of those edges
    root: int = 0  # node of the sewer connection, 0 if it is not drawn

    @property
    def empty(self) -> bool:
        """Return whether nothing is drawn."""
        return not self.edges
