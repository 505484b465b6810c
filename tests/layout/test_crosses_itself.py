"""A path that runs through itself, and one that only turns twice. Expected: by the eye, on squared paper. [mm]."""

from __future__ import annotations

from itertools import pairwise

from stubout.layout.model import Place
from stubout.layout.route import Path, Step, Target, crosses_itself

GROUND = Place("under slab", "main")
OUTSIDE = Place("buried", "main")


def path(*points: tuple[float, float], places: tuple[Place, ...] = ()) -> Path:
    legs = zip(pairwise(points), places or (GROUND,) * len(points), strict=False)
    steps = tuple(Step(a, b, "under:main", "under:main", place, 0, None, None) for (a, b), place in legs)
    return Path(steps, 0.0, 0.0, Target(points[-1], "under:main", None), 0.0)


def test_a_path_through_its_own_beginning_crosses_itself():
    assert crosses_itself(path((0, 0), (0, 2000), (1000, 2000), (1000, 1000), (-1000, 1000)))


def test_a_path_that_comes_back_to_within_a_pipes_girth_crosses_itself():
    assert crosses_itself(path((0, 0), (0, 2000), (1000, 2000), (1000, 1000), (40, 1000)))
    assert not crosses_itself(path((0, 0), (0, 2000), (1000, 2000), (1000, 1000), (100, 1000)))


def test_a_bend_before_a_wall_that_a_long_leg_passes_does_not():
    """The leg is cut where it leaves the house: its second half begins near the bend, and does not cross it."""
    turned = path((1900, 1840), (1900, 130), (2030, 0), (5080, -3050), places=(GROUND, GROUND, OUTSIDE))
    assert not crosses_itself(turned)
    assert not crosses_itself(path((2360, 1560), (3300, 620), (3300, 600), (3300, -3050)))


def test_a_short_jog_does_not():
    assert not crosses_itself(path((0, 0), (0, 2000), (22, 2022), (2000, 2022)))
