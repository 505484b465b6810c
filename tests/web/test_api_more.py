"""Quick sums, two books and fixes over HTTP: the same data as the command line, the same refusals as the pages."""

from __future__ import annotations

import json
import time
from typing import Any

import pytest
from typer.testing import CliRunner
from web_client import Browser

from stubout.cli.main import app
from stubout.run_field import texts
from stubout.store import jobs
from stubout.web.office import Office

MOST_S = 90.0
CAB = '        back: 1/4"\n'
DRAWER = CAB + '        drawers: [{from: 16", to: 24"}]\n'
SUMS = {
    "fall": ({"length": "12 ft", "slope": "1/4 in/ft"}, ["12 ft", "1/4 in/ft"]),
    "offset": ({"offset": '10"', "angle": "22.5"}, ['10"', "--angle", "22.5"]),
    "rolling": ({"roll": '10"', "rise": '7"'}, ['10"', '7"']),
    "bore": ({"depth": '5 1/2"', "framing": "irc-framing-2021", "size": '2"', "bearing": "true"},
             ['5 1/2"', "--framing", "irc-framing-2021", "--size", '2"', "--bearing"]),
    "head": ({"height": "10 ft", "size": '3"'}, ["10 ft", "--size", '3"']),
    "band": ({"outlet": '24"', "floor": '6"', "from_wall": '8"'}, ['24"', '6"', "--from-wall", '8"']),
}  # fmt: skip


def waited(who: Browser, path: str, most_s: float = MOST_S) -> Any:
    """Return the answer of an address when it is no `not yet` any more."""
    end = time.monotonic() + most_s
    answer = who.get(path)
    while answer.status_code == 202 and time.monotonic() < end:
        time.sleep(0.1)
        answer = who.get(path)
    return answer


@pytest.mark.parametrize("what", list(SUMS))
def test_a_sum_is_that_of_the_command_line(plumber: Browser, what: str) -> None:
    asked, typed = SUMS[what]
    answer = plumber.get(f"/api/calc/{what}", params=asked)
    assert answer.status_code == 200
    assert answer.json() == json.loads(CliRunner().invoke(app, ["calc", what, *typed, "--json"]).stdout)


@pytest.mark.parametrize(
    ("path", "status"),
    [
        ("calc/fall?length=12+ft", 400),
        ("calc/fall?length=x&slope=1:50", 400),
        ("calc/fall?slope=1:50", 422),
        ("calc/offset?offset=10&angle=inf", 422),
        ("calc/offset?offset=10&angle=0", 400),
        ("calc/bore?depth=5.5&framing=no-book", 400),
        ("calc/head?height=3m&size=7", 400),
        ("books/diff?a=upc-2021&b=irc-framing-2021", 400),
        ("books/diff?a=upc-2021&b=no-book", 400),
    ],
)
def test_what_is_wrong_is_one_error_object(plumber: Browser, path: str, status: int) -> None:
    answer = plumber.get(f"/api/{path}")
    assert answer.status_code == status
    assert set(answer.json()) == {"schema", "error", "faults"}
    assert answer.json()["error"]


def test_two_books_are_those_of_the_command_line(plumber: Browser) -> None:
    told = json.loads(CliRunner().invoke(app, ["books", "diff", "upc-2021", "ipc-2021", "--json"]).stdout)
    assert plumber.get("/api/books/diff?a=upc-2021&b=ipc-2021").json() == told


def test_a_job_under_two_books(plumber: Browser, starter: int, office: Office, tmp_path: Any) -> None:
    answer = waited(plumber, f"/api/jobs/{starter}/books/diff?a=upc-2021&b=irc-2021")
    assert answer.status_code == 200
    path = tmp_path / "job.yaml"
    path.write_text(jobs.revision(office.store, starter).text, encoding="utf-8")
    typed = ["books", "diff", "upc-2021", "irc-2021", str(path), "--json"]
    assert answer.json() == json.loads(CliRunner().invoke(app, typed).stdout)
    assert plumber.get(f"/api/jobs/{starter}/books/diff?a=upc-2021&b=upc-2021").status_code == 400
    assert plumber.get(f"/api/jobs/{starter}/books/diff?a=upc-2021&b=irc-framing-2021").status_code == 400
    assert plumber.get("/api/jobs/99999/books/diff?a=upc-2021&b=irc-2021").status_code == 404


def test_a_fix_by_program(plumber: Browser, office: Office) -> None:
    text = texts.starter("inch").replace(CAB, DRAWER) + "# by program\n"  # planned by no other test
    job = jobs.create(office.store, "Drawer", text, "Robot", "").id
    listed = waited(plumber, f"/api/jobs/{job}/fixes").json()
    assert listed["revision"] == 1
    (found,) = [f for f in listed["fixes"] if f["check"] == "STB005"]
    assert (found["cleared"], found["asks"], found["unsaid"]) == (True, "cabinet maker", "")
    assert found["says"][0]["path"] == ["cabinets", "V1", "boxes", 1, "drawers", 1, "cut out width"]
    path = f"/api/jobs/{job}/fixes/{found['finding']}"
    assert plumber.send("POST", path, {"base": 1}).status_code == 400  # no plan has shown it yet
    one = waited(plumber, path).json()["fix"]
    assert (one["plan"]["state"], one["plan"]["new"]) == ("gone", [])
    done = plumber.send("POST", path, {"base": 1})
    assert done.status_code == 201
    assert done.json()["revision"]["number"] == 2
    assert "cut out width" in done.json()["revision"]["text"]
    stale = plumber.send("POST", path, {"base": 1})
    assert (stale.status_code, stale.json()["revision"]["number"]) == (409, 2)
    assert plumber.send("POST", path, {"base": 1}, **{"X-CSRF-Token": "0"}).status_code == 403
    findings = waited(plumber, f"/api/jobs/{job}/check").json()["findings"]
    assert "STB005" not in [f["check"] for f in findings]
    assert waited(plumber, f"/api/jobs/{job}/fixes/1").status_code == 404  # nothing is left to mend
    assert plumber.get(f"/api/jobs/{job}/fixes/0").status_code == 422
