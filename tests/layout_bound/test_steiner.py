"""Shortest trees: exact against a search over all trees, dual ascent below it, against a general graph library."""

from __future__ import annotations

import math
from itertools import combinations

import networkx as nx
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from networkx.algorithms.approximation import steiner_tree

from stubout.layout.bound.plan import least_pipe
from stubout.layout.bound.steiner import dual_ascent, exact, grid

POINT = st.tuples(st.integers(0, 8), st.integers(0, 8)).map(lambda p: (float(p[0]) * 500, float(p[1]) * 500))


def by_enumeration(graph, root: int, wanted: list[int]) -> float:
    """Return the length of a shortest tree: the least spanning tree of the wanted points and any set of others."""
    net = nx.Graph()
    for a, row in enumerate(graph.near):
        for b, mm in row:
            net.add_edge(a, b, weight=mm)
    away = dict(nx.all_pairs_dijkstra_path_length(net))
    must = sorted({root, *wanted})
    others = [v for v in net if v not in must]
    best = math.inf
    for k in range(min(len(others), max(len(must) - 2, 0)) + 1):
        for more in combinations(others, k):
            full = nx.Graph()
            full.add_weighted_edges_from((a, b, away[a][b]) for a, b in combinations((*must, *more), 2))
            best = min(best, nx.minimum_spanning_tree(full).size("weight"))
    return best if len(must) > 1 else 0.0


@settings(max_examples=40, deadline=None)
@given(st.lists(POINT, min_size=2, max_size=4, unique=True))
def test_exact_is_the_optimum_of_exhaustive_search(points) -> None:
    graph, numbers = grid(points)
    assert exact(graph, numbers[0], sorted(set(numbers[1:]))) == pytest.approx(
        by_enumeration(graph, numbers[0], list(numbers[1:]))
    )


@settings(max_examples=60, deadline=None)
@given(st.lists(POINT, min_size=2, max_size=7, unique=True))
def test_dual_ascent_is_never_above_the_optimum_and_an_approximation_never_below(points) -> None:
    graph, numbers = grid(points)
    wanted = sorted(set(numbers[1:]))
    best = exact(graph, numbers[0], wanted)
    low = dual_ascent(graph, numbers[0], wanted)
    assert low <= best + 1e-6
    assert low >= best * 0.5 - 1e-6  # at least half, as any moat packing; far nearer as a rule
    net = nx.Graph()
    for a, row in enumerate(graph.near):
        net.add_weighted_edges_from((a, b, mm) for b, mm in row)
    assert steiner_tree(net, [numbers[0], *wanted], method="mehlhorn").size("weight") >= best - 1e-6


def test_dual_ascent_comes_near_on_the_points_of_a_house() -> None:
    points = [(0.0, 0.0), (9100.0, 300.0), (4000.0, 7000.0), (4100.0, 3000.0), (8000.0, 6500.0), (200.0, 5000.0)]
    graph, numbers = grid(points)
    best = exact(graph, numbers[0], sorted(numbers[1:]))
    assert dual_ascent(graph, numbers[0], sorted(numbers[1:])) >= 0.95 * best


@settings(max_examples=60, deadline=None)
@given(
    POINT,
    st.lists(st.tuples(POINT, st.integers(0, 300)), min_size=1, max_size=5),
    st.lists(st.tuples(st.floats(-3000, 7000), st.floats(-3000, 7000)), max_size=3),
    st.randoms(use_true_random=False),
)
def test_no_tree_made_by_hand_is_shorter_than_the_least_pipe(root, points, joints, rnd) -> None:
    """Any spanning tree over the real beginnings, the root and any joints is a layout; slack is used against it."""
    starts = []
    for (x, y), slack in points:
        turn = rnd.uniform(0, 2 * math.pi)
        starts.append((x + slack * math.cos(turn), y + slack * math.sin(turn)))
    net = nx.Graph()
    nodes = [root, *starts, *joints]
    net.add_nodes_from(range(len(nodes)))
    net.add_weighted_edges_from((a, b, math.dist(nodes[a], nodes[b])) for a, b in combinations(range(len(nodes)), 2))
    tree = nx.minimum_spanning_tree(net).size("weight")
    assert least_pipe(root, [(xy, float(s)) for xy, s in points]) <= tree + 1e-6


@pytest.mark.parametrize("degrees", [0, 10, 22.5, 30, 45, 61])
def test_one_pipe_is_bounded_within_two_per_cent_at_any_angle(degrees: float) -> None:
    turn = math.radians(degrees)
    end = (6000 * math.cos(turn), 6000 * math.sin(turn))
    assert 5999 <= least_pipe((0.0, 0.0), [(end, 0.0)]) <= 6000.0001


WAY = st.lists(st.tuples(st.integers(0, 7), st.integers(1, 12)), min_size=1, max_size=3)


@settings(max_examples=150, deadline=None)
@given(st.lists(st.tuples(WAY, st.integers(0, 5)), min_size=1, max_size=6))
def test_no_tree_of_pipes_in_eight_directions_is_shorter_than_told(ways) -> None:
    """Trees made by walking: each fixture's pipe goes in legs along eight directions to a corner of what lies."""
    corners = [(0.0, 0.0)]
    points, total = [], 0.0
    for legs, joint in ways:
        x, y = corners[joint % len(corners)]
        for k, steps in legs:
            mm = steps * 250.0
            x, y = x + mm * math.cos(math.radians(45.0 * k)), y + mm * math.sin(math.radians(45.0 * k))
            total += mm
            corners.append((x, y))
        points.append(((x, y), 0.0))
    assert least_pipe((0.0, 0.0), points, True) <= total + 1e-6
    assert least_pipe((0.0, 0.0), points) <= least_pipe((0.0, 0.0), points, True) + 1e-6


def test_half_way_between_two_directions_a_pipe_is_longer_than_straight() -> None:
    """By hand: 10 m at 22.5 degrees are 10 x (cos 22.5 + 0.4142 sin 22.5) = 10.824 m along eight directions."""
    to = (10_000.0 * math.cos(math.radians(22.5)), 10_000.0 * math.sin(math.radians(22.5)))
    told = least_pipe((0.0, 0.0), [(to, 0.0)], True)
    assert 10_824.0 / 1.0172 - 60.0 <= told <= 10_824.0
    assert least_pipe((0.0, 0.0), [(to, 0.0)]) == pytest.approx(10_000.0, abs=1.0)
