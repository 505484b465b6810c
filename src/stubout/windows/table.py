"""Which checks can react when a mark is moved, and why the others cannot.

A check that is silent now and reads only what a move leaves as it is (sizes, loads, who drains where, the site) stays
silent. A test holds that every check stands in exactly one of the lists.
"""

from __future__ import annotations

from stubout.checks.base import Check
from stubout.checks.registry import CHECKS

# Judge pipe by pipe against what stands round it, or a pipe by itself: made on the moved pipes and their surroundings.
# A pipe can meet a body half way and be past it at the end, so these are made at every place looked at.
BODIES = (
    "CLA001", "CLA002", "CLA003", "CLA004", "CLA008", "CLA009", "FRM001", "FRM002", "FRM003", "FRM005", "FRM007",
)  # fmt: skip
FALLS = ("DRN007", "DRN008")  # of the moved pipes alone; what climbs is left to the second
BURIED = ("GRD001", "GRD002", "GRD003", "GRD004")  # the same, of pipes in the ground
PAIRS = ("CLA005",)  # the moved pipes and those near them
# Judge a fall, an angle, a height or a length against one limit. Along a straight move each is monotone, or a length,
# which bends one way only: silent here and at the far end is silent all the way.
LINES = (
    "ARM001", "ARM002", "ARM005", "ARM006", "ARM008", "FIT006", "FIT007", "FIT008", "FIT009", "TRP001", "TRP002",
    "TRP003", "TRP006", "TRP007",
    "VNT002", "VNT004", "VNT008", "VNT010", "FLD001",
    "CIR003", "CIR006", "CMB003", "ISL002", "ISL003", "ISL006", "SGL002", "WET010",
)  # fmt: skip
SPANS = ("ARM003", "ARM004", "VNT003")  # the same, but left to another check beyond some angle: made at every place
ANGLES = ("FIT008",)  # of those: asked most of all, and only the fittings of the moved pipes count
LENGTHS = ("VNT006", "VNT013")  # a vent grows longer
REACH = (
    "CLO001", "CLO002", "CLO003", "CLO004", "CLO005", "CLO009", "DRN012", "FIT004", "SUP001",
    "CMB004", "SUD001", "WET011",
)  # a drain grows  # fmt: skip
ROOF = ("TRM001", "TRM002", "TRM004", "TRM007", "TRM008", "TRM009", "TRM011")  # a terminal moves
VALVES = ("VAL002", "VAL005")  # an air admittance valve moves
# Of a fixture, which can meet bodies too: made at every place.
STUBS = ("STB001", "STB002", "STB003", "STB004", "STB006", "STP001", "STP002")  # a stub-out moves
DRAWERS = ("STB005",)  # the same, or a pipe in a cabinet
FLOOR = ("FLG001", "FLG002", "FRM006")  # the outlet moves, the fixture stays as drawn
BODY = ("CLR001", "CLR002")  # the fixture moves with its outlet
OPENINGS = ("CLO006", "CLO010", "CLO011")  # a cleanout moves

ENDS = (LINES, ROOF, VALVES, LENGTHS, REACH)  # silent here and at the far end of a move is silent all the way
WIDE = (*ENDS, SPANS, STUBS, DRAWERS, FLOOR)  # made on more than the moved pipes: worth knowing what they look at
HAND_OVER = (SPANS, FALLS)  # beyond some place left to another check

_SIZES = "reads sizes, loads and kinds of pipe, which a move leaves as they are"
_GRAPH = "reads who joins whom, which a move leaves as it is"
_JOB = "reads the job file or the site"
_PLACE = "reads in which wall, room or space a pipe lies; no mark is moved out of its wall"
UNMOVED: dict[str, str] = {
    **dict.fromkeys(
        (
            "ARM007", "CLO007", "DRN001", "DRN002", "DRN003", "DRN004", "DRN005", "DRN006", "DRN011", "DRN014",
            "TRM003", "VNT005", "VNT007", "VNT011", "VNT012", "WET001", "WET006", "WET007",
            "CIR007", "CMB002", "CMB005", "DRN015", "FLD003", "SGL001", "TRP005", "VNT014", "WET008", "WST001",
        ),
        _SIZES,
    ),
    **dict.fromkeys(
        (
            "ARM009", "CLO008", "DRN009", "DRN010", "DRN013", "FIT001", "FIT002", "FIT003", "FIT005", "TRM005",
            "TRM006", "TRP004", "VNT001", "VNT009", "WET002", "WET003", "WET004", "WET005",
            "CIR001", "CIR002", "CIR004", "CIR005", "CIR008", "CMB001", "ISL001", "ISL004", "ISL005", "VAL003",
            "VAL004", "WET009", "WET012", "WST002",
        ),
        _GRAPH,
    ),
    **dict.fromkeys(
        (
            "ASK001", "BLK001", "FLD002", "MAT001", "REC001", "REC002", "SEW001", "SEW002", "STB007", "TST001",
            "TST002", "VAL001",
        ),
        _JOB,
    ),
    **dict.fromkeys(("CLR003", "DSH001", "MTH001", "STP003"), _JOB),
    **dict.fromkeys(("CLA006", "CLA007", "CLD001", "CLD002"), _PLACE),
    "TRM010": "only a note",
    "FRM004": "a strap follows from the size of the hole, which stays",
}  # fmt: skip

_KNOWN = {c.id: c for c in CHECKS}


def checks_of(ids: tuple[str, ...]) -> tuple[Check, ...]:
    """Return the checks by id, in the order given."""
    return tuple(_KNOWN[i] for i in ids)
