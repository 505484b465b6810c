"""The readings of the site in the packet: converted, judged by the checks, printed."""

from __future__ import annotations

import io
import json
from dataclasses import replace

import pypdf
from web_client import Browser

from stubout.run_field.model import WallMark
from stubout.store import jobs, records
from stubout.store.model import Entry, Kind, Record
from stubout.web import as_built
from stubout.web.office import Office

MARK = WallMark(
    1, "stub", "LV1", "LV1", "", "", "", "", "", stop=False, place="stub of LV1", above_subfloor_mm=300.0,
    above_finished_mm=287.3,
)  # fmt: skip


def test_heights_count_from_the_subfloor() -> None:
    assert as_built.above_subfloor(MARK, "11 3/4 above subfloor", "inch") == "11 3/4"
    # Half an inch of floor, by hand: 11 1/4 + 1/2 = 11 3/4.
    assert as_built.above_subfloor(MARK, '11 1/4" above finished floor', "inch") == '11 3/4"'
    assert as_built.above_subfloor(MARK, "280 above finished floor", "mm") == "293 mm"
    assert as_built.above_subfloor(replace(MARK, above_finished_mm=None), "280 above finished floor", "mm") is None


def test_the_packet_as_built(plumber: Browser, fresh: int, office: Office) -> None:
    text = jobs.revision(office.store, fresh).text
    field = office.plans.field(office.plans.key(text))
    stub = next(m for side in field.walls for m in side.marks if m.kind == "stub")
    drain = field.drains[-1]

    def keep(kind: Kind, about: str, place: str, value: str) -> Record:
        return records.add(office.store, fresh, 1, "Plumber P", Entry(kind, about, value, "", place))

    keep(Kind.HEIGHT, stub.about, stub.place, '3" above subfloor')
    keep(Kind.HEIGHT, stub.about, stub.place, '17 7/8" above subfloor')  # the last one counts
    keep(Kind.SLOPE, drain.about, drain.place, "0.1 deg")
    gone = keep(Kind.NOTE, "wall-P-L", "", "TAKEN BACK")
    records.add(office.store, fresh, 1, "P", Entry(Kind.BACK, "wall-P-L", takes_back=gone.id))
    keep(Kind.NOTE, "wall-P-L", "", "WIRE BEHIND")

    page = plumber.get(f"/jobs/{fresh}/as-built").text
    assert "17 7/8" in page
    assert "TAKEN BACK" not in page
    found = as_built.readings(field, records.standing(records.listed(office.store, fresh)))
    assert [(r.about, r.what, r.value) for r in found] == [
        (stub.about, "stub height", '17 7/8"'), (drain.about, "slope", "0.1 deg"), ("wall-P-L", "note", "WIRE BEHIND"),
    ]  # fmt: skip
    said = json.dumps([{"about": r.about, "what": r.what, "value": r.value, "date": r.date, "by": r.by} for r in found])
    plan = office.plans.wait(text, -fresh, 120, said)
    assert plan.state == "done", plan
    page = plumber.get(f"/jobs/{fresh}/as-built").text
    assert "What the readings say" in page
    assert "was measured at 0.1 deg" in page
    printed = pypdf.PdfReader(io.BytesIO(office.plans.file(plan.key, "packet.pdf")))
    words = " ".join(p.extract_text() for p in printed.pages)
    for said_ in ("17 7/8", "0.1 deg", "WIRE BEHIND", "Plumber P"):
        assert said_ in words
    assert plumber.get(f"/jobs/{fresh}/as-built/progress").headers["HX-Refresh"] == "true"
