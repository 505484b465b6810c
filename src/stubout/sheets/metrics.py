"""How wide a text is on paper: advance widths of the DejaVu faces shipped in `stubout/fonts`.

The core opens no files, so the widths stand here as numbers; a test compares them with the shipped fonts.
"""

from __future__ import annotations

import re
from functools import lru_cache

from stubout.sheets.model import Text

MM_PER_POINT = 25.4 / 72
UNITS_PER_EM = 2048
ASCENT_EM = 0.78  # top of capitals, brackets and accents above the base line
DESCENT_EM = 0.24
LEAST_PT = 9.0  # least size of text on paper

Rect = tuple[float, float, float, float]  # x0, y0, x1, y1 [mm on paper]

# Advance widths of the characters 32 to 126, in 1/2048 em.
_PLAIN = (
    651, 821, 942, 1716, 1303, 1946, 1597, 563, 799, 799, 1024, 1716, 651, 739, 651, 690, 1303, 1303, 1303, 1303,
    1303, 1303, 1303, 1303, 1303, 1303, 690, 690, 1716, 1716, 1716, 1087, 2048, 1401, 1405, 1430, 1577, 1294, 1178,
    1587, 1540, 604, 604, 1343, 1141, 1767, 1532, 1612, 1235, 1612, 1423, 1300, 1251, 1499, 1401, 2025, 1403, 1251,
    1403, 799, 690, 799, 1716, 1024, 1024, 1255, 1300, 1126, 1300, 1260, 721, 1300, 1298, 569, 569, 1186, 569, 1995,
    1298, 1253, 1300, 1300, 842, 1067, 803, 1298, 1212, 1675, 1212, 1212, 1075, 1303, 690, 1303, 1716,
)  # fmt: skip
_BOLD = (
    713, 934, 1067, 1716, 1425, 2052, 1786, 627, 936, 936, 1071, 1716, 778, 850, 778, 748, 1425, 1425, 1425, 1425,
    1425, 1425, 1425, 1425, 1425, 1425, 819, 819, 1716, 1716, 1716, 1188, 2048, 1585, 1561, 1503, 1700, 1399, 1399,
    1681, 1714, 762, 762, 1587, 1305, 2038, 1714, 1741, 1501, 1741, 1577, 1475, 1397, 1663, 1585, 2259, 1579, 1483,
    1485, 936, 748, 936, 1716, 1024, 1024, 1382, 1466, 1214, 1466, 1389, 891, 1466, 1458, 702, 702, 1362, 702, 2134,
    1458, 1407, 1466, 1466, 1010, 1219, 979, 1458, 1335, 1892, 1321, 1335, 1192, 1458, 748, 1458, 1716,
)  # fmt: skip
_MONO = 1233
_PLAIN_MORE = {
    "×": 1716, "′": 465, "″": 765, "–": 1024, "—": 2048, "°": 1024, "ø": 1253, "Ø": 1612, "±": 1716, "→": 1716,
    "←": 1716, "↑": 1716, "↓": 1716, "≥": 1716, "≤": 1716, "·": 651, "…": 2048, "½": 1985, "¼": 1985, "¾": 1985,
    "⅛": 1985, "⅜": 1985, "⅝": 1985, "⅞": 1985, "é": 1260, "è": 1260, "ñ": 1298, "á": 1255, "í": 569, "ó": 1253,
    "ú": 1298, "ü": 1298, "ç": 1126, "à": 1255, "â": 1255, "ê": 1260, "ô": 1253, "û": 1298, "É": 1294, "Ñ": 1532,
    "²": 821, "³": 821, "•": 1208, "µ": 1303, "⌀": 1233,
}  # fmt: skip
_BOLD_MORE = {
    "×": 1716, "′": 540, "″": 915, "–": 1024, "—": 2048, "°": 1024, "ø": 1407, "Ø": 1741, "±": 1716, "→": 1716,
    "←": 1716, "↑": 1716, "↓": 1716, "≥": 1716, "≤": 1716, "·": 778, "…": 2048, "½": 2120, "¼": 2120, "¾": 2120,
    "⅛": 2120, "⅜": 2120, "⅝": 2120, "⅞": 2120, "é": 1389, "è": 1389, "ñ": 1458, "á": 1382, "í": 702, "ó": 1407,
    "ú": 1458, "ü": 1458, "ç": 1214, "à": 1382, "â": 1382, "ê": 1389, "ô": 1407, "û": 1458, "É": 1399, "Ñ": 1714,
    "²": 897, "³": 897, "•": 1309, "µ": 1507, "⌀": 1233,
}  # fmt: skip
_UNKNOWN = 1716  # a wide letter: better a gap than an overlap


_BREAK = re.compile(r"(?<!\d)\s+|\s+(?!\d+/\d)")  # not between a whole number and its fraction


def _advance(char: str, bold: bool) -> int:
    code = ord(char)
    if 32 <= code <= 126:
        return (_BOLD if bold else _PLAIN)[code - 32]
    return (_BOLD_MORE if bold else _PLAIN_MORE).get(char, _UNKNOWN)


@lru_cache(maxsize=8192)
def text_width(text: str, size_pt: float, *, bold: bool = False, mono: bool = False) -> float:
    """Return the width of one line of text [mm on paper].

    Args:
        text: The words.
        size_pt: Font size [pt].
        bold: Bold face.
        mono: Fixed-width face.
    """
    units = _MONO * len(text) if mono else sum(_advance(c, bold) for c in text)
    return units / UNITS_PER_EM * size_pt * MM_PER_POINT


def line_height(size_pt: float) -> float:
    """Return the distance of two base lines that do not touch [mm on paper]."""
    return size_pt * MM_PER_POINT * 1.18


def text_rect(item: Text) -> Rect:
    """Return the box a text fills [mm on paper]; turns are multiples of 90 degrees."""
    em = item.size_pt * MM_PER_POINT
    width = text_width(item.text, item.size_pt, bold=item.bold, mono=item.mono)
    left = {"start": 0.0, "middle": -width / 2, "end": -width}[item.anchor]
    lo, hi = -DESCENT_EM * em, ASCENT_EM * em
    x, y = item.at
    turn = round(item.turn_deg) % 360
    if turn == 90:
        return (x - hi, y + left, x - lo, y + left + width)
    if turn == 270:
        return (x + lo, y - left - width, x + hi, y - left)
    if turn == 180:
        return (x - left - width, y - hi, x - left, y - lo)
    return (x + left, y + lo, x + left + width, y + hi)


def wrap(text: str, width_mm: float, size_pt: float, *, bold: bool = False) -> list[str]:
    """Return the text broken into lines no wider than a width; a word that is too long gets its own line, cut.

    A fraction stays with its whole number: `14 1/4` is never broken.
    """
    lines: list[str] = []
    now = ""
    for word in _BREAK.split(text.strip()):
        piece = word
        while text_width(piece, size_pt, bold=bold) > width_mm and len(piece) > 1:
            cut = len(piece) - 1
            while cut > 1 and text_width(piece[:cut], size_pt, bold=bold) > width_mm:
                cut -= 1
            if now:
                lines.append(now)
                now = ""
            lines.append(piece[:cut])
            piece = piece[cut:]
        trial = f"{now} {piece}" if now else piece
        if now and text_width(trial, size_pt, bold=bold) > width_mm:
            lines.append(now)
            now = piece
        else:
            now = trial
    if now:
        lines.append(now)
    return lines
