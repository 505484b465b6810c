"""The JSON door: the verbs of the command line, the same data; one error object for whatever goes wrong."""

from __future__ import annotations

import json
from typing import Any

import pytest
from starlette.testclient import TestClient
from typer.testing import CliRunner
from web_client import HOST, Browser

from stubout.cli.main import app
from stubout.run_field import texts
from stubout.store import jobs
from stubout.web.office import Office


def test_a_program_does_what_a_browser_does(served: TestClient, office: Office, starter: int) -> None:
    client = TestClient(served.app, base_url=f"http://{HOST}", client=("127.0.0.1", 50_000))
    greeted = client.post("/api/session", json={"name": "Robot"}).json()
    client.headers["X-CSRF-Token"] = greeted["csrf"]
    assert client.get("/api/session").json()["name"] == "Robot"
    made = client.post("/api/jobs", json={"name": "By program", "starter": "inch"})
    assert made.status_code == 201
    job = made.json()["job"]["id"]
    one = client.get(f"/api/jobs/{job}").json()
    assert one["revision"]["text"] == texts.starter("inch")
    assert one["plan"]["state"] == "done"  # the same text has been planned
    text = one["revision"]["text"] + "# more\n"
    saved = client.put(f"/api/jobs/{job}/text", json={"base": 1, "text": text, "note": "n"})
    assert saved.json()["revision"]["number"] == 2
    stale = client.put(f"/api/jobs/{job}/text", json={"base": 1, "text": "x"})
    assert stale.status_code == 409
    assert stale.json()["revision"]["text"] == text
    assert [r["number"] for r in client.get(f"/api/jobs/{job}/revisions").json()["revisions"]] == [2, 1]
    assert client.get(f"/api/jobs/{job}/revisions/1").json()["revision"]["note"] == ""
    assert job in [j["id"] for j in client.get("/api/jobs").json()["jobs"]]


def test_check_and_design_are_those_of_the_command_line(
    plumber: Browser, starter: int, office: Office, tmp_path: Any
) -> None:
    path = tmp_path / "job.yaml"
    path.write_text(jobs.revision(office.store, starter).text, encoding="utf-8")
    printed = CliRunner().invoke(app, ["check", str(path), "--json"])
    assert plumber.get(f"/api/jobs/{starter}/check").json() == json.loads(printed.stdout)
    assert set(plumber.get(f"/api/jobs/{starter}/design").json()) >= {"pipes", "stubs", "bores", "findings"}
    why = plumber.get(f"/api/jobs/{starter}/why?about=lv1").json()
    told = json.loads(CliRunner().invoke(app, ["why", str(path), "LV1", "--json"]).stdout)
    assert why == {**told, "about": "lv1"}
    assert why["derivations"]
    assert why["windows"]
    assert "LV1" in plumber.get(f"/api/jobs/{starter}/why").json()["ids"]
    assert plumber.get(f"/api/jobs/{starter}/why?about=nothing").status_code == 404
    planned = plumber.send("POST", f"/api/jobs/{starter}/plan", {}).json()
    assert "packet.pdf" in planned["files"]


def test_faults_of_a_text(plumber: Browser) -> None:
    found = plumber.send("POST", "/api/check", {"text": "stubout: 2\n"}).json()["faults"]
    assert {"file", "line", "path", "found", "wanted", "do"} == set(found[0])
    assert plumber.send("POST", "/api/check", {"text": texts.starter("mm")}).json()["faults"] == []


def test_records_and_gates(plumber: Browser, fresh: int) -> None:
    entry = {"kind": "height", "revision": 1, "about": "LV1", "value": "18 3/4", "datum": "finished", "token": "t"}
    first = plumber.send("POST", f"/api/jobs/{fresh}/records", entry)
    assert first.status_code == 201
    assert first.json()["record"]["value"] == "18 3/4 above finished floor"
    assert plumber.send("POST", f"/api/jobs/{fresh}/records", entry).json() == first.json()
    assert len(plumber.get(f"/api/jobs/{fresh}/records").json()["records"]) == 1
    sign = {"kind": "sign-off", "revision": 1, "about": "glue", "value": "P"}
    refused = plumber.send("POST", f"/api/jobs/{fresh}/records", sign)
    assert refused.status_code == 400
    assert "cannot be signed" in refused.json()["error"]
    assert [g["id"] for g in plumber.get(f"/api/jobs/{fresh}/gates").json()["gates"]] == [
        "glue",
        "test",
        "cover",
        "finish",
    ]


def test_a_job_with_faults_answers_with_them(plumber: Browser) -> None:
    made = plumber.send("POST", "/api/jobs", {"name": "Bad", "text": "stubout: 1\n"}).json()["job"]["id"]
    for verb in ("check", "design", "why", "gates", "order", "alternatives", "cards", "along", "books/verify"):
        answer = plumber.get(f"/api/jobs/{made}/{verb}")
        assert answer.status_code == 422
        assert answer.json()["faults"]
    assert plumber.get(f"/api/jobs/{made}").json()["plan"]["state"] == "failed"


BAD: list[tuple[str, str, Any, int]] = [
    ("GET", "/api/jobs/999", None, 404),
    ("GET", "/api/jobs/0", None, 422),
    ("GET", "/api/jobs/99999999999999999999", None, 422),
    ("GET", "/api/jobs/x", None, 422),
    ("GET", "/api/nothing", None, 404),
    ("DELETE", "/api/jobs", None, 405),
    ("POST", "/api/jobs", {"name": "x"}, 400),
    ("POST", "/api/jobs", {"name": "x", "text": "a", "starter": "mm"}, 400),
    ("POST", "/api/jobs", {"name": "x" * 81, "starter": "mm"}, 422),
    ("POST", "/api/jobs", {"name": " ", "starter": "mm"}, 400),
    ("POST", "/api/jobs", {"name": "x", "text": "a\0b"}, 400),
    ("POST", "/api/jobs", {"name": "x\0", "starter": "mm"}, 400),
    ("POST", "/api/jobs", [], 422),
    ("PUT", "/api/jobs/999/text", {"base": 1, "text": "x"}, 404),
    ("PUT", "/api/jobs/999/text", {"base": 0, "text": "x"}, 422),
    ("POST", "/api/jobs/999/records", {"kind": "note", "revision": 1, "about": "x"}, 404),
    ("POST", "/api/jobs/1/records", {"kind": "height", "revision": 1, "about": "x", "value": "5-11 3/8"}, 400),
    ("POST", "/api/jobs/1/records", {"kind": "slope", "revision": 1, "about": "x", "value": "2"}, 400),
    ("POST", "/api/jobs/1/records", {"kind": "photo", "revision": 1, "about": "x"}, 422),
    ("POST", "/api/jobs/1/records", {"kind": "taken back", "revision": 1, "about": "x", "takes_back": 999}, 404),
    ("POST", "/api/jobs/1/records", {"kind": "note", "revision": 999, "about": "x"}, 404),
]


@pytest.mark.parametrize(("method", "path", "body", "status"), BAD)
def test_every_error_is_the_one_object(
    plumber: Browser, starter: int, method: str, path: str, body: Any, status: int
) -> None:
    answer = plumber.send(method, path, body)
    assert answer.status_code == status, answer.text
    assert set(answer.json()) == {"schema", "error", "faults"}


def test_a_body_that_is_no_json_is_an_error_object(plumber: Browser) -> None:
    for body in (b"{", b"\xff", b'{"name": "\\ud800", "starter": "mm"}'):
        headers = {"X-CSRF-Token": plumber.csrf, "Content-Type": "application/json"}
        answer = plumber.client.post("/api/jobs", content=body, headers=headers)
        assert answer.status_code in (400, 422), answer.text
        assert set(answer.json()) == {"schema", "error", "faults"}
