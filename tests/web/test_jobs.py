"""The list of jobs and what is done with a job as a whole."""

from __future__ import annotations

import pytest
from web_client import Browser

from stubout.run_field import texts
from stubout.store import jobs, records
from stubout.store.model import Entry, Kind
from stubout.web.office import Office
from stubout.web.pages_jobs import title_of


def job_of(answer: object) -> int:
    return int(answer.url.path.rpartition("/")[2])  # type: ignore[attr-defined]


@pytest.mark.parametrize("starter", ["inch", "mm", "demo"])
def test_a_job_begins_from_a_starter_and_is_exported_letter_for_letter(plumber: Browser, starter: str) -> None:
    answer = plumber.post("/jobs/new", {"starter": starter}, follow_redirects=False)
    job = int(answer.headers["location"].rpartition("/")[2])
    text = texts.demo() if starter == "demo" else texts.starter("mm" if starter == "mm" else "inch")
    answer = plumber.get(f"/jobs/{job}/job.yaml")
    assert answer.content == text.encode()
    assert "attachment" in answer.headers["content-disposition"]
    listed = plumber.get("/").text
    assert f'href="/jobs/{job}"' in listed
    assert "Plumber P" in listed


def test_a_file_is_brought_in_as_it_is(plumber: Browser) -> None:
    text = "﻿# mine\r\n" + texts.starter("mm").replace("\n", "\r\n")
    sent = {"file": ("../../etc/passwd", text.encode())}
    answer = plumber.post("/jobs/import", {"name": "Mine"}, files=sent, follow_redirects=False)
    assert plumber.get(f"{answer.headers['location']}/job.yaml").text == text.removeprefix("﻿")


@pytest.mark.parametrize("data", [b"", b"\xff\xfe\x00a", b"a\x00b"])
def test_what_is_no_text_is_not_brought_in(plumber: Browser, data: bytes) -> None:
    assert plumber.post("/jobs/import", files={"file": ("job.yaml", data)}).status_code == 400


def test_a_file_with_faults_is_kept_and_they_are_told_with_their_lines(plumber: Browser) -> None:
    text = texts.starter("inch").replace("material: abs", "material: wood").replace("tag: LV1", "tug: LV1")
    job = job_of(plumber.post("/jobs/import", {"name": "Bad"}, files={"file": ("j.yaml", text.encode())}))
    page = plumber.get(f"/jobs/{job}").text
    assert "cannot be planned" in page
    line = text.splitlines().index(next(x for x in text.splitlines() if "material: wood" in x)) + 1
    assert f"line {line}" in page
    assert "Put it right" in page
    for path in ("sheets", "site", "gates", "findings", "why", "as-built"):
        assert plumber.get(f"/jobs/{job}/{path}").url.path == f"/jobs/{job}"


def test_a_job_names_no_file_of_ours(plumber: Browser, office: Office) -> None:
    text = texts.starter("inch") + "amendment files:\n  - ../../../etc/passwd\n"
    (fault,) = texts.faults_of(text)
    assert fault.line == text.count("\n") - 1
    assert "Write them into the job" in fault.do
    job = job_of(plumber.post("/jobs/import", files={"file": ("j.yaml", text.encode())}))
    assert "cannot be planned" in plumber.get(f"/jobs/{job}").text
    assert office.plans.wait(text, job, 60).state == "failed"  # nor does the planner, asked all the same


def test_a_copy_has_the_file_and_not_the_records(plumber: Browser, starter: int, office: Office) -> None:
    records.add(office.store, starter, 1, "P", Entry(Kind.NOTE, "wall", "seen"))
    job = job_of(plumber.post(f"/jobs/{starter}/duplicate"))
    assert jobs.job(office.store, job).name == "Starter (copy)"
    assert jobs.revision(office.store, job).text == jobs.revision(office.store, starter).text
    assert records.listed(office.store, job) == ()


def test_a_job_takes_another_name_in_the_list(plumber: Browser, fresh: int) -> None:
    assert "Corner house" in plumber.post(f"/jobs/{fresh}/rename", {"name": "Corner house"}).text
    assert plumber.post(f"/jobs/{fresh}/rename", {"name": " "}).status_code == 400


def test_the_page_of_a_job_says_where_it_stands(plumber: Browser, starter: int) -> None:
    page = plumber.get(f"/jobs/{starter}").text
    for words in ("STOP", "FIX", "ASK", "NOTE", "Before glue", "packet.pdf", "revision 1"):
        assert words.casefold() in page.casefold()


def test_sheets_are_shown_and_files_given_out(plumber: Browser, starter: int, office: Office) -> None:
    key = office.plans.key(jobs.revision(office.store, starter).text)
    field = office.plans.field(key)
    listed = plumber.get(f"/jobs/{starter}/sheets").text
    for drawing in field.drawings:
        assert drawing.file in listed
    page = plumber.get(f"/jobs/{starter}/sheets/2").text
    assert "<svg" in page
    assert "<?xml" not in page
    assert plumber.get(f"/jobs/{starter}/sheets/99").status_code == 404
    pdf = plumber.get(f"/jobs/{starter}/files/{key}/packet.pdf")
    assert pdf.content.startswith(b"%PDF")
    assert pdf.headers["content-type"] == "application/pdf"
    for name in ("../stubout.db", "no.svg", "../../etc/passwd", "field.json/.."):
        assert plumber.get(f"/jobs/{starter}/files/{key}/{name}").status_code == 404
    for bad in ("..", "x" * 64, f"{key[:-1]}/", "0" * 64):
        assert plumber.get(f"/jobs/{starter}/files/{bad}/packet.pdf").status_code == 404


def test_findings_questions_and_reasons(plumber: Browser, starter: int, office: Office) -> None:
    field = office.plans.field(office.plans.key(jobs.revision(office.store, starter).text))
    assert plumber.get(f"/jobs/{starter}/findings").status_code == 200
    assert plumber.get(f"/jobs/{starter}/questions").status_code == 200
    page = plumber.get(f"/jobs/{starter}/why?about=lv1").text
    first = field.reasons[field.answers["LV1"][0]]
    assert first.what in page
    assert "is called" not in page
    nothing = plumber.get(f"/jobs/{starter}/why?about=<b>x").text
    assert "Nothing in this job is called &lt;b&gt;x" in nothing


@pytest.mark.parametrize("path", ["/jobs/999", "/jobs/999/site", "/jobs/999/records", "/jobs/999/job.yaml"])
def test_what_is_not_there_is_a_sentence(plumber: Browser, path: str) -> None:
    answer = plumber.get(path)
    assert answer.status_code == 404
    assert "there is no job 999" in answer.text


def test_a_title_is_taken_from_the_file() -> None:
    assert title_of("stubout: 1\njob:\n  title: 'A: house'  # mine\n", "x") == "A: house"
    assert title_of("nothing", "x") == "x"
