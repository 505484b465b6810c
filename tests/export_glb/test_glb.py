"""The GLB file read again by two independent readers: where everything is, how thick, how often.

Expected values: by hand, from the design itself.
"""

import io
import json
import struct

import pytest
from laid_out import design_named

from stubout import run
from stubout.catalog import queries as catalog
from stubout.export.glb import LEAST_MM, glb, gltf, storey_name
from stubout.fabrication.hubs import couplings_on, hub_ends
from stubout.fabrication.members import members
from stubout.geometry.vec import Vec
from stubout.sheets.storeys import storey_of

trimesh = pytest.importorskip("trimesh", reason="trimesh is not installed")
pygltflib = pytest.importorskip("pygltflib", reason="pygltflib is not installed")

POLYGON = 0.02  # a circle of 16 sides is so much narrower between its corners than across them


@pytest.fixture(scope="module")
def design():
    return design_named("demo")


@pytest.fixture(scope="module")
def data(design):
    return glb(design)


@pytest.fixture(scope="module")
def scene(data):
    return trimesh.load(io.BytesIO(data), file_type="glb")


@pytest.fixture(scope="module")
def read(data):
    return pygltflib.GLTF2.load_from_bytes(data)


def solid(design):
    """Return the pipes that have a body."""
    return [p for p in design.pipes() if p.length_mm >= LEAST_MM]


def span(design):
    """Return the box of the design in metres, y up: pipes with their thickness, members, cabinets, fixtures."""
    points = []
    for p in solid(design):
        r, d = catalog.od_mm(p.size_in) / 2, p.b.minus(p.a).unit()
        reach = Vec(*(r * max(0.0, 1 - c * c) ** 0.5 for c in d))
        points += [gltf(e.plus(reach.times(s))) for e in (p.a, p.b) for s in (1, -1)]
        for e in hub_ends(design.fabrication, p):
            at, way = (p.a, d) if e.at_start else (p.b, d.times(-1.0))
            wide = reach.times(catalog.hub_od_mm(p.size_in) / 2 / r)
            long = min(e.takeoff_mm + catalog.socket_mm(p.size_in), p.length_mm)
            points += [gltf(c.plus(wide.times(s))) for c in (at, at.plus(way.times(long))) for s in (1, -1)]
    boxes = [m.bounds() for m in members(design.house)] + [c.box for c in design.house.cabinets]
    boxes += [f.extent for f in design.house.fixtures if f.extent is not None]
    points += [gltf(e) for b in boxes for e in (b.lo, b.hi)]
    return [min(p[i] for p in points) for i in range(3)], [max(p[i] for p in points) for i in range(3)]


def test_the_box_round_it_is_that_of_the_design(design, scene):
    lo, hi = span(design)
    for found, wanted in zip((*scene.bounds[0], *scene.bounds[1]), (*lo, *hi), strict=True):
        assert found == pytest.approx(wanted, abs=0.003)  # metres: a polygon within a circle


def test_every_pipe_is_there_once_where_it_is_and_as_thick_as_it_is(design, scene):
    named = {n: scene.graph.get(n) for n in scene.graph.nodes_geometry}
    bodies = solid(design)
    assert sum(n in {p.id for p in bodies} for n in named) == len(bodies) == len({p.id for p in bodies})
    for p in bodies:
        matrix, mesh = named[p.id]
        for at, wanted in (((0, 0, 0, 1), p.a), ((0, 1, 0, 1), p.b)):
            assert (matrix @ at)[:3] == pytest.approx(gltf(wanted), abs=1e-4), p.id
        thick = ((matrix @ (1, 0, 0, 0))[:3] ** 2).sum() ** 0.5
        assert thick * 2000 == pytest.approx(catalog.od_mm(p.size_in), abs=0.01)
        assert scene.geometry[mesh].volume == pytest.approx(3.1416, rel=2 * POLYGON)  # faces look outward


def test_north_points_away_and_up_is_up():
    """By hand: 1 m east, 2 m north, 3 m up."""
    assert gltf(Vec(1000.0, 2000.0, 3000.0)) == (1.0, 3.0, -2.0)


def test_every_cabinet_fixture_wall_and_frame_is_there(design, scene):
    names = set(scene.graph.nodes_geometry)
    assert {f"cabinet {c.id}" for c in design.house.cabinets} <= names
    assert {f"fixture {f.tag}" for f in design.house.fixtures if f.extent is not None} <= names
    assert {f"wall {w.id}" for w in design.house.walls if w.studs} <= names
    assert {f"frame {f.id}" for f in design.house.frames if f.centres_mm} <= names
    for w in design.house.walls:
        _, mesh = scene.graph.get(f"wall {w.id}")
        studs = [m for m in members(design.house) if m.owner == w.id]
        assert len(scene.geometry[mesh].faces) == 12 * len(studs)
        assert scene.geometry[mesh].volume > 0  # faces look outward


def test_every_end_of_a_piece_in_a_fitting_has_its_hub(design, scene, read):
    """By the cut list: a hub is as long as make-up and socket, and as wide as hubs of its size are."""
    told = {n.name: n.extras for n in read.nodes}
    names = {n for n in told if told[n]["kind"] == "fitting"}
    wanted = {}
    coupled = {f.id: f.pipes[0] for f in design.fabrication.fittings if f.in_run}  # anywhere in a run, by its own pipe
    for c in design.fabrication.pieces:
        run_ = c.pipes or (c.pipe,)
        if not run_[0]:
            continue  # a nipple between two fittings of one joint
        for pipe, fitting, take in (
            (run_[0], c.start_fitting, c.takeoff_start_mm),
            (run_[-1], c.end_fitting, c.takeoff_end_mm),
        ):
            if fitting not in ("", "trap", "terminal", c.street) and take > 0:
                wanted.setdefault((fitting, coupled.get(fitting, pipe)), []).append(take)
    assert len(names) > 40
    seen = set()
    for (fitting, pipe), takes in wanted.items():
        p = design.network.pipe(pipe)
        name = f"{fitting} at {pipe}"
        if name not in names:
            continue  # within a run of several pieces, by another fitting between them
        seen.add(name)
        use = next(f for f in design.fabrication.fittings if f.id == fitting)
        assert told[name]["what"] == use.pattern
        matrix, _ = scene.graph.get(name)
        long = [min(t + catalog.socket_mm(p.size_in), p.length_mm) for t in takes]
        long = [catalog.coupling_mm(p.size_in)] if use.in_run else long
        assert any(abs(abs(matrix[:3, 1] @ matrix[:3, 1]) ** 0.5 * 1000 - n) < 0.1 for n in long)
        assert (matrix[:3, 0] @ matrix[:3, 0]) ** 0.5 * 2000 == pytest.approx(catalog.hub_od_mm(p.size_in), abs=0.1)
    assert seen == names
    assert len(seen) > 0.9 * len(wanted)


def test_what_a_pipe_is_stands_with_it(design, read):
    told = {n.name: n.extras for n in read.nodes}
    for p in solid(design):
        assert told[p.id]["kind"] == "pipe"
        assert told[p.id]["system"] == p.system
        assert told[p.id]["about"] == p.id
        assert told[p.id]["size"].endswith(" in")
        assert told[p.id]["slope"]
        assert told[p.id]["level"] == storey_name(storey_of(design, p))
    assert {t["level"] for t in told.values()} <= set(read.scenes[0].extras["levels"])


def test_the_file_is_laid_out_as_the_format_wants(data, read):
    magic, version, length = struct.unpack_from("<III", data)
    assert (magic, version, length) == (0x46546C67, 2, len(data))
    size, kind = struct.unpack_from("<II", data, 12)
    assert kind == 0x4E4F534A
    document = json.loads(data[20 : 20 + size])
    assert size % 4 == 0
    assert struct.unpack_from("<II", data, 20 + size) == (len(data) - 28 - size, 0x004E4942)
    assert document["asset"]["version"] == "2.0"
    for view in document["bufferViews"]:
        assert view["byteOffset"] % 4 == 0
        assert view["byteOffset"] + view["byteLength"] <= document["buffers"][0]["byteLength"]
    for a in document["accessors"]:
        count = {"VEC3": 12, "SCALAR": 4}[a["type"]] * a["count"]
        assert document["bufferViews"][a["bufferView"]]["byteLength"] == count
    for n in read.nodes:
        if n.rotation:
            assert sum(v * v for v in n.rotation) == pytest.approx(1.0, abs=1e-6)
    assert all(m.pbrMetallicRoughness.metallicFactor == 0.0 for m in read.materials)


def test_the_same_design_gives_the_same_bytes(design, data):
    assert glb(design) == data
    assert glb(run.design(run.demo_job())) == data


def test_a_plan_writes_it(design, data):
    assert run.outputs(design, run.check(design))["model.glb"] == data


def test_couplings_stand_in_their_runs(design, read):
    named = {n.name: n for n in read.nodes}
    runs = [(p, use) for p in solid(design) for use in couplings_on(design.fabrication, p)]
    assert runs
    for p, use in runs:
        node = named[f"{use.id} at {p.id}"]
        assert node.scale[1] * 1000 == pytest.approx(catalog.coupling_mm(p.size_in), abs=0.01)
        start = use.at.plus(p.b.minus(p.a).unit().times(-catalog.coupling_mm(p.size_in) / 2))
        assert node.translation == pytest.approx(gltf(start), abs=1e-5)
