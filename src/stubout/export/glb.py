"""A design as GLB, the binary form of glTF 2.0: pipes, frame, cabinets and fixtures to be looked at from all sides.

glTF counts in metres with y up; the house has x east, y north, z up in millimetres. A point x, y, z of the house is
x, z, -y there, so that north points away from one who looks at the front.

A pipe is one node of the scene: a cylinder of its outside diameter on its centre line, named by its id, with what it is
in `extras`. A fitting is a node for each of its hubs that takes a pipe: a cylinder as wide as the hub, from the centre
of the joint as far as the socket reaches; bends and wyes are so made of straight arms. Members of one wall or one floor
frame are one mesh. The names of the wood and the holes stay in the lists. Source of the layout of the bytes: the glTF
2.0 specification of the Khronos Group (from memory; a test reads them with an independent reader).
"""

from __future__ import annotations

import json
import math
import struct
from collections.abc import Iterable
from dataclasses import dataclass, field
from typing import Any, Final

from stubout import units
from stubout.catalog import queries as catalog
from stubout.design import Design
from stubout.fabrication.hubs import couplings_on, hub_ends
from stubout.fabrication.members import Member, members
from stubout.fabrication.model import FittingUse
from stubout.geometry.vec import Box, Vec
from stubout.network.model import Pipe
from stubout.sheets.storeys import Storey, storey_of, storeys

SIDES: Final = 16  # of a pipe's cylinder
LEAST_MM: Final = 0.5  # a pipe shorter than this is a joint and no body
_MM: Final = 1000.0
_MAGIC, _JSON, _BIN = 0x46546C67, 0x4E4F534A, 0x004E4942
_FLOAT, _UINT = 5126, 5125
_ARRAY, _ELEMENTS = 34962, 34963

# Dark on light and light on dark: told apart in grey as well. Metal 0, or viewers show it black.
MATERIALS: Final[tuple[tuple[str, tuple[float, float, float, float]], ...]] = (
    ("drain", (0.24, 0.12, 0.0, 1.0)), ("vent", (0.12, 0.28, 0.6, 1.0)), ("fitting", (0.02, 0.02, 0.02, 1.0)),
    ("wood", (0.85, 0.74, 0.55, 0.35)), ("cabinet", (0.7, 0.7, 0.7, 0.3)), ("fixture", (0.6, 0.64, 0.7, 0.6)),
    ("obstacle", (0.55, 0.35, 0.35, 0.5)),
)  # fmt: skip
_MATERIAL: Final = {name: i for i, (name, _) in enumerate(MATERIALS)}
# The corners of a box by the bits of x, y, z, and its twelve triangles seen from outside.
_TRIANGLES: Final = (
    0, 2, 1, 1, 2, 3, 4, 5, 6, 5, 7, 6, 0, 1, 4, 1, 5, 4, 2, 6, 3, 3, 6, 7, 0, 4, 2, 2, 4, 6, 1, 3, 5, 3, 7, 5,
)  # fmt: skip


def gltf(p: Vec) -> tuple[float, float, float]:
    """Return a point of the house as glTF counts: metres, y up."""
    return p.x / _MM, p.z / _MM, -p.y / _MM + 0.0


@dataclass(slots=True)
class _Scene:
    """A glTF document under way."""

    nodes: list[dict[str, Any]] = field(default_factory=list)
    meshes: list[dict[str, Any]] = field(default_factory=list)
    accessors: list[dict[str, Any]] = field(default_factory=list)
    views: list[dict[str, Any]] = field(default_factory=list)
    data: bytearray = field(default_factory=bytearray)
    cylinders: dict[str, int] = field(default_factory=dict)  # material -> mesh

    def _view(self, data: bytes, target: int) -> int:
        self.views.append({"buffer": 0, "byteOffset": len(self.data), "byteLength": len(data), "target": target})
        self.data += data
        return len(self.views) - 1

    def vectors(self, some: list[tuple[float, float, float]]) -> int:
        """Store points or directions and return their accessor."""
        packed = struct.pack(f"<{3 * len(some)}f", *(c for p in some for c in p))
        exact = list(struct.iter_unpack("<3f", packed))  # as single floats: what a reader finds
        self.accessors.append(
            {
                "bufferView": self._view(packed, _ARRAY),
                "componentType": _FLOAT,
                "count": len(some),
                "type": "VEC3",
                "min": [min(p[i] for p in exact) for i in range(3)],
                "max": [max(p[i] for p in exact) for i in range(3)],
            }
        )
        return len(self.accessors) - 1

    def indices(self, some: list[int]) -> int:
        """Store corners of triangles and return their accessor."""
        view = self._view(struct.pack(f"<{len(some)}I", *some), _ELEMENTS)
        self.accessors.append({"bufferView": view, "componentType": _UINT, "count": len(some), "type": "SCALAR"})
        return len(self.accessors) - 1

    def boxes(self, corners: Iterable[list[Vec]], material: str) -> int | None:
        """Store boxes, each by its eight corners, as one mesh; None if there is none."""
        points: list[tuple[float, float, float]] = []
        order: list[int] = []
        for eight in corners:
            order += [len(points) + i for i in _TRIANGLES]
            points += [gltf(p) for p in eight]
        if not points:
            return None
        shape = {"attributes": {"POSITION": self.vectors(points)}, "indices": self.indices(order)}
        self.meshes.append({"primitives": [{**shape, "material": _MATERIAL[material]}]})
        return len(self.meshes) - 1

    def cylinder(self, material: str) -> int:
        """Return the mesh of a cylinder of radius and length one that stands on the origin, stored once a material."""
        if material not in self.cylinders:
            points, normals, order = _cylinder()
            shape = {"POSITION": self.vectors(points), "NORMAL": self.vectors(normals)}
            body = {"attributes": shape, "indices": self.indices(order), "material": _MATERIAL[material]}
            self.meshes.append({"primitives": [body]})
            self.cylinders[material] = len(self.meshes) - 1
        return self.cylinders[material]

    def add(self, name: str, mesh: int | None, extras: dict[str, Any], **place: Any) -> None:
        """Put a mesh into the scene."""
        if mesh is not None:
            self.nodes.append({"name": name, "mesh": mesh, "extras": extras, **place})

    def packed(self, title: str, levels: list[str]) -> bytes:
        """Return the document as one file; `levels` from the bottom up, as the bodies name theirs."""
        document = {
            "asset": {"version": "2.0", "generator": "Stubout"},
            "scene": 0,
            "scenes": [{"name": title, "nodes": list(range(len(self.nodes))), "extras": {"levels": levels}}],
            "nodes": self.nodes,
            "meshes": self.meshes,
            "materials": [_material(name, colour) for name, colour in MATERIALS],
            "accessors": self.accessors,
            "bufferViews": self.views,
            "buffers": [{"byteLength": len(self.data)}],
        }
        document = {k: v for k, v in document.items() if v != []}  # empty lists are not allowed
        text = json.dumps(document, separators=(",", ":"), ensure_ascii=True, allow_nan=False).encode()
        text += b" " * (-len(text) % 4)
        body = bytes(self.data) + b"\0" * (-len(self.data) % 4)
        chunks = struct.pack("<II", len(text), _JSON) + text + struct.pack("<II", len(body), _BIN) + body
        return struct.pack("<III", _MAGIC, 2, 12 + len(chunks)) + chunks


def _material(name: str, colour: tuple[float, float, float, float]) -> dict[str, Any]:
    shine = {"baseColorFactor": list(colour), "metallicFactor": 0.0, "roughnessFactor": 0.9}
    clear = {"alphaMode": "BLEND"} if colour[3] < 1.0 else {}
    return {"name": name, "pbrMetallicRoughness": shine, "doubleSided": True, **clear}


def _cylinder() -> tuple[list[tuple[float, float, float]], list[tuple[float, float, float]], list[int]]:
    turns = [2 * math.pi * k / SIDES for k in range(SIDES)]
    ring = [(round(math.cos(t), 9), round(math.sin(t), 9)) for t in turns]
    points = [(x, y, z) for y in (0.0, 1.0) for x, z in ring]
    normals = [(x, 0.0, z) for _ in (0, 1) for x, z in ring]
    order: list[int] = []
    for k in range(SIDES):
        n = (k + 1) % SIDES
        order += [k, SIDES + k, n, n, SIDES + k, SIDES + n]
    for y in (0.0, 1.0):
        first = len(points)
        points += [(x, y, z) for x, z in ring]
        normals += [(0.0, 2 * y - 1.0, 0.0)] * SIDES
        for k in range(1, SIDES - 1):
            order += [first, first + k, first + k + 1] if y == 0.0 else [first, first + k + 1, first + k]
    return points, normals, order


def _turn(d: Vec) -> list[float]:
    """Return the turn that lays the y axis of glTF along a direction of the house, as a quaternion x, y, z, w."""
    x, y, z = (d.x, d.z, -d.y)
    if y < -1.0 + 1e-9:
        return [1.0, 0.0, 0.0, 0.0]
    w = math.sqrt((1.0 + y) / 2)
    return [round(v, 9) + 0.0 for v in (z / (2 * w), 0.0, -x / (2 * w), w)]


def glb(design: Design) -> bytes:
    """Return the design as a GLB file; the same design gives the same bytes."""
    scene = _Scene()
    house = design.house
    levels = {v.id: v.title or v.id for v in house.levels}
    for p in design.pipes():
        if p.length_mm >= LEAST_MM:
            _pipe(scene, design, p)
            _fittings(scene, design, p)
    for owner, some in _by_owner(members(house)).items():
        level = some[0].level_id
        title = levels.get(level, level) or storey_name(
            storeys(design)[-1]
        )  # what carries no floor hangs below the roof
        kind = "frame" if some[0].frame is not None else "wall" if some[0].wall is not None else "beam"
        told = {"kind": kind, "about": owner, "level": title}
        scene.add(f"{kind} {owner}", scene.boxes((_corners(m) for m in some), "wood"), told)
    walls = {w.id: w.level_id for w in house.walls}
    for c in house.cabinets:
        level = walls.get(c.wall_id) or next((r.level_id for r in house.rooms if r.holds(c.box.centre)), "")
        told = {"kind": "cabinet", "about": c.run_id, "what": c.label, "level": levels.get(level, level)}
        scene.add(f"cabinet {c.id}", scene.boxes([_of_box(c.box)], "cabinet"), told)
    for f in house.fixtures:
        if f.extent is not None:
            told = {"kind": "fixture", "about": f.tag, "what": f.title, "level": levels.get(f.level_id, f.level_id)}
            scene.add(f"fixture {f.tag}", scene.boxes([_of_box(f.extent)], "fixture"), told)
    return scene.packed(house.job.title, [storey_name(s) for s in storeys(design)])


def _pipe(scene: _Scene, design: Design, p: Pipe) -> None:
    system = design.house.job.units
    way = p.b.minus(p.a)
    radius = catalog.od_mm(p.size_in) / 2 / _MM
    told = {
        "kind": "pipe", "about": p.id, "system": p.system, "what": p.role.value, "size": f"{units.size(p.size_in)} in",
        "slope": "plumb" if p.vertical else units.slope(p.slope, system), "length": units.named(p.length_mm, system),
        "serves": ", ".join(p.tags), "level": storey_name(storey_of(design, p)),
    }  # fmt: skip
    scene.add(
        p.id,
        scene.cylinder(p.system),
        told,
        translation=[round(v, 6) + 0.0 for v in gltf(p.a)],
        rotation=_turn(way.unit()),
        scale=[round(radius, 6), round(p.length_mm / _MM, 6), round(radius, 6)],
    )


def _fittings(scene: _Scene, design: Design, p: Pipe) -> None:
    """Put the hubs into the scene that a pipe stands in, each as long as make-up and socket; and its couplings."""
    uses = {f.id: f for f in design.fabrication.fittings}
    for end in hub_ends(design.fabrication, p):
        at, far = (p.a, p.b) if end.at_start else (p.b, p.a)
        reach = min(end.takeoff_mm + catalog.socket_mm(p.size_in), p.length_mm)
        _hub(scene, design, p, uses.get(end.fitting), end.fitting, (at, far.minus(at).unit().times(reach)))
    for use in couplings_on(design.fabrication, p):
        whole = p.b.minus(p.a).unit().times(catalog.coupling_mm(p.size_in))
        _hub(scene, design, p, use, use.id, (use.at.minus(whole.times(0.5)), whole))


def _hub(scene: _Scene, design: Design, p: Pipe, use: FittingUse | None, named: str, spans: tuple[Vec, Vec]) -> None:
    """Put one hub into the scene: where it begins, and how far it goes."""
    at, way = spans
    radius = catalog.hub_od_mm(p.size_in) / 2 / _MM
    told = {
        "kind": "fitting", "about": named, "what": use.pattern if use else "",
        "size": " x ".join(units.size(s) for s in use.sizes_in) + " in" if use else "", "system": p.system,
        "level": storey_name(storey_of(design, p)),
    }  # fmt: skip
    scene.add(
        f"{named} at {p.id}",
        scene.cylinder("fitting"),
        told,
        translation=[round(v, 6) + 0.0 for v in gltf(at)],
        rotation=_turn(way.unit()),
        scale=[round(radius, 6), round(way.length / _MM, 6), round(radius, 6)],
    )


def storey_name(storey: Storey) -> str:
    """Return what a plan is called in the model: its level, what is under it, the attic."""
    title = storey.level.title or storey.level.id
    return {"under": f"Under {title}", "attic": "Attic"}.get(storey.kind, title)


def _by_owner(some: Iterable[Member]) -> dict[str, list[Member]]:
    out: dict[str, list[Member]] = {}
    for m in some:
        out.setdefault(m.owner, []).append(m)
    return out


def _corners(m: Member) -> list[Vec]:
    """Return the eight corners of a member; of an I-joist those of its outline."""
    return [
        m.origin.plus(m.along.times(u)).plus(m.across.times(v)).at_z(z)
        for z in (m.lo.z, m.hi.z)
        for v in (m.lo.y, m.hi.y)
        for u in (m.lo.x, m.hi.x)
    ]


def _of_box(box: Box) -> list[Vec]:
    lo, hi = box.lo, box.hi
    return [Vec(x, y, z) for z in (lo.z, hi.z) for y in (lo.y, hi.y) for x in (lo.x, hi.x)]
