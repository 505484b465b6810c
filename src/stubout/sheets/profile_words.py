"""What a profile says: the table of stations and the notes."""

from __future__ import annotations

from stubout.design import Design
from stubout.network.model import Pipe
from stubout.sheets.grid import Column, Grid
from stubout.sheets.pipeware import bore_mm
from stubout.sheets.profile_facts import LEAVES, Branch, Station, branches
from stubout.sheets.words import level_mark, mm, pipe_size, slope


def stations_grid(design: Design, points: tuple[Station, ...], run: tuple[Pipe, ...]) -> Grid:
    """Return the table of stations: inverts, cover, size and slope to the next."""
    total = points[-1].along_mm
    rows = []
    joins = branches(design, run)
    leg = {round(length_before(run, i), 2): p for i, p in enumerate(run)}
    now = run[0]
    for s in points:
        now = leg.get(round(s.along_mm, 2), now)
        last = s is points[-1]
        cover = mm(design, s.cover_mm) if s.cover_mm >= 0 else f"{mm(design, -s.cover_mm)} above"
        rows.append(
            (
                str(s.number),
                _what(design, s, joins),
                mm(design, s.along_mm),
                mm(design, total - s.along_mm),
                level_mark(design, s.invert_z_mm),
                ", ".join(level_mark(design, b.invert_z_mm) for b in _at(s, joins) if not b.drop),
                level_mark(design, s.surface_z_mm),
                cover,
                "" if last else pipe_size(now.size_in),
                "" if last else (slope(design, now) if not now.vertical else "drop"),
                "" if last else now.id,
            )
        )
    columns = (
        Column("No", "end"),
        Column("Point"),
        Column("From|upstream", "end"),
        Column("To|connection", "end"),
        Column("Invert|house z", "end"),
        Column("Branch|invert", "end"),
        Column("Surface|house z", "end"),
        Column("Cover|over pipe", "end"),
        Column("Size to|next"),
        Column("Slope to|next"),
        Column("Pipe"),
    )
    return Grid("Stations", columns, tuple(rows), "stations")


def _at(station: Station, joins: tuple[Branch, ...]) -> list[Branch]:
    """Return the drains that enter the run at a station; none at the wall, which is no point of the network."""
    return [b for b in joins if abs(b.along_mm - station.along_mm) < 0.01 and station.what != LEAVES]


def branch_words(branch: Branch) -> str:
    """Return what a branch is called: the fixtures it carries, or the cleanout it is, and its size."""
    return f"{', '.join(branch.tags) or branch.pipe} {pipe_size(branch.size_in)}"


def opening_words(design: Design, branch: Branch) -> str:
    """Return at which height a cleanout's riser is opened; nothing for another branch."""
    return f"opens at {level_mark(design, branch.opens_z_mm)}" if branch.opens_z_mm is not None else ""


def _what(design: Design, station: Station, joins: tuple[Branch, ...]) -> str:
    here = _at(station, joins)
    if not here:
        return station.what
    words = "; ".join(", ".join(w for w in (branch_words(b), opening_words(design, b)) if w) for b in here)
    if all(b.access for b in here):
        return f"up: {words}"
    return f"{'in' if station.what == 'junction' else station.what}: {words}"


def length_before(run: tuple[Pipe, ...], index: int) -> float:
    """Return the plan length of the run before a pipe [mm]."""
    return sum(p.plan_mm for p in run[:index])


def profile_notes(design: Design, times: float, run: tuple[Pipe, ...]) -> tuple[str, ...]:
    """Return the notes of a profile: how it is drawn, the connection, what to beware of."""
    sewer = design.house.sewer
    out = [
        f"Heights are drawn {times:g} times as tall as lengths. Inverts: inside bottom of the pipe; "
        "house z 0 as on the plans. Surface: underside of the slab or floor of the crawl space inside, ground outside.",
        f"Connection: {sewer.what}, {pipe_size(sewer.size_in)}, invert {level_mark(design, sewer.at.z)}"
        + (
            "."
            if sewer.confirmed
            else f", NOT CONFIRMED (may be off by {mm(design, sewer.invert_uncertainty_mm)}): dig up and measure first."
        ),
    ]
    gap = run[-1].b.z - bore_mm(run[-1].size_in) / 2 - sewer.at.z
    if abs(gap) > 3.0:
        word = "above" if gap > 0 else "BELOW"
        out.append(f"The pipe arrives {mm(design, abs(gap))} {word} the invert of the connection.")
    climate = design.house.climate
    if climate.frost_depth_mm is not None:
        depth, of = mm(design, climate.frost_depth_mm), climate.frost_depth_words
        out.append(f"Depth of {of} against frost by the job: {depth} below the ground outside; dotted where it shows.")
    out.append(
        "Caution: have buried lines located before digging; slope or shore the trench; stay out of an unprotected one. "
        "Keep clear below footings as the authority asks."
    )
    return tuple(out)
