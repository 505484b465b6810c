"""Flow order, tags, vent reach, developed length, wet flags and faults of the graph."""

from __future__ import annotations

from dataclasses import replace

import networkx as nx
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from stubout.geometry.vec import Vec
from stubout.layout.flowgraph import flow_of
from stubout.layout.model import Place, Role, Run
from stubout.network.build import build, faults_of, flow_order
from stubout.network.vents import horizontal_share_mm


def bath(s):
    """Lavatory with its own vent; its drain wet vents tub and closet; header to a terminal. By hand."""
    s.at("lv", 0, 0, 450, "trap")
    s.at("t", 0, 600, 438, "vent take-off")
    s.at("foot", 0, 600, -150, "turn")
    s.at("bt", 1000, 600, -100, "trap")
    s.at("j1", 0, 1200, -162, "junction")
    s.at("wc", 800, 2000, 0, "flange")
    s.at("wcd", 800, 2000, -160, "turn")
    s.at("j2", 0, 2000, -178, "junction")
    s.at("sewer", 0, -9000, -400, "sewer connection")
    s.at("tie", 0, 600, 2400, "turn")
    s.at("vh", 2000, 600, 2440, "vent tie-in")
    s.at("ks", 2000, 0, 400, "trap")
    s.at("kt", 2000, 600, 390, "vent take-off")
    s.at("kf", 2000, 600, -200, "turn")
    s.at("kj", 0, 2600, -240, "junction")
    s.at("air", 2000, 600, 6200, "terminal")
    for tag in ("LV", "BT", "WC", "KS"):
        s.fixture(tag, group="" if tag == "KS" else "bath")
    s.drain("LV-arm", "lv", "t", "trap arm", 1.25, tag="LV")
    s.drain("LV-drop", "t", "foot", "drain", 1.5)
    s.drain("wet1", "foot", "j1")
    s.drain("BT-arm", "bt", "j1", "trap arm", 1.5, tag="BT")
    s.drain("wet2", "j1", "j2")
    s.drain("WC-drop", "wc", "wcd", "trap arm", 3.0, tag="WC")
    s.drain("WC-arm", "wcd", "j2", "trap arm", 3.0, tag="WC")
    s.drain("B1", "j2", "kj", "branch", 3.0)
    s.drain("KS-arm", "ks", "kt", "trap arm", 1.5, tag="KS")
    s.drain("KS-drop", "kt", "kf", "drain", 1.5)
    s.drain("KS-branch", "kf", "kj", "branch", 1.5)
    s.drain("BD", "kj", "sewer", "building drain", 3.0)
    s.vent("V1", "t", "tie")
    s.vent("V2", "tie", "vh", "branch vent")
    s.vent("V3", "kt", "vh")
    s.vent("V4", "vh", "air", "vent header")
    s.trap("LV", "lv", "t", ("LV-arm",), vent_runs=("V1", "V2"))
    s.trap("BT", "bt", "j1", ("BT-arm",), "wet", wet_through=("wet1", "LV-drop"))
    s.trap("WC", "wc", "j2", ("WC-drop", "WC-arm"), "wet", wet_through=("wet2", "wet1", "LV-drop"))
    s.trap("KS", "ks", "kt", ("KS-arm",), vent_runs=("V3",))
    return s


def test_bath(sketch):
    s = bath(sketch())
    net = build(s.layout(), s.house(), s.book)
    assert faults_of(s.layout()) == ()
    order = [p.id for p in net.pipes]
    for p in net.drains():
        for i in net.node(p.end).outflow:
            if net.pipe(i).system == "drain":
                assert order.index(p.id) < order.index(i)
    assert net.pipe("wet2").tags == ("BT", "LV")
    assert net.pipe("BD").tags == ("BT", "KS", "LV", "WC")
    assert net.pipe("BD").load == 6 + 1.5  # one bathroom group and a sink (2.4.9.3)
    assert net.pipe("V1").tags == ("BT", "LV", "WC")
    assert net.pipe("V3").tags == ("KS",)
    assert net.pipe("V4").tags == ("BT", "KS", "LV", "WC")
    assert [p.id for p in net.drains() if p.wet] == ["LV-drop", "wet1", "wet2"]
    assert [p.id for p in net.downstream(net.pipe("LV-arm"))] == ["LV-drop", "wet1", "wet2", "B1", "BD"]


@pytest.mark.parametrize(
    ("book_id", "v1", "v4"),
    [
        # n: V1 + V2 stop at the header; the header counts from the most distant connection to the air
        ("npc-2020", 1962 + 2000.4, 1962 + 2000.4 + 3760),
        # u: everything to the open air
        ("upc-2021", 1962 + 2000.4 + 3760, 1962 + 2000.4 + 3760),
        # i: to stack vent or terminal; a header is no stop
        ("irc-2021", 1962 + 2000.4 + 3760, 1962 + 2000.4 + 3760),
    ],
)
def test_developed_length_by_family(sketch, book_id, v1, v4):
    s = bath(sketch(book_id=book_id))
    net = build(s.layout(), s.house(), s.book)
    assert net.pipe("V1").vent_length_mm == pytest.approx(v1, abs=0.5)
    assert net.pipe("V2").vent_length_mm == pytest.approx(v1, abs=0.5)
    assert net.pipe("V4").vent_length_mm == pytest.approx(v4, abs=0.5)


def test_an_outlet_called_stack_vent_counts_from_the_farthest_drain(sketch):
    # 2.5.8.3: a header to open air is measured from the most distant drain connection, whatever it is called
    s = bath(sketch())
    s.runs = [r if r.id != "V4" else replace(r, role=Role.STACK_VENT) for r in s.runs]
    net = build(s.layout(), s.house(), s.book)
    assert net.pipe("V4").vent_length_mm == pytest.approx(1962 + 2000.4 + 3760, abs=0.5)


def test_horizontal_share_of_a_vent(sketch):
    s = bath(sketch())
    layout = s.layout()
    flow = flow_of(layout.runs, {p.id: p.at for p in layout.points})
    assert horizontal_share_mm(flow, "V4") == pytest.approx(2000.4, abs=0.5)


def test_faults_are_values(sketch):
    s = sketch()
    for i, (x, y) in enumerate([(0, 0), (100, 0), (100, 100), (500, 500), (900, 500)]):
        s.at(f"p{i}", x, y, 0)
    s.drain("a", "p0", "p1")
    s.drain("b", "p1", "p2")
    s.drain("c", "p2", "p0")
    s.drain("d", "p3", "p4")
    s.drain("e", "p4", "nowhere")
    s.fixture("LV")
    s.trap("LV", "p4", "", ())
    net = build(s.layout(), s.house(), s.book)
    assert {p.id for p in net.pipes} == {"a", "b", "c", "d"}
    said = [f.constraint for f in faults_of(s.layout())]
    assert any("circle" in x for x in said)
    assert any("d ends at p4 and not at the sewer" in x for x in said)
    assert any("e goes to a point that does not exist" in x for x in said)
    assert any("trap of LV drains into nothing" in x for x in said)


def test_island_loop_return_is_no_split(sketch):
    s = sketch(book_id="upc-2021")
    s.at("w", 0, 0, 300, "trap")
    s.at("t", 100, 0, 295, "vent take-off")
    s.at("top", 100, 0, 850)
    s.at("over", 200, 0, 850)
    s.at("low", 200, 0, -200, "vent tie-in")
    s.at("ret", 300, 0, -260, "junction")
    s.at("f", 100, 0, -250)
    s.at("wall", 2000, 0, -160)
    s.at("air", 2000, 0, 6000, "terminal")
    s.at("sewer", 5000, 0, -400, "sewer connection")
    s.fixture("KS", in_island=True)
    s.drain("arm", "w", "t", "trap arm", 1.5, tag="KS")
    s.drain("drop", "t", "f", "drain", 2.0)
    s.drain("b1", "f", "ret", "branch", 2.0)
    s.drain("b2", "ret", "sewer", "building drain", 2.0)
    s.vent("l1", "t", "top", "foot vent")
    s.vent("l2", "top", "over", "foot vent")
    s.vent("l3", "over", "low", "foot vent")
    s.vent("back", "low", "ret", "foot vent")
    s.vent("under", "low", "wall", "foot vent")
    s.vent("up", "wall", "air", "vent")
    s.trap("KS", "w", "t", ("arm",), "island loop", vent_runs=("l1", "l2", "l3", "under", "up"))
    assert faults_of(s.layout()) == ()
    net = build(s.layout(), s.house(), s.book)
    assert net.pipe("up").tags == ("KS",)
    # from the take-off over the top, down, under the floor and up to the air (return not counted)
    assert net.pipe("up").vent_length_mm == pytest.approx(555 + 100 + 1050 + 1800.4 + 6160, abs=1)


@settings(max_examples=40, deadline=None)
@given(st.integers(0, 10_000), st.integers(3, 25))
def test_flow_order_is_a_topological_order(seed, n):
    # oracle: networkx on a random tree that flows to node 0
    graph = nx.random_labeled_tree(n, seed=seed)
    parent = dict(nx.bfs_predecessors(graph, 0))
    at = {str(i): Vec(float(i), 0.0, 0.0) for i in range(n)}
    runs = [Run(f"r{c}", "drain", Role.BRANCH, str(c), str(p), Place("room"), 2.0) for c, p in sorted(parent.items())]
    order = flow_order(flow_of(runs, at))
    rank = {i: k for k, i in enumerate(order)}
    digraph = nx.DiGraph([(f"r{c}", f"r{p}") for c, p in parent.items() if p != 0])
    assert all(rank[a] < rank[b] for a, b in digraph.edges)
    assert sorted(order) == sorted(r.id for r in runs)
    assert order == flow_order(flow_of(runs, at))
