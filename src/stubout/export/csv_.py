"""Lists for everybody else's programs: CSV, UTF-8 with a mark, CRLF, numbers with a point.

Text that a spreadsheet would run as a formula is given a leading apostrophe.
"""

from __future__ import annotations

import csv
import io
from collections.abc import Iterable, Sequence

from stubout.catalog.shipped import SHIPPED
from stubout.design import Design, Window
from stubout.export.csv_shop import Entry, shop_lists
from stubout.fabrication.openings import passings
from stubout.network.standing import walls_of
from stubout.problems import Finding
from stubout.reports.waivers import waiver_of

FORMULA_STARTS = ("=", "+", "-", "@", "\t", "\r")


def guarded(value: Entry) -> str:
    """Return a cell: numbers plain and rounded to four places, text that begins like a formula with an apostrophe."""
    if value is None:
        return ""
    if isinstance(value, bool):
        return "yes" if value else "no"
    if isinstance(value, (int, float)):
        text = f"{round(float(value), 4) + 0.0:.4f}".rstrip("0").rstrip(".")
        return "0" if text == "-0" else text
    return f"'{value}" if value.startswith(FORMULA_STARTS) else value


def table(head: Sequence[str], rows: Iterable[Sequence[Entry]]) -> bytes:
    """Return one list as CSV bytes."""
    text = io.StringIO(newline="")
    writer = csv.writer(text, lineterminator="\r\n")
    writer.writerow(head)
    writer.writerows([guarded(v) for v in row] for row in rows)
    return text.getvalue().encode("utf-8-sig")


def lists(design: Design, findings: tuple[Finding, ...], windows: tuple[Window, ...] = ()) -> dict[str, bytes]:
    """Return the lists by name: materials, those of the saw, bores, pipes, fixtures, windows of marks, findings."""
    fab, net = design.fabrication, design.network
    traps = {t.tag: t for t in net.traps}
    loads = {d.about: d.value for d in design.derivations if d.what == "load"}
    stands = {s.tag: s.place.words for s in design.stubs}
    through = passings(net, design.house, SHIPPED)
    if through:  # most houses have no open-web joists
        head = ("pipe", "size_in", "joist", "in", "x_mm", "y_mm", "z_mm", "along_mm", "above_underside_mm")
        passed = ((p.pipe, p.size_in, p.member, p.frame, *p.at, p.along_mm, p.up_mm) for p in through)
        openings = {"openings": table(head, passed)}
    else:
        openings = {}
    shop = {name: table(head, rows) for name, (head, rows) in shop_lists(design.fabrication).items()}
    return {
        **shop,
        **openings,
        "materials": table(
            ("group", "item", "size", "quantity", "unit", "note", "status"),
            ((m.group, m.item, m.size, m.quantity, m.unit, m.note, m.status.value) for m in fab.materials),
        ),
        "bores": table(
            (
                "bore",
                "member",
                "kind",
                "in",
                "pipe",
                "x_mm",
                "y_mm",
                "z_mm",
                "hole_mm",
                "depth_mm",
                "edge_mm",
                "limit_mm",
                "edge_limit_mm",
                "above_finished_mm",
                "above_subfloor_mm",
                "verdict",
            ),
            (
                (
                    b.id,
                    b.member,
                    b.member_kind,
                    b.wall_or_frame,
                    b.pipe,
                    b.centre.x,
                    b.centre.y,
                    b.centre.z,
                    b.hole_mm,
                    b.depth_mm,
                    b.edge_mm,
                    b.limit_mm,
                    b.edge_limit_mm,
                    b.height_finished_mm,
                    b.height_subfloor_mm,
                    b.verdict,
                )
                for b in fab.bores
            ),
        ),
        "pipes": table(
            (
                "pipe",
                "system",
                "role",
                "size_in",
                "load",
                "serves",
                "length_mm",
                "fall_mm",
                "slope",
                "start_x_mm",
                "start_y_mm",
                "start_z_mm",
                "end_x_mm",
                "end_y_mm",
                "end_z_mm",
                "lies_in",
                "drawn",
                "walls",
            ),
            (
                (
                    p.id,
                    p.system,
                    p.role.value,
                    p.size_in,
                    p.load,
                    " ".join(p.tags),
                    p.length_mm,
                    p.fall_mm,
                    None if p.vertical else p.slope,
                    p.a.x,
                    p.a.y,
                    p.a.z,
                    p.b.x,
                    p.b.y,
                    p.b.z,
                    f"{p.place.kind} {p.place.ref}".strip(),
                    p.drawn,
                    ", ".join(w.id for w in walls_of(p, design.house.walls)),
                )
                for p in net.pipes
            ),
        ),
        "fixtures": table(
            ("tag", "kind", "title", "room", "trap_in", "vent", "load"),
            (
                (
                    f.tag,
                    f.kind.value,
                    f.title,
                    f.room_id,
                    traps[f.tag].trap_in if f.tag in traps else None,
                    traps[f.tag].method.value if f.tag in traps else "",
                    loads.get(f.tag, ""),
                )
                for f in design.house.fixtures
            ),
        ),
        "windows": table(
            (
                "wall",
                "side",
                "kind",
                "mark",
                "direction",
                "amount_mm",
                "bound",
                "check",
                "name",
                "words",
                "by",
                "stands",
            ),
            (
                (
                    w.wall,
                    w.side,
                    w.kind,
                    w.about,
                    w.direction,
                    w.amount_mm,
                    w.bound,
                    w.check,
                    w.name,
                    w.words,
                    "; ".join(dict.fromkeys(f"{b.book} {b.section}".strip() for b in w.bases)),
                    stands.get(w.about, "") if w.kind == "stub" else "",
                )
                for w in windows
            ),
        ),
        "findings": table(
            (
                "level",
                "check",
                "name",
                "about",
                "found",
                "wanted",
                "do",
                "why",
                "owner",
                "line",
                "status",
                "by",
                "accepted",
            ),
            (
                (
                    f.level.value,
                    f.check,
                    f.name,
                    " ".join(f.about),
                    f.found,
                    f.wanted,
                    f.do,
                    f.why,
                    f.owner,
                    f.line or None,
                    f.status.value,
                    "; ".join(f"{b.book} {b.section}".strip() for b in f.bases),
                    waiver_of(f, design.house.readings) is not None,
                )
                for f in findings
            ),
        ),
    }
