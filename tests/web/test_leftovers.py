"""Offcuts on hand by form, and what one job leaves over carried into another with one tap.

Expected: the ends that the stock plan of the packet prints, by the rows of its own list; never longer than they are.
"""

from __future__ import annotations

import csv
import io
from collections import Counter

import pytest
from test_entries import change, lines, text_of
from web_client import Browser

from stubout import units
from stubout.reports.stock import OFFCUT_MM
from stubout.run_field import texts
from stubout.store import jobs
from stubout.store.model import StoreError
from stubout.web import leftovers
from stubout.web.office import Office, opened


def ends(office: Office, job: int) -> Counter[tuple[float, float]]:
    """Return what the stock list of a planned job leaves over, by size [in] and length [mm]."""
    data = office.plans.file(opened(office, job).key, "lists/stock.csv").decode("utf-8-sig")
    rows = csv.DictReader(io.StringIO(data, newline=""))
    return Counter((float(r["size_in"]), float(r["left_mm"])) for r in rows if float(r["left_mm"]) >= OFFCUT_MM)


def test_offcuts_by_form(plumber: Browser, fresh: int, office: Office) -> None:
    was = text_of(office, fresh)
    form = plumber.get(f"/jobs/{fresh}/entry?at=offcuts/%2B").text
    assert "<option>1-1/2</option>" in form
    assert 'data-many="yes"' in form
    change(plumber, fresh, "offcuts/+", size="2", lengths='4\'-3", 31"')
    change(plumber, fresh, "offcuts/+", size="3", lengths='40"')
    said = texts.read_text(text_of(office, fresh)).offcuts
    assert [(o.size, [round(mm / 25.4, 3) for mm in o.lengths]) for o in said] == [(2.0, [51, 31]), (3.0, [40])]
    assert lines(was, text_of(office, fresh))[0] == []
    shown = plumber.get(f"/jobs/{fresh}/entries?at=offcuts").text
    assert "Offcuts on hand" in shown
    assert "/leftovers" in shown
    assert change(plumber, fresh, "offcuts/1", lengths="x").status_code == 422
    change(plumber, fresh, "offcuts/1", lengths='30"')
    assert [round(mm / 25.4) for mm in texts.read_text(text_of(office, fresh)).offcuts[0].lengths] == [30]
    for base in ("4", "5"):
        plumber.post(f"/jobs/{fresh}/entry/out", {"base": base, "entry-path": "offcuts/1"})
    assert text_of(office, fresh).rstrip() == was.rstrip()


@pytest.mark.parametrize("system", ["inch", "mm"])
def test_what_one_job_leaves_over_goes_into_another(
    plumber: Browser, starter: int, office: Office, system: units.Units
) -> None:
    there = ends(office, starter)
    assert there
    text = texts.starter(system)
    job = jobs.create(office.store, "Next house", text, "Plumber P", "").id
    page = plumber.get(f"/jobs/{job}/leftovers").text
    assert "Starter, revision 1" in page
    sent = {"base": "1", "of": str(starter), "revision": "1"}
    answer = plumber.post(f"/jobs/{job}/leftovers", sent)
    assert "Offcuts on hand" in answer.text
    said = texts.read_text(text_of(office, job))
    assert lines(text, text_of(office, job))[0] == []
    step = 1.0 if system == "mm" else 25.4 / 16
    for (size, mm), (of, was) in zip(
        sorted((o.size, mm) for o in said.offcuts for mm in o.lengths), sorted(there.elements()), strict=True
    ):
        assert size == of
        assert was - step < mm <= was + 0.001  # a thousandth: the list is rounded to that
    assert jobs.revision(office.store, job).note == f"left over by job {starter}, revision 1: Starter"
    # Told once more, and to others too; a second tap from the same page writes nothing.
    again = plumber.post(f"/jobs/{job}/leftovers", sent)
    assert again.status_code == 409
    assert "Nothing was written" in again.text
    assert "has taken them already: revision 2" in again.text
    assert "Take them into this job all the same" in again.text
    assert jobs.job(office.store, job).head == 2


def test_what_does_not_fit_is_not_offered(plumber: Browser, starter: int, office: Office) -> None:
    text = texts.starter("inch")
    other = text.replace("material: abs", "material: pvc")
    assert other != text
    job = jobs.create(office.store, "Other pipe", other, "Plumber P", "").id
    page = plumber.get(f"/jobs/{job}/leftovers").text
    assert "Starter, revision 1" not in page
    assert "of another material" in page
    with pytest.raises(StoreError, match="that pipe is abs, this job is pvc"):
        leftovers.carry(office, jobs.revision(office.store, job), starter, 1, "P")
    with pytest.raises(StoreError, match="not known"):
        leftovers.carry(office, jobs.revision(office.store, starter), starter, 1, "P")
    unplanned = jobs.create(office.store, "Unplanned", text + "# never looked at\n", "Plumber P", "").id
    with pytest.raises(StoreError, match="not known"):
        leftovers.carry(office, jobs.revision(office.store, starter), unplanned, 1, "P")
    faulty = jobs.create(office.store, "Faulty", "stubout: 2\n", "Plumber P", "").id
    assert "put them right first" in plumber.get(f"/jobs/{faulty}/leftovers").text
    sent = {"base": "1", "of": str(starter), "revision": "1"}
    assert plumber.post(f"/jobs/{faulty}/leftovers", sent).status_code == 400
    assert plumber.post(f"/jobs/{job}/leftovers", {**sent, "of": "99999"}).status_code == 404
    assert plumber.post(f"/jobs/{job}/leftovers", {**sent, "csrf": ""}).status_code == 403
    assert jobs.job(office.store, job).head == 1


def test_offcuts_that_are_not_used_are_left_over_too(plumber: Browser, office: Office, starter: int) -> None:
    text = texts.starter("inch") + "offcuts:\n- size: 4\n  lengths: 700 mm\n"
    job = jobs.create(office.store, "Yard", text, "Plumber P", "").id
    assert office.plans.wait(text, job, 120).state == "done"
    found = leftovers.offers(office, jobs.revision(office.store, starter)).found
    left = next(dict(o.sizes) for o in found if o.job.id == job)
    assert left["4"][-1:] == ("2'-3 1/2\"",)  # 700 mm are 27.559 in; 27 9/16 would be longer
