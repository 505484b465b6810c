"""The amount a finding tells to move by is enough: applied and checked again, the finding is gone."""

import re
from dataclasses import replace

import pytest

from stubout.geometry.vec import Vec
from stubout.house.outside import RoofPlane


def amount_mm(finding):
    """Return the first amount in millimetres that a finding tells to do, rounded up by the printed half."""
    return float(re.search(r"(\d+) mm", finding.do).group(1)) + 0.5


def arm(kit, length, fall):
    return kit.design(edit={"A1": {"a": (length, 609, 495.4 + fall)}}, kinds={(length, 609, 495.4 + fall): "trap"})


def test_shorter_arm(kit):
    (f,) = kit.found("ARM001", arm(kit, 1867.5, 37))
    assert kit.found("ARM001", arm(kit, 1867.5 - amount_mm(f), 36)) == []


def test_longer_arm(kit):
    (f,) = kit.found("ARM002", arm(kit, 40, 1))
    assert kit.found("ARM002", arm(kit, 40 + amount_mm(f), 1)) == []


def test_arm_with_more_fall(kit):
    (f,) = kit.found("ARM004", arm(kit, 1200, 10))
    assert kit.found("ARM004", arm(kit, 1200, 10 + amount_mm(f))) == []


def test_arm_with_less_fall(kit):
    (f,) = kit.found("ARM003", arm(kit, 1500, 55))
    assert kit.found("ARM003", arm(kit, 1500, 55 - amount_mm(f))) == []


def drain(kit, drop):
    z = -307.8 - drop
    return kit.design(edit={"B1": {"b": (0, 609, z), "size": 3}, "D1": {"b": (0, 609, z)}, "B2": {"a": (0, 609, z)}})


def test_drain_with_more_fall(kit):
    (f,) = [f for f in kit.found("DRN007", drain(kit, 5)) if f.about == ("B1",)]
    assert [g for g in kit.found("DRN007", drain(kit, 5 + amount_mm(f))) if g.about == ("B1",)] == []


def test_sewer_reached(kit):
    low = kit.design(edit={"S1": {"b": (0, -5000, -470)}}, kinds={(0, -5000, -470): "sewer connection"})
    (f,) = kit.found("SEW001", low)
    z = -470 + amount_mm(f)
    assert (
        kit.found("SEW001", kit.design(edit={"S1": {"b": (0, -5000, z)}}, kinds={(0, -5000, z): "sewer connection"}))
        == []
    )


def test_higher_terminal(kit):
    def with_roof(z):
        return kit.design(roof=(RoofPlane("r", -3000, -500, 3000, 4500, Vec(0, 0, z), 0.0, 0.0),))

    f = kit.found("TRM001", with_roof(3250))[0]
    assert kit.found("TRM001", with_roof(3250 - amount_mm(f))) == []


@pytest.mark.parametrize(("check", "z", "sign"), [("STB001", 700.0, -1), ("STB002", 200.0, 1)])
def test_stub_moved(kit, check, z, sign):
    (f,) = kit.found(check, kit.design(stubs=(kit.stub(mark_z_mm=z),)))
    assert kit.found(check, kit.design(stubs=(kit.stub(mark_z_mm=z + sign * amount_mm(f)),))) == []


def test_stub_off_the_stud(kit):
    (f,) = kit.found("STB003", kit.design(stubs=(kit.stub(station_mm=820.0),)))
    assert "away from" in f.do
    assert kit.found("STB003", kit.design(stubs=(kit.stub(station_mm=820.0 + amount_mm(f)),))) == []


def test_flange_raised(kit):
    def at(z):
        return kit.design(edit={"A2": {"a": (388, 1421, z)}}, kinds={(388, 1421, z): "flange"})

    (f,) = kit.found("FLG001", at(-19))
    assert kit.found("FLG001", at(-19 + amount_mm(f))) == []


def test_order_of_pipes_does_not_matter(kit):
    d = kit.design(drop=("V1",), edit={"B1": {"size": 3}, "A3": {"size": 2}})
    net = d.network
    turned = replace(
        d, network=type(net)(tuple(reversed(net.nodes)), tuple(reversed(net.pipes)), tuple(reversed(net.traps)))
    )
    one, _ = kit.run_all(d)
    two, _ = kit.run_all(turned)
    assert [(f.check, f.found) for f in one] == [(f.check, f.found) for f in two]
