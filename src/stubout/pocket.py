"""The pocket sums of the trade: fall, slope, offsets, cut lengths, test head, volume; each says how it came about.

Pure arithmetic on what is given; no code value and no catalogue figure is used here. Lengths [mm], slopes [m/m],
angles [deg]; `system` only chooses how the steps are worded.
"""

from __future__ import annotations

import math
from dataclasses import dataclass, replace
from typing import Final

from stubout import units
from stubout.units import Units

# Water at 1000 kg/m3 under standard gravity. Gives 0.4335 psi/ft; trade tables print 0.433 and 0.434.
WATER_KPA_PER_M: Final = 9.80665
KPA_PER_PSI: Final = 6.894757293168
N_PER_LBF: Final = 4.4482216152605
L_PER_US_GAL: Final = 3.785411784

TEST_CAUTIONS: Final = (
    "Brace plugs, caps and loose joints before filling; nobody stands in line with a plug.",
    "Fill slowly from below and let the air out at the top; plastic pipe is never tested with compressed air "
    "unless pipe maker and authority both allow it in writing.",
    "Let the pressure off before a plug is loosened.",
)


@dataclass(frozen=True, slots=True)
class Slope:
    """One slope in every way it is written."""

    slope: float  # m/m
    in_per_ft: float
    percent: float
    ratio: float  # n of 1:n; infinite when level
    degrees: float
    mm_per_m: float
    steps: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True)
class Fall:
    """The fall over a length."""

    fall_mm: float
    slant_mm: float  # length along the pipe
    steps: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class Offset:
    """An offset with two equal fittings."""

    angle_deg: float
    offset_mm: float  # square, centre line to centre line
    travel_mm: float  # centre to centre of the fittings, along the pipe
    setback_mm: float  # advance along the run
    steps: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class RollingOffset:
    """An offset that goes sideways and up at once."""

    true_offset_mm: float
    roll_deg: float  # from plumb
    offset: Offset
    steps: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class Cut:
    """A piece of pipe between two fittings."""

    cut_mm: float
    shortest_mm: float  # below this the fitting faces would meet first
    goes: bool
    steps: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class HeadOfWater:
    """What a column of water does at its foot."""

    head_mm: float
    kpa: float
    psi: float
    plug_n: float | None  # thrust on a plug in the bore
    joint_n: float | None  # thrust that opens a joint, on the outside area
    steps: tuple[str, ...]
    cautions: tuple[str, ...] = TEST_CAUTIONS


@dataclass(frozen=True, slots=True)
class Volume:
    """What a length of pipe holds."""

    litres: float
    us_gal: float
    litres_per_m: float
    us_gal_per_ft: float
    steps: tuple[str, ...]


def _positive(**values: float) -> None:
    for name, value in values.items():
        if not (math.isfinite(value) and value > 0):
            raise ValueError(f"{name.replace('_', ' ')}: found {value:g}, wanted more than nothing")


def _not_negative(**values: float) -> None:
    for name, value in values.items():
        if not (math.isfinite(value) and value >= 0):
            raise ValueError(f"{name.replace('_', ' ')}: found {value:g}, wanted no minus")


def _shown(mm: float, system: Units) -> str:
    return f"{mm:.1f} mm" if system == "mm" else f"{units.feet_inches(mm)} ({mm / units.MM_PER_INCH:.3f} in)"


def slope_forms(slope: float) -> Slope:
    """Return a slope [m/m] as in/ft, %, 1:n, degrees and mm/m. 2 % is not 1/4 in/ft.

    Source: arithmetic; conversion table of the trade, 1/4 in/ft = 2.0833 % = 1:48 = 1.1935 deg.

    >>> round(slope_forms(1 / 48).percent, 4)
    2.0833
    """
    _not_negative(slope=slope)
    ratio = 1 / slope if slope > 0 else math.inf
    degrees = math.degrees(math.atan(slope))
    step = f"{slope * 12:.4f} in/ft = {slope * 100:.4f} % = {slope * 1000:.2f} mm/m = {degrees:.4f} deg"
    named = f"{step} = 1:{ratio:.1f}" if slope > 0 else f"{step} = level"
    return Slope(slope, slope * 12, slope * 100, ratio, degrees, slope * 1000, (named,))


def fall_over(length_mm: float, slope: float, system: Units = "inch") -> Fall:
    """Return the fall over a length measured level [mm] at a slope [m/m], and the length along the pipe.

    >>> round(fall_over(9.5 * 304.8, 1 / 48).fall_mm / 25.4, 4)
    2.375
    """
    _not_negative(length=length_mm, slope=slope)
    fall = length_mm * slope
    slant = math.hypot(length_mm, fall)
    return Fall(
        fall,
        slant,
        (
            f"fall = {_shown(length_mm, system)} x {units.slope(slope, system)} = {_shown(fall, system)}",
            f"along the pipe = root of length squared and fall squared = {_shown(slant, system)}",
        ),
    )


def slope_from_fall(fall_mm: float, length_mm: float, system: Units = "inch") -> Slope:
    """Return the slope [m/m] of a fall over a length measured level [mm]."""
    _not_negative(fall=fall_mm)
    _positive(length=length_mm)
    forms = slope_forms(fall_mm / length_mm)
    step = f"slope = {_shown(fall_mm, system)} / {_shown(length_mm, system)} = {units.slope(forms.slope, system)}"
    return replace(forms, steps=(step, *forms.steps))


def _angle(angle_deg: float) -> float:
    if not 0 < angle_deg <= 90:
        raise ValueError(f"fitting angle: found {angle_deg:g} deg, wanted more than 0 and at most 90")
    return math.radians(angle_deg)


def simple_offset(offset_mm: float, angle_deg: float, system: Units = "inch") -> Offset:
    """Return travel and setback [mm] of an offset [mm, centre to centre] made with two fittings of one angle [deg].

    >>> round(simple_offset(12 * 25.4, 45).travel_mm / 25.4, 2)
    16.97
    """
    _not_negative(offset=offset_mm)
    theta = _angle(angle_deg)
    travel = offset_mm / math.sin(theta)
    setback = 0.0 if angle_deg == 90 else offset_mm / math.tan(theta)
    return Offset(
        angle_deg,
        offset_mm,
        travel,
        setback,
        (
            f"travel = offset / sin {angle_deg:g} deg = {_shown(offset_mm, system)} x {1 / math.sin(theta):.4f}"
            f" = {_shown(travel, system)}, centre to centre",
            f"setback = offset / tan {angle_deg:g} deg = {_shown(setback, system)}",
        ),
    )


def offset_of_travel(travel_mm: float, angle_deg: float, system: Units = "inch") -> Offset:
    """Return offset and setback [mm] that a travel [mm, centre to centre] makes at a fitting angle [deg]."""
    _not_negative(travel=travel_mm)
    theta = _angle(angle_deg)
    offset = travel_mm * math.sin(theta)
    setback = 0.0 if angle_deg == 90 else travel_mm * math.cos(theta)
    return Offset(
        angle_deg,
        offset,
        travel_mm,
        setback,
        (
            f"offset = travel x sin {angle_deg:g} deg = {_shown(offset, system)}",
            f"setback = travel x cos {angle_deg:g} deg = {_shown(setback, system)}",
        ),
    )


def rolling_offset(roll_mm: float, rise_mm: float, angle_deg: float, system: Units = "inch") -> RollingOffset:
    """Return a rolling offset: sideways `roll_mm`, up `rise_mm`, with two fittings of one angle [deg]."""
    _not_negative(roll=roll_mm, rise=rise_mm)
    true = math.hypot(roll_mm, rise_mm)
    _positive(offset=true)
    roll_deg = math.degrees(math.atan2(roll_mm, rise_mm))
    offset = simple_offset(true, angle_deg, system)
    steps = (
        f"true offset = root of roll squared and rise squared = {_shown(true, system)}",
        f"turn the fittings {roll_deg:.1f} deg from plumb (roll / rise)",
        *offset.steps,
    )
    return RollingOffset(true, roll_deg, offset, steps)


def bend_leg_mm(radius_mm: float, angle_deg: float) -> float:
    """Return how far the end of a bend lies from its corner [mm]: radius x tan of half the angle."""
    _not_negative(radius=radius_mm)
    return radius_mm * math.tan(_angle(angle_deg) / 2)


def cut_from_centres(
    centres_mm: float,
    make_ups_mm: tuple[float, float],
    engagements_mm: tuple[float, float] = (0.0, 0.0),
    system: Units = "inch",
) -> Cut:
    """Return the cut length between two fittings set centre to centre [mm].

    Args:
        centres_mm: Centre to centre of the fittings.
        make_ups_mm: Fitting centre to socket seat, of each.
        engagements_mm: Socket depth of each, to tell whether the piece goes: shorter than both, the faces meet first.
        system: How the steps are worded.
    """
    _not_negative(centres=centres_mm, engagement=min(engagements_mm))
    cut = centres_mm - sum(make_ups_mm)
    first, second = (_shown(m, system) for m in make_ups_mm)
    step = f"cut = {_shown(centres_mm, system)} - {first} - {second} = {_shown(cut, system)}"
    return _cut(cut, engagements_mm, step, system)


def cut_from_faces(faces_mm: float, engagements_mm: tuple[float, float], system: Units = "inch") -> Cut:
    """Return the cut length between two fitting faces [mm]: the gap and both socket depths [mm]."""
    _not_negative(faces=faces_mm, engagement=min(engagements_mm))
    cut = faces_mm + sum(engagements_mm)
    first, second = (_shown(e, system) for e in engagements_mm)
    return _cut(
        cut, engagements_mm, f"cut = {_shown(faces_mm, system)} + {first} + {second} = {_shown(cut, system)}", system
    )


def _cut(cut_mm: float, engagements_mm: tuple[float, float], step: str, system: Units) -> Cut:
    shortest = sum(engagements_mm)
    # A hair of tolerance: faces that just meet still go.
    goes = cut_mm > 0 and cut_mm >= shortest - 1e-9
    steps: tuple[str, ...] = (step,)
    if not goes:
        steps += (
            f"does not go: the shortest piece is {_shown(shortest, system)}, faces touching; use a street fitting",
        )
    return Cut(cut_mm, shortest, goes, steps)


def head_of_water(
    head_mm: float, bore_mm: float | None = None, outside_mm: float | None = None, system: Units = "inch"
) -> HeadOfWater:
    """Return the pressure at the foot of a column of water [mm] and the thrusts it makes.

    Args:
        head_mm: Height of the water above the point.
        bore_mm: Inside diameter of the pipe, for the thrust on a plug in it.
        outside_mm: Outside diameter, for the thrust that pulls a joint open.
        system: How the steps are worded.

    Source: hydrostatics; 10 ft of water is about 4.3 psi.
    """
    kpa = pressure_kpa(head_mm)
    psi = kpa / KPA_PER_PSI
    steps = [f"pressure = {_shown(head_mm, system)} of water = {psi:.2f} psi = {kpa:.1f} kPa"]
    plug = thrust_n(kpa, bore_mm) if bore_mm is not None else None
    joint = thrust_n(kpa, outside_mm) if outside_mm is not None else None
    if plug is not None and bore_mm is not None:
        steps.append(f"thrust on a plug, inside area of {_shown(bore_mm, system)}: {_force(plug)}")
    if joint is not None and outside_mm is not None:
        steps.append(f"thrust on a joint, outside area of {_shown(outside_mm, system)}: {_force(joint)}")
    return HeadOfWater(head_mm, kpa, psi, plug, joint, tuple(steps))


def pressure_kpa(head_mm: float) -> float:
    """Return the pressure under a head of water at rest [kPa].

    >>> round(pressure_kpa(3048.0) / KPA_PER_PSI, 2)
    4.34
    """
    _not_negative(head=head_mm)
    return head_mm / 1000 * WATER_KPA_PER_M


def thrust_n(kpa: float, diameter_mm: float) -> float:
    """Return the thrust [N] of a pressure [kPa] on a circle [mm]."""
    _not_negative(pressure=kpa)
    _positive(diameter=diameter_mm)
    return kpa * math.pi / 4 * diameter_mm**2 / 1000


def _force(newton: float) -> str:
    return f"{newton / N_PER_LBF:.0f} lbf ({newton:.0f} N)"


def volume(bore_mm: float, length_mm: float, system: Units = "inch") -> Volume:
    """Return what a pipe of an inside diameter [mm] holds over a length [mm]."""
    _not_negative(length=length_mm)
    per_m = litres_per_m(bore_mm)
    per_ft = per_m * 0.3048 / L_PER_US_GAL
    litres = per_m * length_mm / 1000
    gallons = litres / L_PER_US_GAL
    step = (
        f"{per_ft:.4f} gal/ft = {per_m:.3f} L/m; over {_shown(length_mm, system)}: {gallons:.2f} gal = {litres:.2f} L"
    )
    return Volume(litres, gallons, per_m, per_ft, (step,))


def litres_per_m(bore_mm: float) -> float:
    """Return what a metre of full pipe holds [L/m].

    >>> round(litres_per_m(76.2) * 0.3048 / L_PER_US_GAL, 3)
    0.367
    """
    _positive(bore=bore_mm)
    return math.pi / 4 * (bore_mm / 100) ** 2 * 10


def cover_mm(ground_z_mm: float, invert_z_mm: float, bore_mm: float, wall_mm: float) -> float:
    """Return the cover over a buried pipe [mm]: ground less invert, bore and one wall."""
    _positive(bore=bore_mm)
    _not_negative(wall=wall_mm)
    return ground_z_mm - (invert_z_mm + bore_mm + wall_mm)
