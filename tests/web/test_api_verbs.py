"""What a job is asked over HTTP beyond its plain plan: the very bytes of the command line with the same options."""

from __future__ import annotations

import io
import json
from pathlib import Path
from typing import Any

import pytest
from pypdf import PdfReader
from test_api_more import CAB, DRAWER, waited
from test_prices_page import listed, materials
from typer.testing import CliRunner
from web_client import Browser

from stubout.cli.main import app
from stubout.run_field import texts
from stubout.store import jobs, records
from stubout.web import keeping, yaml_edit
from stubout.web.office import Office

SAID = {"date": "2030-03-01", "by": "Plumber P"}


def printed(*words: str) -> Any:
    """Return what the command line prints as JSON."""
    return json.loads(CliRunner().invoke(app, [*words, "--json"]).stdout)


def on_disk(office: Office, job: int, folder: Path, number: int = 0) -> str:
    path = folder / str(number) / "job.yaml"
    path.parent.mkdir(exist_ok=True)
    path.write_text(jobs.revision(office.store, job, number).text, encoding="utf-8")
    return str(path)


@pytest.fixture(scope="module")
def drawer(office: Office) -> int:
    """Give the starter with a drawer in front of a stub-out: one finding that a fix clears."""
    text = texts.starter("inch").replace(CAB, DRAWER) + "# of the verbs\n"
    return jobs.create(office.store, "Drawer", text, "Robot", "").id


def test_books_lookup_and_schema(plumber: Browser) -> None:
    assert plumber.get("/api/books").json() == printed("books")
    assert plumber.get("/api/books/npc-2020").json() == printed("books", "show", "npc-2020")
    assert plumber.get("/api/lookup").json() == printed("lookup")
    assert plumber.get("/api/lookup/npc-2020").json() == printed("lookup", "npc-2020")
    found = plumber.get("/api/lookup/npc-2020?words=trap arm").json()
    assert found == printed("lookup", "npc-2020", "trap", "arm")
    assert found["values"]
    assert plumber.get("/api/lookup/npc-2020?words=nothing of that").json()["values"] == []
    for path in ("lookup/nothing", "books/nothing", "books/..%2fdata"):
        assert plumber.get(f"/api/{path}").status_code == 404
    schema = json.loads(CliRunner().invoke(app, ["schema"]).stdout)
    assert plumber.get("/api/schema/job").json() == schema
    version = plumber.get("/api/version").json()["version"]
    assert CliRunner().invoke(app, ["--version"]).stdout == f"stubout {version}\n"


def test_a_plan_with_every_option_is_the_folder_of_the_command_line(
    plumber: Browser, drawer: int, office: Office, tmp_path: Path
) -> None:
    waited(plumber, f"/api/jobs/{drawer}/check")
    options = {"fixes": True, "why_blocked": True, "prices": True}
    assert plumber.send("POST", f"/api/jobs/{drawer}/plan", options).status_code == 404  # no prices yet
    prices = listed(materials(office, drawer)[1:])
    body = {"revision": 1, "text": prices}
    assert plumber.send("PUT", f"/api/jobs/{drawer}/prices", body).status_code == 201
    (tmp_path / "prices.yaml").write_text(prices, encoding="utf-8")
    asked = plumber.send("POST", f"/api/jobs/{drawer}/plan", options).json()
    assert asked["plan"]["state"] in ("waiting", "running")
    query = "&".join(f"{k}=true" for k in options)
    assert waited(plumber, f"/api/jobs/{drawer}/files/findings.json?{query}").status_code == 200
    folder = tmp_path / "packet"
    flags = [f"--{k.replace('_', '-')}" for k in options if k != "prices"]
    typed = ["plan", on_disk(office, drawer, tmp_path), "-o", str(folder), *flags]
    assert CliRunner().invoke(app, [*typed, "--prices", str(tmp_path / "prices.yaml")]).exit_code == 1
    made = {p.relative_to(folder).as_posix(): p.read_bytes() for p in folder.rglob("[!.]*") if p.is_file()}
    listing = plumber.send("POST", f"/api/jobs/{drawer}/plan", options).json()["files"]
    assert sorted(listing) == sorted(made)
    for name, data in made.items():
        assert plumber.get(f"/api/jobs/{drawer}/files/{name}?{query}").content == data, name
    fixes = [f["fix"] for f in json.loads(made["findings.json"])["findings"] if f["check"] == "STB005"]
    assert fixes[0]["cleared"]


def test_a_check_with_fixes_and_what_is_no_file(plumber: Browser, drawer: int, office: Office, tmp_path: Path) -> None:
    path = on_disk(office, drawer, tmp_path)
    told = waited(plumber, f"/api/jobs/{drawer}/check?fixes=true").json()
    assert told == printed("check", path, "--fixes")
    assert waited(plumber, f"/api/jobs/{drawer}/check?why_blocked=true").json() == printed(
        "check", path, "--why-blocked"
    )
    layouts = waited(plumber, f"/api/jobs/{drawer}/alternatives").json()["layouts"]
    assert layouts[0]["kind"] == "as laid out"
    assert len(layouts) >= 2
    for name in ("nothing", "../x", "lists/..", "a\0b"):
        assert plumber.get(f"/api/jobs/{drawer}/files/{name.replace(chr(0), '%00')}").status_code == 404
    assert plumber.get(f"/api/jobs/{drawer}/check?fixes=perhaps").status_code == 422


def test_other_layouts(plumber: Browser, starter: int, office: Office) -> None:
    """The bytes are those of `run.plan`, as with the other options; here only that they are asked for and come."""
    path = f"/api/jobs/{starter}"
    answer = waited(plumber, f"{path}/alternatives", 300)
    layouts = answer.json()["layouts"]
    assert layouts[0]["kind"] == "as laid out"
    assert len(layouts) >= 2
    assert len({json.dumps(o["facts"]) for o in layouts}) == len(layouts)  # only what really came out otherwise
    assert plumber.get(f"{path}/files/alternatives.json?alternatives=true").content == answer.content
    with_them, without = (plumber.get(f"{path}/files/packet.pdf{q}").content for q in ("?alternatives=true", ""))
    assert pages(with_them) == pages(without) + 1


def pages(pdf: bytes) -> int:
    return len(PdfReader(io.BytesIO(pdf)).pages)


def test_the_verification_sheet(plumber: Browser, starter: int, office: Office, tmp_path: Path) -> None:
    told = waited(plumber, f"/api/jobs/{starter}/books/verify").json()
    assert told == printed("books", "verify", on_disk(office, starter, tmp_path))
    assert told["compare"]


def test_cards_and_the_file_to_take_along(plumber: Browser, starter: int, office: Office, tmp_path: Path) -> None:
    path, out = on_disk(office, starter, tmp_path), tmp_path / "cards.pdf"
    CliRunner().invoke(app, ["cards", path, "-o", str(out), "--of", "nail", "--language", "fr"])
    assert plumber.get(f"/api/jobs/{starter}/cards?of=nail&language=fr").content == out.read_bytes()
    assert plumber.get(f"/api/jobs/{starter}/cards?of=other").status_code == 422
    along = plumber.get(f"/api/jobs/{starter}/along?language=es")
    assert along.headers["content-type"].startswith("text/html")
    assert '<html lang="es"' in along.text


@pytest.fixture
def moved(plumber: Browser, fresh: int, office: Office) -> int:
    """Give a copy of the starter with a lavatory moved in its second revision."""
    text = jobs.revision(office.store, fresh).text
    jobs.save(office.store, fresh, 1, yaml_edit.change(text, "LV1", {"at": "1'-6\""}), "P")
    return fresh


def test_what_changed_and_what_is_kept(plumber: Browser, moved: int, office: Office, tmp_path: Path) -> None:
    path = f"/api/jobs/{moved}"
    told = waited(plumber, f"{path}/changed?accepted=1&now=2").json()
    old, new = (on_disk(office, moved, tmp_path, n) for n in (1, 2))
    assert told == printed("changed", old, new)
    assert told["pipes"]
    said = {"accepted": 1, "base": 2, "walls": ["P"], **SAID}
    assert plumber.send("POST", f"{path}/keep", said).status_code == 400  # not worked out
    query = "accepted=1&base=2&walls=P&date=2030-03-01&by=Plumber+P"
    kept = waited(plumber, f"{path}/keep?{query}").json()
    out = tmp_path / "kept.yaml"
    text = keeping.said(jobs.revision(office.store, moved).text, keeping.Chosen(("P",), **SAID))
    (tmp_path / "said.yaml").write_text(text, encoding="utf-8")
    by_line = printed("keep", old, str(tmp_path / "said.yaml"), "-o", str(out))
    assert {k: v for k, v in kept.items() if k != "text"} == {k: v for k, v in by_line.items() if k != "file"}
    assert kept["text"] == out.read_text(encoding="utf-8")
    assert kept["installed"]
    saved = plumber.send("POST", f"{path}/keep", said)
    assert (saved.status_code, saved.json()["revision"]["number"]) == (201, 3)
    assert saved.json()["revision"]["text"] == kept["text"]
    assert plumber.send("POST", f"{path}/keep", said).json()["revision"]["number"] == 3  # sent twice
    jobs.save(office.store, moved, 3, kept["text"] + "# theirs\n", "H")
    stale = plumber.send("POST", f"{path}/keep", said)
    assert (stale.status_code, stale.json()["revision"]["number"]) == (409, 4)
    assert plumber.send("POST", f"{path}/keep", said, **{"X-CSRF-Token": "0"}).status_code == 403


def test_a_better_layout_is_looked_for(plumber: Browser, starter: int, office: Office, tmp_path: Path) -> None:
    path = f"/api/jobs/{starter}/refine"
    told = waited(plumber, f"{path}?layouts=2").json()
    typed = ["refine", on_disk(office, starter, tmp_path), "-o", str(tmp_path / "out.yaml"), "--layouts", "2"]
    by_line = printed(*typed)
    assert {k: v for k, v in told.items() if k != "text"} == {k: v for k, v in by_line.items() if k != "file"}
    kept = Path(by_line["file"] or typed[1]).read_text(encoding="utf-8")  # as it was, where nothing is better
    assert told["text"] == kept
    for bad in ("0", "-1", "201", "x"):
        assert plumber.get(f"{path}?layouts={bad}").status_code == 422


def test_what_the_ticks_propose(plumber: Browser, moved: int) -> None:
    told = plumber.get(f"/api/jobs/{moved}/keep/proposed").json()
    assert (told["accepted"], told["walls"], told["runs"]) == (1, [], [])


@pytest.mark.parametrize(
    ("query", "status"),
    [
        ("accepted=1&base=2&walls=P", 400),  # since when, and by whom
        ("accepted=2&base=1", 400),
        ("accepted=9&base=2", 404),
        ("accepted=1", 422),
        ("accepted=1&base=2&walls=none&date=2030-03-01&by=P", 422),
    ],
)
def test_what_cannot_be_kept(plumber: Browser, moved: int, query: str, status: int) -> None:
    answer = plumber.get(f"/api/jobs/{moved}/keep?{query}")
    assert answer.status_code == status
    assert set(answer.json()) == {"schema", "error", "faults"}


def test_prices_are_put_read_and_taken_back(plumber: Browser, fresh: int, office: Office) -> None:
    path = f"/api/jobs/{fresh}"
    assert plumber.get(f"{path}/prices").status_code == plumber.get(f"{path}/order").status_code == 404
    text = listed(materials(office, fresh)[1:])
    bad = plumber.send("PUT", f"{path}/prices", {"revision": 1, "text": text.replace("2.50", "much")})
    assert bad.status_code == 422
    assert "amount" in bad.json()["faults"][0]["wanted"]
    assert records.listed(office.store, fresh) == ()
    body = {"revision": 1, "text": text, "token": "t"}
    kept = plumber.send("PUT", f"{path}/prices", body).json()["record"]
    assert plumber.send("PUT", f"{path}/prices", body).json()["record"] == kept
    held = plumber.get(f"{path}/prices").json()
    assert (held["text"], held["record"]) == (text, kept)
    order = waited(plumber, f"{path}/order").json()
    assert (order["currency"], order["unknown"]) == ("CAD", 1)
    assert plumber.get(f"/jobs/{fresh}/prices").text.count(f"CAD {order['total']}") == 1  # the page says the same
    assert plumber.send("DELETE", f"{path}/prices/{kept['id'] + 1}", None).status_code == 404
    assert plumber.send("DELETE", f"{path}/prices/{kept['id']}", None, **{"X-CSRF-Token": "0"}).status_code == 403
    assert plumber.send("DELETE", f"{path}/prices/{kept['id']}", None).status_code == 200
    assert plumber.get(f"{path}/prices").status_code == 404
    assert plumber.send("DELETE", f"{path}/prices/{kept['id']}", None).status_code == 404
