"""What checks say of pipe that is installed: it is there, nothing they advise moves it."""

from dataclasses import replace

import pytest

from stubout.fabrication.model import Bore, Fabrication
from stubout.fixes.follow import moves_installed
from stubout.geometry.vec import Vec
from stubout.network.model import Network

UPC, IPC = "upc-2021", "ipc-2021"


def there(design, *ids, material=""):
    """Return a design some of whose pipes are installed."""
    net = design.network
    pipes = tuple(replace(p, said="installed", material=material) if p.id in ids else p for p in net.pipes)
    return replace(design, network=Network(net.nodes, pipes, net.traps))


def bored(**kw):
    base = Bore(
        "B1", "P stud at 812", "stud", "P", 812.0, "A1", Vec(0, 812, 480), 52.0, 140.0, 44.0, 84.0, 16.0, "ok", 480, 467
    )
    return Fabrication((), (), (replace(base, **kw),), (), (), (), (), ())


@pytest.mark.parametrize(
    ("check", "hole"),
    [
        ("FRM001", {"hole_mm": 65.0, "limit_mm": 53.3, "verdict": "too big"}),
        ("FRM002", {"edge_mm": 10.0, "verdict": "edge"}),
        ("FRM003", {"member_kind": "truss", "verdict": "engineer"}),
    ],
)
def test_the_hole_of_installed_pipe_is_not_to_be_moved(kit, check, hole):
    new = kit.design(fabrication=bored(**hole))
    (advised,) = kit.found(check, new)
    assert "installed" not in advised.do
    (told,) = kit.found(check, there(new, "A1"))
    assert told.found == advised.found
    assert "A1 is installed and its hole is there" in told.do
    assert "authority having jurisdiction" in told.do
    assert "move" not in told.do


def test_an_installed_drain_is_opened_for_a_cleanout_or_left(kit):
    lone = {"role": "branch", "a": (3500.0, 3000.0, -240.0), "b": (500.0, 3000.0, -300.0), "size": 2, "tags": "LV1"}
    d = kit.design(book=UPC, add={"K1": lone}, cleanouts=())
    before = next(f for f in kit.found("CLO002", d) if f.about[0] == "K1")
    after = next(f for f in kit.found("CLO002", there(d, "K1")) if f.about[0] == "K1")
    assert "carry the upper end out" in before.do
    assert after.do.startswith("K1 is installed: open it")


def test_an_installed_sewer_is_opened_for_a_cleanout_or_left(kit):
    d = kit.design(book=IPC, cleanouts=())
    (before,) = kit.found("CLO004", d)
    (after,) = kit.found("CLO004", there(d, before.about[0]))
    assert before.do == "set a cleanout just inside or outside the wall"
    assert after.do.startswith(f"{before.about[0]} is installed: open it just inside or outside the wall")


def test_iron_needs_no_nail_plate_and_plastic_does(kit):
    """The pipe lies 10 mm from the face of its stud: a screw goes through plastic, not through iron."""
    near = bored(centre=Vec(35.0, 812.0, 480.0))
    d = kit.design(book="irc-2021", fabrication=near)
    assert len(kit.found("FRM005", there(d, "A1", material="abs"))) == 1
    assert kit.found("FRM005", there(d, "A1", material="cast iron")) == []


def test_a_fix_that_moves_installed_pipe_is_none(kit):
    before = there(kit.design(), "V1")
    pipe = before.network.pipe("V1")

    def moved(**changes):
        net = before.network
        pipes = tuple(replace(p, **changes) if p.id == "V1" else p for p in net.pipes)
        return replace(before, network=Network(net.nodes, pipes, net.traps))

    half = pipe.a.plus(pipe.b.minus(pipe.a).times(0.5))
    assert not moves_installed(before, moved(b=half))  # parted where new pipe joins it
    assert moves_installed(before, moved(b=pipe.b.plus(Vec(0.0, 30.0, 0.0))))
    assert moves_installed(before, moved(size_in=4.0))
    gone = tuple(p for p in before.network.pipes if p.id != "V1")
    assert moves_installed(before, replace(before, network=Network(before.network.nodes, gone, before.network.traps)))
