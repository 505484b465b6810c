"""Levels, falls and probable flow of one drain. Bores and walls by hand from the published pipe dimensions."""

from __future__ import annotations

import math
import re
from dataclasses import replace

import pytest

from stubout.hydraulics.manning import N_PLASTIC
from stubout.hydraulics.peak import hunter_flow_l_per_s
from stubout.network.build import build
from stubout.problems import Status
from stubout.sizing.flow import flow_derivation
from stubout.sizing.levels import bore_mm, fall_derivation, invert_mm, top_outside_mm


def drain(s, size=4.0, slope=1 / 50, tags=("WC1",), dx=5000.0, dz=None):
    s.at("a", 0, 0, 1000.0, "trap")
    s.at("b", dx, 0, 1000.0 - (dx * slope if dz is None else dz), "sewer connection")
    s.drain("D", "a", "b", "branch", size)
    for tag in tags:
        s.fixture(tag)
        s.trap(tag, "a", "", ("D",), "none")
    return build(s.layout(), s.house(), s.book).pipe("D")


def test_bottom_and_top_of_a_4_in_pipe(sketch):
    # 4 in DWV pipe: outside 4.500 in, average inside 3.998 in (D2661/D2665)
    pipe = drain(sketch())
    assert bore_mm("abs", 4.0) == pytest.approx(3.998 * 25.4, abs=0.01)
    assert invert_mm(pipe, "start", "abs") == pytest.approx(1000 - 3.998 * 12.7, abs=0.01)
    assert invert_mm(pipe, "end", "abs") == pytest.approx(900 - 3.998 * 12.7, abs=0.01)
    assert top_outside_mm(pipe, "start", "abs") == pytest.approx(1000 + 4.5 * 12.7, abs=0.01)
    assert top_outside_mm(pipe, "end", "abs") == pytest.approx(900 + 4.5 * 12.7, abs=0.01)


def numbers(text):
    return [float(n) for n in re.findall(r"-?\d+(?:\.\d+)?", text)]


def test_fall_names_length_slope_inverts_and_the_books_least(sketch):
    s = sketch(units="mm")
    why = fall_derivation(drain(s), s.house(), s.book)
    assert numbers(why.value)[:3] == [100, 1, 50]
    assert numbers(why.steps[0])[:4] == [5000, 100, 1, 50]
    assert why.steps[1].startswith("invert from ")
    assert numbers(why.steps[1]) == [949, 849]  # 1000 less half of 101.5, and 100 lower
    assert why.steps[2].startswith("least slope for 4 in: ")
    assert len(why.bases) == 2
    silent = replace(s.book, tables={k: v for k, v in s.book.tables.items() if k != "min_slope"})
    assert len(fall_derivation(drain(sketch(units="mm")), s.house(), silent).steps) == 2


def test_an_upright_pipe_has_no_slope(sketch):
    s = sketch(units="mm")
    why = fall_derivation(drain(s, dx=0.0, dz=700.0), s.house(), s.book)
    assert why.value.startswith("drops 700")
    assert why.steps == ("within 45 degrees of plumb: no slope rule",)


def test_flow_is_told_of_falling_loaded_level_drains_only(sketch):
    s = sketch()
    pipe, house = drain(s), s.house()
    assert flow_derivation(pipe, house, s.book) is not None
    assert flow_derivation(replace(pipe, load=0.0), house, s.book) is None
    assert flow_derivation(replace(pipe, load=0.5), house, s.book) is not None
    assert flow_derivation(replace(pipe, system="vent"), house, s.book) is None
    assert flow_derivation(drain(sketch(), slope=0.0), house, s.book) is None
    assert flow_derivation(drain(sketch(), dx=0.0, dz=700.0), house, s.book) is None


def test_flow_in_both_systems(sketch):
    # Hunter's curve for tanks at 8 fixture units: 12.8 gpm (as in the drawn bath) = 0.81 l/s; scour 2 ft/s = 0.61 m/s
    s = sketch()
    pipe = replace(drain(s), load=8.0)
    why = flow_derivation(pipe, s.house(), s.book)
    assert why.steps[0] == "8 FU: probable peak 12.8 gpm"
    assert "% of the bore deep" in why.value
    assert why.steps[1].endswith("2.0 ft/s keeps solids moving")
    assert [b.status for b in why.bases] == [Status.MEMORY, Status.MEMORY, Status.READ]
    m = sketch(units="mm")
    pipe = replace(drain(m), load=8.0)
    why_m = flow_derivation(pipe, m.house(), m.book)
    assert why_m.steps[0] == "8 FU: probable peak 0.81 l/s"
    assert why_m.steps[1].endswith("0.61 m/s keeps solids moving")
    speed = float(why_m.value.split(", ")[1].split()[0])
    assert float(why.value.split(", ")[1].split()[0]) == pytest.approx(speed / 0.3048, abs=0.05)
    assert 0 < float(why.value.split(" %")[0]) < 100


@pytest.mark.parametrize(("load", "size"), [(8.0, 1.5), (20.0, 2.0), (200.0, 4.0)])
def test_depth_is_that_at_which_the_section_takes_the_flow(sketch, load, size):
    # Manning over the wetted segment, reckoned here by halving; flows of Hunter's curve
    s = sketch()
    pipe = replace(drain(s, size=size, slope=1 / 25), load=load)
    d, q = bore_mm("abs", size) / 1000, hunter_flow_l_per_s(load) / 1000

    def flow(depth):
        angle = 2 * math.acos(1 - 2 * depth)
        area, wetted = d * d / 8 * (angle - math.sin(angle)), d * angle / 2
        return area * (area / wetted) ** (2 / 3) * math.sqrt(1 / 25) / N_PLASTIC

    lo, hi = 0.0, 0.9
    for _ in range(40):
        lo, hi = (lo, (lo + hi) / 2) if flow((lo + hi) / 2) > q else ((lo + hi) / 2, hi)
    assert flow_derivation(pipe, s.house(), s.book).value.startswith(f"{100 * lo:.0f} % of the bore deep")


def test_more_than_the_pipe_carries_is_said(sketch):
    s = sketch()
    pipe = replace(drain(s, size=1.25, slope=1 / 100), load=200.0)
    assert flow_derivation(pipe, s.house(), s.book).value.startswith("more than it carries, ")
