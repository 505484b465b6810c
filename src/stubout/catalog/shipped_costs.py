"""The shipped costs as a constant, written from its data files by `stubout.files.catalog`."""

# ruff: noqa: E501 - written by a program, a row a line
# fmt: off
from stubout.catalog.costs import CostRow, Costs, PlaceFactor
from stubout.problems import Status

COSTS = Costs(
    rows={
        "pipe": CostRow("pipe", "m", {1.25: 4.0, 1.5: 4.0, 2.0: 4.5, 2.5: 5.0, 3.0: 6.0, 4.0: 7.5, 5.0: 9.0, 6.0: 11.0}, {1.25: 2.0, 1.5: 2.2, 2.0: 3.0, 2.5: 5.0, 3.0: 6.5, 4.0: 9.0, 5.0: 16.0, 6.0: 22.0}, Status.MEMORY, "laid, measured from centre to centre through the fittings; common practice, no source"),
        "trench": CostRow("trench", "m", {0.0: 20.0}, {0.0: 4.0}, Status.MEMORY, "dug, bedded and filled again, beside the pipe in it; common practice, no source"),
        "fitting bend": CostRow("fitting bend", "piece", {1.25: 1.0, 1.5: 1.0, 2.0: 1.0, 2.5: 1.5, 3.0: 1.5, 4.0: 2.0, 5.0: 3.0, 6.0: 4.0}, {1.25: 1.0, 1.5: 1.0, 2.0: 1.5, 2.5: 4.0, 3.0: 4.0, 4.0: 7.0, 5.0: 16.0, 6.0: 24.0}, Status.MEMORY, "a bend of any angle, a closet bend; by its largest size, without its joints; common practice, no source"),
        "fitting street": CostRow("fitting street", "piece", {1.25: 1.0, 1.5: 1.0, 2.0: 1.0, 2.5: 1.5, 3.0: 1.5, 4.0: 2.0, 5.0: 3.0, 6.0: 4.0}, {1.25: 1.2, 1.5: 1.2, 2.0: 1.8, 2.5: 4.5, 3.0: 5.0, 4.0: 8.0, 5.0: 18.0, 6.0: 26.0}, Status.MEMORY, "a bend with a spigot; by its largest size, without its joints; common practice, no source"),
        "fitting tee": CostRow("fitting tee", "piece", {1.25: 1.5, 1.5: 1.5, 2.0: 1.5, 2.5: 2.0, 3.0: 2.0, 4.0: 3.0, 5.0: 4.0, 6.0: 5.0}, {1.25: 1.5, 1.5: 1.5, 2.0: 2.0, 2.5: 6.0, 3.0: 6.0, 4.0: 9.0, 5.0: 22.0, 6.0: 32.0}, Status.MEMORY, "a tee with one branch; further branches by `extra branch`; by its largest size, without its joints; common practice, no source"),
        "fitting wye": CostRow("fitting wye", "piece", {1.25: 1.5, 1.5: 1.5, 2.0: 1.5, 2.5: 2.0, 3.0: 2.0, 4.0: 3.0, 5.0: 4.0, 6.0: 5.0}, {1.25: 2.0, 1.5: 2.0, 2.0: 2.5, 2.5: 6.0, 3.0: 6.5, 4.0: 11.0, 5.0: 26.0, 6.0: 38.0}, Status.MEMORY, "a wye with one branch; by its largest size, without its joints; common practice, no source"),
        "fitting combination": CostRow("fitting combination", "piece", {1.25: 1.5, 1.5: 1.5, 2.0: 1.5, 2.5: 2.0, 3.0: 2.0, 4.0: 3.0, 5.0: 4.0, 6.0: 5.0}, {1.25: 2.5, 1.5: 2.5, 2.0: 3.0, 2.5: 8.0, 3.0: 8.5, 4.0: 13.0, 5.0: 30.0, 6.0: 44.0}, Status.MEMORY, "a wye and 1/8 bend with one branch; by its largest size, without its joints; common practice, no source"),
        "fitting straight": CostRow("fitting straight", "piece", {1.25: 0.5, 1.5: 0.5, 2.0: 0.5, 2.5: 1.0, 3.0: 1.0, 4.0: 1.0, 5.0: 1.5, 6.0: 2.0}, {1.25: 0.7, 1.5: 0.7, 2.0: 0.8, 2.5: 2.0, 3.0: 2.0, 4.0: 3.0, 5.0: 6.0, 6.0: 9.0}, Status.MEMORY, "a coupling, a reducer, a bushing; by its largest size, without its joints; common practice, no source"),
        "transition coupling": CostRow("transition coupling", "piece", {1.25: 8.0, 1.5: 8.0, 2.0: 10.0, 2.5: 12.0, 3.0: 15.0, 4.0: 20.0, 5.0: 25.0, 6.0: 30.0}, {1.25: 4.0, 1.5: 4.0, 2.0: 5.0, 2.5: 6.0, 3.0: 8.0, 4.0: 10.0, 5.0: 15.0, 6.0: 20.0}, Status.MEMORY, "the old pipe held, cut and cleaned, sleeve and clamps put on; by its largest size; common practice, no source"),
        "fitting end": CostRow("fitting end", "piece", {1.25: 1.0, 1.5: 1.0, 2.0: 1.0, 2.5: 1.5, 3.0: 2.0, 4.0: 2.5, 5.0: 3.0, 6.0: 4.0}, {1.25: 1.2, 1.5: 1.2, 2.0: 1.5, 2.5: 3.0, 3.0: 5.0, 4.0: 7.0, 5.0: 12.0, 6.0: 18.0}, Status.MEMORY, "a trap adapter, closet flange, cleanout adapter, cap; by its largest size, without its joints; common practice, no source"),
        "extra branch": CostRow("extra branch", "piece", {1.25: 0.5, 1.5: 0.5, 2.0: 0.5, 2.5: 1.0, 3.0: 1.0, 4.0: 1.0, 5.0: 1.5, 6.0: 2.0}, {1.25: 1.5, 1.5: 1.5, 2.0: 2.0, 2.5: 5.0, 3.0: 5.0, 4.0: 7.0, 5.0: 15.0, 6.0: 22.0}, Status.MEMORY, "the second and every further branch of a fitting, by its size; common practice, no source"),
        "joint": CostRow("joint", "piece", {1.25: 2.5, 1.5: 2.5, 2.0: 3.0, 2.5: 3.5, 3.0: 4.0, 4.0: 5.0, 5.0: 7.0, 6.0: 9.0}, {1.25: 0.2, 1.5: 0.2, 2.0: 0.3, 2.5: 0.4, 3.0: 0.5, 4.0: 0.7, 5.0: 1.2, 6.0: 1.8}, Status.MEMORY, "cut, deburred, dry fitted, cemented: one a socket; common practice, no source"),
        "bore stud": CostRow("bore stud", "piece", {1.25: 2.0, 1.5: 2.0, 2.0: 2.5, 2.5: 3.0, 3.0: 4.0, 4.0: 5.0, 5.0: 7.0, 6.0: 9.0}, {0.0: 0.0}, Status.MEMORY, "one stud, by the size of the pipe; common practice, no source"),
        "bore plate": CostRow("bore plate", "piece", {1.25: 2.5, 1.5: 2.5, 2.0: 3.0, 2.5: 3.5, 3.0: 4.5, 4.0: 6.0, 5.0: 8.0, 6.0: 10.0}, {0.0: 0.0}, Status.MEMORY, "one plate, with the subfloor; common practice, no source"),
        "bore joist": CostRow("bore joist", "piece", {1.25: 3.5, 1.5: 3.5, 2.0: 4.0, 2.5: 5.0, 3.0: 6.0, 4.0: 8.0, 5.0: 11.0, 6.0: 14.0}, {0.0: 0.0}, Status.MEMORY, "a joist, truss, rafter or beam; common practice, no source"),
        "nail plate": CostRow("nail plate", "piece", {0.0: 0.7}, {0.0: 0.6}, Status.MEMORY, "common practice, no source"),
        "strap": CostRow("strap", "piece", {0.0: 5.0}, {0.0: 4.0}, Status.MEMORY, "over a cut top plate; common practice, no source"),
        "stud shoe": CostRow("stud shoe", "piece", {0.0: 4.0}, {0.0: 6.0}, Status.MEMORY, "common practice, no source"),
        "roof penetration": CostRow("roof penetration", "piece", {1.25: 45.0, 1.5: 45.0, 2.0: 45.0, 2.5: 50.0, 3.0: 50.0, 4.0: 60.0, 5.0: 70.0, 6.0: 80.0}, {1.25: 15.0, 1.5: 15.0, 2.0: 16.0, 2.5: 20.0, 3.0: 22.0, 4.0: 28.0, 5.0: 36.0, 6.0: 44.0}, Status.MEMORY, "opening, flashing and shingles of one terminal; common practice, no source"),
        "hanger": CostRow("hanger", "piece", {0.0: 3.0}, {0.0: 1.5}, Status.MEMORY, "common practice, no source"),
        "hanger drop": CostRow("hanger drop", "m", {0.0: 4.0}, {0.0: 1.0}, Status.MEMORY, "strap or rod of a hanger, with its brace, by how far the pipe hangs below the joists; common practice, no source"),
        "pipe strap": CostRow("pipe strap", "piece", {0.0: 2.0}, {0.0: 0.6}, Status.MEMORY, "common practice, no source"),
        "riser clamp": CostRow("riser clamp", "piece", {0.0: 4.0}, {0.0: 5.0}, Status.MEMORY, "common practice, no source"),
        "valve": CostRow("valve", "piece", {1.25: 4.0, 1.5: 4.0, 2.0: 4.0, 2.5: 6.0, 3.0: 6.0, 4.0: 8.0, 5.0: 8.0, 6.0: 8.0}, {1.25: 25.0, 1.5: 25.0, 2.0: 30.0, 2.5: 45.0, 3.0: 50.0, 4.0: 60.0, 5.0: 60.0, 6.0: 60.0}, Status.MEMORY, "an air admittance valve with its adapter; common practice, no source"),
        "cleanout": CostRow("cleanout", "piece", {1.25: 4.0, 1.5: 4.0, 2.0: 4.0, 2.5: 5.0, 3.0: 6.0, 4.0: 8.0, 5.0: 10.0, 6.0: 12.0}, {1.25: 4.0, 1.5: 4.0, 2.0: 5.0, 2.5: 6.0, 3.0: 8.0, 4.0: 11.0, 5.0: 16.0, 6.0: 22.0}, Status.MEMORY, "cover and access of one opening, beside its fitting; common practice, no source"),
    },
    factors={
        "crawl": PlaceFactor("crawl", 1.4, Status.MEMORY, "common practice, no source"),
        "attic": PlaceFactor("attic", 1.2, Status.MEMORY, "common practice, no source"),
        "under slab": PlaceFactor("under slab", 1.1, Status.MEMORY, "common practice, no source"),
    },
)
