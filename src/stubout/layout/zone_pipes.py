"""What lies and stands in the layers of one floor zone. Lengths [mm]."""

from __future__ import annotations

import math

from stubout.layout.draft import Board
from stubout.layout.space import Space
from stubout.layout.space_shapes import XY, Gauge, Layer
from stubout.layout.traffic import Post


class ZonePipes:
    """The pipes of one floor zone on the board, by the layers they lie in."""

    def __init__(self, space: Space, board: Board, layers: tuple[Layer, ...], gauges: dict[float, Gauge]) -> None:
        self.space, self.board, self.gauges = space, board, gauges
        self.layers = {layer.key: layer for layer in layers}
        self.edge_layer: dict[int, str] = {}
        self.system = "drain"
        self.planned: list[Post] = []  # outlets and vents that will stand in this zone

    def lines(self) -> tuple[tuple[XY, XY], ...]:
        """Return the level drains of this zone as plan segments."""
        board = self.board
        edges = (board.edges.get(i) for i in sorted(self.edge_layer))
        return tuple((board.nodes[e.up].xy, board.nodes[e.down].xy) for e in edges if e is not None and not e.plumb)

    def posts(self) -> list[Post]:
        """Return the plumb pipes that stand in the layers of this zone."""
        out: list[Post] = list(self.planned)
        if self.system == "vent":
            return out
        layers = list(self.layers.values())
        floor = layers[0].level.subfloor_z_mm
        for e in self.board.edges.values():
            if not e.plumb or e.system != self.system:
                continue
            up, down = self.board.nodes[e.up], self.board.nodes[e.down]
            if up.z is not None and up.z < floor - 1200.0:
                continue
            if down.z is not None and down.z > floor:
                continue
            if math.hypot(up.xy[0] - down.xy[0], up.xy[1] - down.xy[1]) < 1.0:
                out.append(Post(up.xy, down.z, self.gauges[e.size_in].r))
        if self.system == "drain":
            for s in self.board.stacks:
                z = self.board.nodes[s.foot].z
                deep = s.places[-1][0]
                if deep < floor + 1.0:
                    out.append(Post(s.xy, z, self.gauges[s.size_in].r))
        return out
