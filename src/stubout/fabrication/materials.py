"""The order: pipe by stick, fittings by pattern and size, supports, plates, test closures, cement."""

from __future__ import annotations

import math
from collections import Counter, defaultdict

from stubout import units
from stubout.catalog.model import Catalog, size_text
from stubout.fabrication.costing import ONE_MORE
from stubout.fabrication.model import UNKNOWN, CutPiece, FittingUse, Hanger, MaterialLine, Plate, Stick, TestCap
from stubout.fabrication.set_in import TRANSITION
from stubout.house.model import House
from stubout.network.model import Network
from stubout.problems import Status, several, weakest

PLASTICS = ("abs", "pvc")
MEASURE_OLD = "shielded, for both outside diameters: measure the old pipe"
FAMILIES = ("bend", "street", "tee", "wye", "combination", "straight", "end")  # kinds, as suppliers list them


def materials(
    house: House,
    network: Network,
    *,
    fittings: tuple[FittingUse, ...],
    pieces: tuple[CutPiece, ...],
    plates: tuple[Plate, ...],
    hangers: tuple[Hanger, ...],
    caps: tuple[TestCap, ...],
    sticks: tuple[Stick, ...],
    catalog: Catalog,
) -> tuple[MaterialLine, ...]:
    """Return the lines of the material list: pipe, fittings, supports, plates, test closures, cement."""
    unit = house.job.units
    material = house.job.material.upper()
    lines = list(pipe_lines(house, pieces, sticks))
    lines += _fittings(fittings, material, catalog)
    sizes = {p.id: p.size_in for p in network.pipes}
    held = Counter((h.kind, sizes[h.pipe]) for h in hangers if h.kind != "bed")
    words = {"hanger": "pipe hanger or strap", "strap": "strap", "clamp": "riser clamp"}
    for (kind, size), n in sorted(held.items()):
        lines.append(MaterialLine("hanger", words[kind], size_text(size), n, "piece"))
    if hung := math.fsum(h.reach_mm for h in hangers):
        note = "from the joists down to the pipe, without what goes round it and up the wood"
        lines.append(MaterialLine("hanger", "strap or rod for hangers", "", math.ceil(hung / 100) / 10, "m", note))
    shields = Counter((p.kind, round(p.length_mm, 1), p.face == "both") for p in plates)
    for (shield, length, both), n in sorted(shields.items()):
        count = n * (2 if both else 1)
        lines.append(MaterialLine("plate", shield, f"at least {units.length(length, unit)}", count, "piece"))
    closed = Counter((c.what, c.size_in) for c in caps)
    for (what, size), n in sorted(closed.items()):
        lines.append(MaterialLine("test", f"test {what}", size_text(size), n, "piece"))
    lines += _cement(house, fittings, pieces, catalog)
    return tuple(lines)


def pipe_lines(house: House, pieces: tuple[CutPiece, ...], sticks: tuple[Stick, ...]) -> tuple[MaterialLine, ...]:
    """Return the lines of the pipe: sticks by size and stock length, or metres where the job names no stock length."""
    unit = house.job.units
    material = house.job.material.upper()
    lines: list[MaterialLine] = []
    counts = Counter((s.size_in, s.stock_mm) for s in sticks if not s.on_hand)
    at_hand = Counter(s.size_in for s in sticks if s.on_hand)
    for (size, stock), n in sorted(counts.items(), reverse=True):
        need = sum(p.cut_mm for p in pieces if p.size_in == size and p.cut_mm > 0)
        note = f"{units.length(need, unit)} cut in all sticks of this size"
        note += f", and in {several(at_hand[size], 'offcut')} on hand" if at_hand[size] else ""
        lines.append(
            MaterialLine("pipe", f"{material} DWV pipe, {units.length(stock, unit)}", size_text(size), n, "stick", note)
        )
    if not sticks and pieces:
        for size in sorted({p.size_in for p in pieces}, reverse=True):
            need = sum(p.cut_mm for p in pieces if p.size_in == size and p.cut_mm > 0)
            lines.append(
                MaterialLine(
                    "pipe", f"{material} DWV pipe", size_text(size), round(need / 1000, 2), "m", "no stock length given"
                )
            )
    return tuple(lines)


def _fittings(fittings: tuple[FittingUse, ...], material: str, catalog: Catalog) -> list[MaterialLine]:
    """Return the fittings as a supplier lists them: family by family, pattern by pattern, then by size."""
    patterns = sorted(catalog.patterns.values(), key=lambda p: FAMILIES.index(p.kind))  # else in the catalogue's order
    place = {p.name: k for k, p in enumerate(patterns)}
    groups: dict[tuple[str, tuple[float, ...], str], list[FittingUse]] = defaultdict(list)
    for f in fittings:
        groups[(f.pattern, f.sizes_in, f.onto)].append(f)
    out = []
    for (pattern, sizes, onto), uses in sorted(groups.items(), key=lambda g: (place[g[0][0]], *g[0][1:])):
        two_equal = len(sizes) == 2 and sizes[0] == sizes[1]
        text = size_text(sizes[0]) if two_equal or len(sizes) == 1 else " x ".join(size_text(s) for s in sizes)
        item = f"{pattern}, {material} to {material_words(onto)}" if onto else f"{material} {pattern}"
        status = weakest(tuple(u.status for u in uses))
        odd = tuple(dict.fromkeys(u.note for u in uses if u.off_deg))
        odd = (*odd, MEASURE_OLD) if onto else odd
        out.append(MaterialLine("fitting", item, text, len(uses), "piece", "; ".join(odd), status))
    return out


def material_words(material: str) -> str:
    """Return the material of installed pipe as the order names it.

    >>> material_words("abs"), material_words("cast iron"), material_words("unknown")
    ('ABS', 'cast iron', 'pipe of unknown material')
    """
    if material == UNKNOWN:
        return "pipe of unknown material"
    return material.upper() if material in PLASTICS else material


def _cement(
    house: House, fittings: tuple[FittingUse, ...], pieces: tuple[CutPiece, ...], catalog: Catalog
) -> list[MaterialLine]:
    """Return cement and primer: one joint a socket, a street spigot one, bushings and cleanout adapters one more."""
    ids = {f.id for f in fittings if f.pattern != TRANSITION}
    joints: Counter[float] = Counter()
    for p in pieces:
        joints[p.size_in] += 1 if p.street else sum(e in ids for e in (p.start_fitting, p.end_fitting))
    for f in fittings:
        if f.pattern in ONE_MORE:
            joints[f.sizes_in[0]] += 1
    if not joints:
        return []
    quarts = sum(n / catalog.joints_per_quart[size] for size, n in joints.items())
    n_joints = sum(joints.values())
    pvc = house.job.material == "pvc"
    standard = "D2564" if pvc else "D2235"
    note = f"{n_joints} joints; estimate from joints a quart"
    name = house.job.material.upper()
    out = [MaterialLine("cement", f"{name} cement {standard}", "", round(quarts, 2), "US quart", note, Status.MEMORY)]
    if pvc:
        share = catalog.figure("primer share")
        out.append(
            MaterialLine(
                "cement", "primer F656", "", round(quarts * share.value, 2), "US quart", share.printed, share.status
            )
        )
    return out
