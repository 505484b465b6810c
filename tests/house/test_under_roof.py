"""A wall that is said higher than the roof over it ends under the roof; a gable wall follows it."""

from __future__ import annotations

from collections.abc import Callable

import pytest

from stubout.fabrication.members import members
from stubout.geometry.vec import Vec
from stubout.house.framing import Wall
from stubout.house.model import House, HouseLevel
from stubout.house.outside import RoofPlane
from stubout.house.resolve import resolve
from stubout.house.under_roof import DECK_MM, ROOF_MM, Cut, cut_by_roof
from stubout.house.walls import resolve_wall
from stubout.job.model import Job, OpeningSaid, WallSaid
from stubout.problems import JobFileError, Question

Resolved = Callable[[str], tuple[House, tuple[Question, ...]]]
LEVEL = HouseLevel("main", "Main", 0, "frame", 100.0, 2467.0)
HALF = 70.0  # of a 140 stud


def plane(id_: str, x0: float, x1: float, z_at_x0: float, gx: float, below: float | None = 400.0) -> RoofPlane:
    return RoofPlane(id_, x0, -1000.0, x1, 9000.0, Vec(x0, 0.0, z_at_x0), gx, 0.0, ceiling_below_mm=below)


def along(length: float = 8000.0, x: float = 0.0) -> WallSaid:
    """Return a wall that runs with the slope."""
    said = {"id": "A", "level": "main", "from": (x, 0.0), "to": (x + length, 0.0), "stud": 140.0, "spacing": 400.0}
    return WallSaid.model_validate(said)


def across(x: float) -> WallSaid:
    """Return a wall that runs level under the slope."""
    said = {"id": "A", "level": "main", "from": (x, 0.0), "to": (x, 4000.0), "stud": 140.0, "spacing": 400.0}
    return WallSaid.model_validate(said)


def cut(said: WallSaid, top: float, *planes: RoofPlane) -> Cut | None:
    return cut_by_roof(said, LEVEL.subfloor_z_mm, top, planes)


GABLE = (plane("west", 0.0, 4000.0, 2000.0, 0.5), plane("east", 4000.0, 8000.0, 4000.0, -0.5))  # ridge at 4000


@pytest.mark.parametrize(("over", "is_cut"), [(-0.1, False), (0.1, True)])
def test_a_wall_is_cut_where_it_comes_out_of_the_roof(over: float, is_cut: bool) -> None:
    """It may end in the thickness of the roof: rafters are notched over a wall that carries them."""
    roof = plane("flat", -1000.0, 9000.0, 3000.0, 0.0)
    assert (cut(along(), 3000.0 - DECK_MM + over, roof) is not None) == is_cut


def test_a_gable_wall_follows_the_roof_on_both_sides_of_the_ridge() -> None:
    """Underside 400 mm below the roofing; 70 mm off the centre line it is as high, the roof runs along the wall."""
    found = cut(along(), 5000.0, *GABLE)
    assert found is not None
    assert found.tops == ((0.0, 1600.0), (4000.0, 3600.0), (8000.0, 1600.0))
    assert not found.assumed


def test_a_wall_keeps_its_height_where_the_roof_is_higher() -> None:
    found = cut(along(), 2600.0, *GABLE)
    assert found is not None
    assert found.tops == ((0.0, 1600.0), (2000.0, 2600.0), (6000.0, 2600.0), (8000.0, 1600.0))


def test_a_wall_along_the_eave_ends_under_the_lower_side_of_its_roof() -> None:
    found = cut(across(1000.0), 4000.0, *GABLE)
    z = 2000.0 + 0.5 * (1000.0 - HALF) - 400.0
    assert found is not None
    assert found.tops == ((0.0, z), (4000.0, z))


def test_where_nobody_says_how_thick_the_roof_is_it_is_taken_and_asked() -> None:
    found = cut(across(1000.0), 4000.0, plane("west", 0.0, 4000.0, 2000.0, 0.5, below=None))
    assert found is not None
    assert found.assumed
    assert found.tops[0][1] == pytest.approx(2000.0 + 0.5 * (1000.0 - HALF) - ROOF_MM)


def test_a_roof_below_the_wall_or_beside_it_does_not_cut_it() -> None:
    assert cut(across(1000.0), 4000.0, plane("porch", 0.0, 4000.0, 50.0, 0.0)) is None
    assert cut(across(5000.0), 4000.0, plane("wing", 0.0, 4000.0, 2000.0, 0.0)) is None


def test_a_roof_that_leans_on_the_wall_does_not_cut_it_where_another_goes_over_it() -> None:
    main, porch = plane("main", 0.0, 8000.0, 5000.0, 0.0), plane("porch", 4020.0, 8000.0, 1500.0, 0.0)
    assert cut(across(4050.0), 3000.0, main, porch) is None
    within = cut(across(4200.0), 3000.0, main, porch)
    assert within is not None
    assert within.tops[0][1] == 1100.0


def gable_wall(*openings: OpeningSaid) -> Wall:
    return resolve_wall(along(), openings, LEVEL, "mm", ((0.0, 1600.0), (4000.0, 3600.0), (8000.0, 1600.0)))


def test_studs_and_plates_follow_the_roof() -> None:
    w = gable_wall()
    thick = 76.0 * (1 + 0.5**2) ** 0.5
    assert w.top_z_mm == 3600.0
    assert [w.top_at(s) for s in (-5.0, 0.0, 2000.0, 4000.0, 7000.0, 8000.0)] == [1600, 1600, 2600, 3600, 2100, 1600]
    assert w.under_plates_at(2000.0) == pytest.approx(2600.0 - thick)
    assert w.least_under_plates(3000.0, 6000.0) == pytest.approx(2600.0 - thick)
    stud = next(s for s in w.studs if s.station_mm == 2000.0)
    assert stud.hi_z_mm == pytest.approx(w.under_plates_at(2000.0 - stud.width_mm / 2))


def test_a_level_wall_is_as_it_was() -> None:
    w = resolve_wall(along(), (), LEVEL, "mm")
    assert w.tops == ()
    assert w.top_at(1234.0) == w.top_z_mm == 2567.0
    assert w.under_plates_at(1234.0) == w.least_under_plates(0.0, 8000.0) == 2567.0 - 76.0


def test_a_header_without_a_height_goes_up_to_the_plates_over_it() -> None:
    door = OpeningSaid.model_validate(
        {"id": "D", "wall": "A", "at": 1500.0, "width": 900.0, "sill": 0.0, "head": 1800.0}
    )
    w = gable_wall(door)
    assert w.openings[0].header_top_z_mm == pytest.approx(w.under_plates_at(1500.0))


def raised(job_of: Callable[[str], Job], height: float) -> Job:
    """Return the cottage with its loft wall, which has a door, said so high."""
    job = job_of("03")
    walls = tuple(w.model_copy(update={"height": height}) if w.id == "LT" else w for w in job.walls)
    return job.model_copy(update={"walls": walls})


def test_the_loft_wall_of_the_cottage_ends_under_the_rafters(resolved: Resolved) -> None:
    """Said 7 ft 5 in, its height beside its door; the roof comes down to 4 ft 8 1/2 in at its east end."""
    w = resolved("03")[0].wall("LT")
    assert w.top_at(0.0) - w.bottom_z_mm == pytest.approx(89.0 * 25.4)
    # 8'-7" at the low edge, 24'-0"; 12:12; less 1'-3"; over the face that lies as low as the centre line
    roof = 103.0 + (288.0 - (145.75 + w.length_mm / 25.4)) - 15.0
    assert w.top_at(w.length_mm) / 25.4 == pytest.approx(roof)


def test_a_door_that_stands_in_the_roof_is_a_fault(job_of: Callable[[str], Job]) -> None:
    job = job_of("03")
    door = next(o for o in job.openings if o.id == "D4")
    far = {"at": 36.0 * 25.4, "width": 20 * 25.4}
    job = job.model_copy(update={"openings": tuple(o.model_copy(update=far) if o is door else o for o in job.openings)})
    with pytest.raises(JobFileError) as told:
        resolve(job)
    (fault,) = told.value.faults
    assert (fault.line, fault.path) == (door.line, "openings.D4.head")
    assert "which the roof cuts to" in fault.wanted


@pytest.mark.parametrize("inches", [89.0, 150.0])
def test_how_far_a_wall_is_said_too_high_plays_no_part_where_the_roof_is_lower(
    job_of: Callable[[str], Job], inches: float
) -> None:
    w = resolve(raised(job_of, inches * 25.4))[0].wall("LT")
    assert (w.top_at(w.length_mm) - w.bottom_z_mm) / 25.4 == pytest.approx(56.625, abs=0.01)


def test_the_plates_of_a_cut_wall_are_one_member_in_pieces(resolved: Resolved) -> None:
    house = resolved("03")[0]
    plates = [m for m in members(house) if m.owner == "LT" and m.kind == "top plate"]
    w = house.wall("LT")
    assert {(m.name, m.station_mm) for m in plates} == {("LT top plate", 0.0)}
    assert plates[0].lo.x == 0.0
    assert plates[-1].hi.x == pytest.approx(w.length_mm)
    assert all(m.hi.z == pytest.approx(w.top_at((m.lo.x + m.hi.x) / 2)) for m in plates)
