"""Lengths, slopes and pipe sizes as a plumber writes them, read into numbers and printed back.

Inside the program lengths are millimetres, slopes metres per metre, pipe sizes nominal inches. Everything here reckons
in exact fractions until the last step, so that 1/16 in stays 1/16 in. A bare number is a length only where the caller
says in which unit; `5-11 3/8` is never guessed at.
"""

from __future__ import annotations

import math
import re
from collections.abc import Sequence
from fractions import Fraction
from functools import lru_cache
from typing import Final, Literal

MM_PER_INCH: Final = 25.4
EXACT_MM = 0.001  # what is written into a job file is read back as the same length
MM_PER_FOOT: Final = 304.8

NOMINAL_SIZES_IN: Final = (1.25, 1.5, 2.0, 2.5, 3.0, 4.0, 5.0, 6.0, 8.0)

# Nominal metric names of the same pipes: DN numbers, those the Canadian trade uses (30, 75) and plain
# conversions found on older drawings (38, 51, 64, 76, 102, 127, 152, 203). Common practice, no source.
_SIZE_OF_MM: Final = {
    30: 1.25, 32: 1.25, 38: 1.5, 40: 1.5, 50: 2.0, 51: 2.0, 64: 2.5, 65: 2.5, 75: 3.0, 76: 3.0, 80: 3.0,
    100: 4.0, 102: 4.0, 125: 5.0, 127: 5.0, 150: 6.0, 152: 6.0, 200: 8.0, 203: 8.0,
}  # fmt: skip

Bare = Literal["mm", "inch"]
Units = Literal["mm", "inch"]

_INCH: Final = Fraction(127, 5)  # mm
_KEPT: Final = 4096  # lengths whose printed form is kept: the same few are printed again and again
_LONGEST_TEXT: Final = 60  # no length a person writes is longer; also bounds the arithmetic

_WANT_LENGTH: Final = 'a length such as 14 3/4", 5\'-11" or 375 mm'
_WANT_SLOPE: Final = "a slope such as 1/4 in/ft, 2 %, 1:50, 20 mm/m or 1.2 deg"
_WANT_SIZE: Final = 'a pipe size such as 1-1/2, 2", 3 in or DN 50'


class UnitError(ValueError):
    """A text that is no length, slope or size: what was found, what was wanted, what to write instead."""

    def __init__(self, found: str, wanted: str, do: str = "") -> None:
        self.found = found if len(found) <= _LONGEST_TEXT else found[:_LONGEST_TEXT] + "..."
        self.wanted = wanted
        self.do = do
        super().__init__(f'found "{self.found}", wanted {wanted}' + (f" - {do}" if do else ""))


class LengthError(UnitError):
    """A text that is no length, or one with two readings."""


class SlopeError(UnitError):
    """A text that is no slope."""


class SizeError(UnitError):
    """A text that is no nominal pipe size."""


_SAME: Final = str.maketrans(
    {
        "\u2032": "'", "\u2019": "'", "\u2018": "'", "\u00b4": "'",
        "\u2033": '"', "\u201d": '"', "\u201c": '"',
        "\u2212": "-", "\u2013": "-", "\u2010": "-", "\u2011": "-",
        "\u2044": "/", "\u00a0": " ", "\u2009": " ", "\u202f": " ", "\t": " ",
        "¼": " 1/4", "½": " 1/2", "¾": " 3/4", "⅛": " 1/8", "⅜": " 3/8", "⅝": " 5/8", "⅞": " 7/8",
        "⅓": " 1/3", "⅔": " 2/3",
    }
)  # fmt: skip

_NUMBER: Final = r"(?:[0-9]+[ -][0-9]+/[0-9]+|[0-9]+/[0-9]+|[0-9]+\.[0-9]*|[0-9]+|\.[0-9]+)"
_FT: Final = r"(?:'|ft\.?|feet|foot)"
_IN: Final = r"(?:\"|inch(?:es)?|in\.?)"

_FEET_INCHES = re.compile(rf"(?P<ft>{_NUMBER}) ?{_FT}(?: ?-? ?(?P<inch>{_NUMBER}) ?{_IN}?)?")
_INCHES = re.compile(rf"(?P<inch>{_NUMBER}) ?{_IN}")
_METRIC = re.compile(r"(?P<n>[0-9]+\.?[0-9]*|\.[0-9]+) ?(?P<unit>mm|cm|m)")
_BARE = re.compile(_NUMBER)
_TWO_READINGS = re.compile(rf"(?P<a>[0-9]+) ?- ?(?P<b>{_NUMBER}) ?{_IN}?")
_SIZE_MM = re.compile(r"(?:dn ?(?P<dn>[0-9]+)(?: ?mm)?|(?P<mm>[0-9]+) ?mm)")
_SIZE_IN = re.compile(rf"(?:nps ?)?(?P<n>{_NUMBER}) ?{_IN}?")
_SLOPE_IN_FT = re.compile(rf"(?P<n>{_NUMBER}) ?{_IN} ?(?:/|per|a) ?(?:{_FT})")
_SLOPE_PERCENT = re.compile(rf"(?P<n>{_NUMBER}) ?(?:%|percent|per cent)")
_SLOPE_RATIO = re.compile(rf"(?P<a>{_NUMBER}) ?(?::| in ) ?(?P<b>{_NUMBER})")
_SLOPE_METRIC = re.compile(rf"(?P<n>{_NUMBER}) ?(?P<unit>mm|cm|m) ?(?:/|per) ?m")
_SLOPE_DEG = re.compile(rf"(?P<n>{_NUMBER}) ?(?:°|deg\.?|degrees?)")

_RISE = re.compile(
    r"(?P<rise>[0-9]{1,4}(?:\.[0-9]{1,6})?|(?:[0-9]{1,3}[ -])?[0-9]{1,2}/[0-9]{1,2})"
    r"(?: ?: ?(?P<run>[0-9]{1,4}(?:\.[0-9]{1,6})?))?"
)


def _plain(text: str) -> str:
    """Return the text with one spelling for marks, dashes, blanks and fractions."""
    return " ".join(text.translate(_SAME).replace("''", '"').split()).lower()


def _number(text: str) -> Fraction | None:
    """Return `14`, `14.75`, `3/4`, `14 3/4` or `14-3/4` exactly; None for a zero or top-heavy fraction."""
    whole, _, part = text.replace("-", " ").rpartition(" ")
    if "/" not in part:
        return Fraction(part if part[-1] != "." else part[:-1])
    above, below = (int(p) for p in part.split("/"))
    if below == 0 or (whole and above >= below):
        return None
    return int(whole or 0) + Fraction(above, below)


def _signed(text: str) -> tuple[int, str]:
    if text[:1] in ("-", "+"):
        return (-1 if text[0] == "-" else 1), text[1:].lstrip()
    return 1, text


def parse_length_mm(text: str, bare: Bare | None = None) -> float:
    """Return a length as a plumber writes it [mm].

    Args:
        text: `14 3/4"`, `5'-11"`, `1'2 3/4"`, `5ft 11-3/8in`, `⅜`, `375 mm`, `37.5 cm`, `1.8 m`; a sign may lead.
        bare: Unit of a number that has none; without it such a number is refused.

    Raises:
        LengthError: If it is no length, or one with two readings such as `5-11 3/8`.

    >>> parse_length_mm('14 3/4"')
    374.65
    >>> parse_length_mm("-0'-4\\"")
    -101.6
    """
    return float(parse_length_exact(text, bare))


def parse_length_exact(text: str, bare: Bare | None = None) -> Fraction:
    """Return a length as an exact fraction of a millimetre; see `parse_length_mm`."""
    sign, plain = _signed(_plain(text)) if len(text) <= _LONGEST_TEXT else (1, "")
    if match := _METRIC.fullmatch(plain):
        return sign * Fraction(match["n"].rstrip(".")) * {"mm": 1, "cm": 10, "m": 1000}[match["unit"]]
    if match := _INCHES.fullmatch(plain):
        return sign * _INCH * _length_number(match["inch"], text)
    if match := _FEET_INCHES.fullmatch(plain):
        feet = _length_number(match["ft"], text)
        inch = _length_number(match["inch"], text) if match["inch"] else Fraction(0)
        if match["inch"] and feet.denominator != 1:
            raise LengthError(text.strip(), _WANT_LENGTH, "whole feet go before inches")
        if inch >= 12:
            raise LengthError(text.strip(), "less than 12 inches after the feet", "or write it all in inches")
        return sign * _INCH * (12 * feet + inch)
    if _BARE.fullmatch(plain):
        return sign * _bare(plain, text, bare)
    if match := _TWO_READINGS.fullmatch(plain):
        a, b = match["a"], match["b"]
        raise LengthError(text.strip(), _WANT_LENGTH, f'two readings: write {a}\'-{b}" or {a}" to {b}"')
    raise LengthError(text.strip(), _WANT_LENGTH, "write the decimal with a point" if "," in text else "")


def _length_number(part: str, text: str) -> Fraction:
    n = _number(part)
    if n is None:
        raise LengthError(text.strip(), "a fraction below one, such as 3/8")
    return n


def _bare(plain: str, text: str, bare: Bare | None) -> Fraction:
    n = _length_number(plain, text)
    fraction = "/" in plain
    if bare == "inch" or (bare is None and fraction and " " not in plain and "-" not in plain):
        return n * _INCH  # a lone 3/8 is inches to everybody
    if bare == "mm" and not fraction:
        return n
    shown = text.strip()
    raise LengthError(shown, _WANT_LENGTH, f'write {shown}"' if fraction else f'write {shown}" or {shown} mm')


def parse_slope(text: str) -> float:
    """Return a slope as rise over run [m/m].

    Args:
        text: `1/4 in/ft`, `1/4" per foot`, `2 %`, `1:50`, `1 in 50`, `20 mm/m`, `1.2 deg`; a minus sign falls backward.

    Raises:
        SlopeError: If it is none of these.

    >>> parse_slope("1/4 in/ft") == 1 / 48
    True
    """
    sign, plain = _signed(_plain(text)) if len(text) <= _LONGEST_TEXT else (1, "")
    if match := _SLOPE_IN_FT.fullmatch(plain):
        value = _slope_number(match["n"], text) / 12
    elif match := _SLOPE_PERCENT.fullmatch(plain):
        value = _slope_number(match["n"], text) / 100
    elif match := _SLOPE_METRIC.fullmatch(plain):
        value = _slope_number(match["n"], text) / {"mm": 1000, "cm": 100, "m": 1}[match["unit"]]
    elif match := _SLOPE_RATIO.fullmatch(plain):
        run = _slope_number(match["b"], text)
        if run == 0:
            raise SlopeError(text.strip(), _WANT_SLOPE)
        value = _slope_number(match["a"], text) / run
    elif match := _SLOPE_DEG.fullmatch(plain):
        angle = _slope_number(match["n"], text)
        if angle >= 90:
            raise SlopeError(text.strip(), "an angle of less than 90 deg from level")
        return sign * math.tan(math.radians(float(angle))) + 0.0  # no minus before a zero
    else:
        raise SlopeError(text.strip(), _WANT_SLOPE, "say in which unit" if _BARE.fullmatch(plain) else "")
    return sign * float(value)


def _slope_number(part: str, text: str) -> Fraction:
    n = _number(part)
    if n is None:
        raise SlopeError(text.strip(), _WANT_SLOPE)
    return n


def parse_rise(text: str) -> float | None:
    """Return how much a roof rises over how far it runs [m/m].

    Args:
        text: `5:12`, `1/4:12`, `1 1/2:12`, `1:3`, or the ratio alone, `0.4167`. `4/12` alone may be either: refused.

    Returns:
        The ratio; None if the text is no rise.
    """
    match = _RISE.fullmatch(_plain(text)) if len(text) <= _LONGEST_TEXT else None
    rise = _number(match["rise"]) if match else None
    if match is None or rise is None:
        return None
    if match["run"] is None:
        return None if "/" in match["rise"] else float(rise)
    run = Fraction(match["run"])
    return float(rise / run) if run else None


def parse_size_in(text: str) -> float:
    """Return a nominal pipe size [in].

    Args:
        text: `1 1/2"`, `1-1/2`, `2 in`, `3"`, `3`, `DN 50`, `75 mm`; metric names are nominal, not measured.

    Raises:
        SizeError: If it is no size, or none that drain pipe comes in.
    """
    plain = _plain(text) if len(text) <= _LONGEST_TEXT else ""
    if match := _SIZE_MM.fullmatch(plain):
        nominal = _SIZE_OF_MM.get(int(match["dn"] or match["mm"]))
    elif match := _SIZE_IN.fullmatch(plain):
        n = _number(match["n"])
        nominal = float(n) if n is not None and float(n) in NOMINAL_SIZES_IN else None
    else:
        raise SizeError(text.strip(), _WANT_SIZE)
    if nominal is None:
        raise SizeError(text.strip(), "one of the sizes " + ", ".join(size(s) for s in NOMINAL_SIZES_IN) + " in")
    return nominal


def round_half_away(value: Fraction) -> int:
    """Return the nearest whole number, a half going away from zero, as a tape is read."""
    n = (abs(value) * 2 + 1) // 2
    return -n if value < 0 else n


def _exact(value: float) -> Fraction:
    """Return a float without its binary dust (below 1e-9), so that a half stays a half when it is rounded."""
    if not math.isfinite(value):
        raise ValueError(f"{value} is no length")
    return Fraction(f"{value:.9f}")


def _mixed(sixteenths: int, denominator: int) -> str:
    whole, rest = divmod(sixteenths, denominator)
    if not rest:
        return str(whole)
    part = Fraction(rest, denominator)
    return f"{whole} {part.numerator}/{part.denominator}" if whole else f"{part.numerator}/{part.denominator}"


@lru_cache(maxsize=_KEPT)
def feet_inches(mm: float, denominator: int = 16) -> str:
    """Return a length [mm] in feet and inches to the nearest fraction: `5'-11 3/8"`, under a foot `11 3/8"`.

    >>> feet_inches(1812.925)
    '5\\'-11 3/8"'
    """
    n = round_half_away(_exact(mm) / _INCH * denominator)
    sign, n = ("-", -n) if n < 0 else ("", n)
    feet, rest = divmod(n, 12 * denominator)
    if not feet:
        return f'{sign}{_mixed(rest, denominator)}"'
    inch = _mixed(rest, denominator)
    return f"{sign}{feet}'-{inch if rest >= denominator or not rest else '0 ' + inch}\""


def as_typed(mm: float, system: Units) -> str:
    """Return a length as it is written into a job file: read again it is the same length.

    >>> as_typed(374.65, "inch")
    '1\\'-2 3/4"'
    >>> as_typed(1621.5, "mm")
    '1621.5'
    """
    if system == "mm":
        return _decimals(mm, 4)
    shown = feet_inches(mm)
    if abs(parse_length_mm(shown, system) - mm) < EXACT_MM:
        return shown
    feet, rest = divmod(abs(mm) / MM_PER_INCH, 12)
    return ("-" if mm < 0 else "") + (f"{feet:.0f}'-" if feet else "") + f'{_decimals(rest, 5)}"'


def all_typed(mms: Sequence[float], system: Units) -> str:
    """Return lengths [mm] as one value of a job file: a range, a point."""
    return ", ".join(as_typed(mm, system) for mm in mms)


def _decimals(value: float, digits: int) -> str:
    text = f"{value:.{digits}f}".rstrip("0").rstrip(".")
    return "0" if text in ("-0", "") else text


@lru_cache(maxsize=_KEPT)
def inches(mm: float, denominator: int = 16) -> str:
    """Return a length [mm] in inches to the nearest fraction: `71 3/8"`."""
    n = round_half_away(_exact(mm) / _INCH * denominator)
    return f'{"-" if n < 0 else ""}{_mixed(abs(n), denominator)}"'


@lru_cache(maxsize=_KEPT)
def length(mm: float, units: Units) -> str:
    """Return a length [mm] as the sheets print it: `375` in a metric job, `1'-2 3/4"` in an inch job."""
    return str(round_half_away(_exact(mm))) if units == "mm" else feet_inches(mm)


def named(mm: float, units: Units) -> str:
    """Return a length [mm] with its unit, where no sheet says which one it is: `375 mm`, `1'-2 3/4"`."""
    return f"{length(mm, units)} mm" if units == "mm" else length(mm, units)


def on_plan(x_mm: float, y_mm: float, units: Units) -> str:
    """Return a place of the plan from the corner of the house, as the sheets print lengths.

    >>> on_plan(2616.2, 1638.3, "inch"), on_plan(2616.2, 1638.3, "mm")
    ("x 8'-7\", y 5'-4 1/2\"", 'x 2616, y 1638')
    """
    return f"x {length(x_mm, units)}, y {length(y_mm, units)}"


def over_floors(above_finished_mm: float, above_subfloor_mm: float, units: Units) -> str:
    """Return a height from the finished floor and from the subfloor, in both systems."""
    floors = ((above_finished_mm, "finished floor"), (above_subfloor_mm, "subfloor"))
    return ", ".join(f"{both(abs(mm), units)} {'above' if mm >= 0.0 else 'below'} {said}" for mm, said in floors)


def both(mm: float, units: Units) -> str:
    """Return a length [mm] in both systems, the job's own first: `375 mm (14 3/4")`; feet from 2 ft up."""
    metric = f"{length(mm, 'mm')} mm"
    trade = inches(mm) if abs(mm) < 2 * MM_PER_FOOT else feet_inches(mm)
    return f"{metric} ({trade})" if units == "mm" else f"{trade} ({metric})"


def _fixed(value: float, digits: int) -> str:
    """Return a number with fixed decimals, a half going away from zero and no minus before a zero."""
    n = round_half_away(_exact(value) * 10**digits)
    whole, rest = divmod(abs(n), 10**digits)
    return f"{'-' if n < 0 else ''}{whole}" + (f".{rest:0{digits}d}" if digits else "")


def slope(m_per_m: float, units: Units) -> str:
    """Return a slope [m/m] as the sheets print it: `1:50 (2.00 %)` or `1/4 in/ft (2.08 %)`."""
    percent = f"({_fixed(m_per_m * 100, 2)} %)"
    sign = "-" if m_per_m < 0 else ""
    steep = abs(m_per_m)
    if steep < 1e-6:
        return f"level {percent}"
    if units == "mm":
        run = 1 / steep
        near = round(run)
        shown = str(near) if near and abs(run - near) <= 0.001 * run else _fixed(run, 1 if run >= 10 else 2)
        return f"{sign}1:{shown} {percent}"
    in_per_ft = steep * 12
    sixteenths = round(in_per_ft * 16)
    if sixteenths and abs(in_per_ft * 16 - sixteenths) < 0.08:  # 0.005 in/ft: the two decimals would be its own
        return f"{sign}{_mixed(sixteenths, 16)} in/ft {percent}"
    return f"{sign}{_fixed(in_per_ft, 2)} in/ft {percent}"


@lru_cache(maxsize=256)
def size(size_in: float) -> str:
    """Return a nominal pipe size [in] as the trade writes it, without a mark: `1-1/2`, `3`."""
    return _mixed(round_half_away(_exact(size_in) * 16), 16).replace(" ", "-")
