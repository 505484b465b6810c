"""The word list of fixtures: the job, the books, the catalogue and the house are keyed by the same words."""

from __future__ import annotations

from enum import StrEnum
from typing import Literal

ObstacleKind = Literal[
    "duct",
    "box",
    "beam",
    "post",
    "pad",
    "footing",
    "blocking",
    "panel",
    "valve",
    "appliance",
    "header",
    "line",
    "skylight",
    "soffit",
    "zone",
]
"""What may stand in the way of a pipe."""


PipeMaterial = Literal["abs", "pvc", "cast iron", "copper", "galvanized", "brass", "lead", "clay", "concrete"]
"""What pipe that is there already may be made of; new pipe is of the job's material."""


class FixtureKind(StrEnum):
    """The fixtures a house can have; rule books and the catalogue use these words as row keys."""

    WATER_CLOSET = "water closet"
    LAVATORY = "lavatory"
    BATHTUB = "bathtub"
    SHOWER = "shower"
    BIDET = "bidet"
    KITCHEN_SINK = "kitchen sink"
    BAR_SINK = "bar sink"
    SINK = "sink"
    LAUNDRY_TRAY = "laundry tray"
    CLOTHES_WASHER = "clothes washer"
    DISHWASHER = "dishwasher"
    FLOOR_DRAIN = "floor drain"
