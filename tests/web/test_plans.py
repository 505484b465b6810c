"""Plans are made beside the server, remembered by text and program, and ended where they run wild."""

from __future__ import annotations

import time
import zipfile
from io import BytesIO
from pathlib import Path

import pytest

from stubout.run_field import kept, texts
from stubout.web import plans as planning
from stubout.web.office import Office
from stubout.web.settings import Limits
from stubout.web.worker import packed

DRAWN = (Path(__file__).parents[2] / "examples" / "drawn-bath.yaml").read_text(encoding="utf-8")


def test_the_answer_is_remembered_by_a_server_started_anew(office: Office, starter: int) -> None:
    text = texts.starter("inch")
    assert office.plans.ask(text, starter).state == "done"
    other = planning.Plans(office.settings.data / "plans", office.settings.limits)  # the server started anew
    try:
        assert other.ask(text, starter).state == "done"
        assert other.field(other.key(text)).title == "Starter bath"
    finally:
        other.close()


def test_the_name_of_a_plan_holds_text_and_program(office: Office, monkeypatch: pytest.MonkeyPatch) -> None:
    assert office.plans.key("a") != office.plans.key("b")
    before = planning.program()
    monkeypatch.setattr(planning, "version", lambda _name: "9.9")
    assert planning.program() != before


def test_a_plan_holds_the_files_of_the_packet(office: Office, starter: int) -> None:
    key = office.plans.key(texts.starter("inch"))
    names = office.plans.names(key)
    assert {"packet.pdf", "design.json", "findings.json", kept.FIELD} <= set(names)
    assert any(n.startswith("screens/") for n in names)
    for bad in ("", "../x", "0" * 63, "/" * 64):
        with pytest.raises(KeyError):
            office.plans.file(bad, "packet.pdf")


@pytest.mark.usefixtures("planned_anew")
def test_the_process_of_the_program_itself_plans_a_job(tmp_path: Path) -> None:
    plans = planning.Plans(tmp_path, Limits())
    try:
        assert plans.wait(DRAWN, 1, 120).state == "done"
        assert "packet.pdf" in plans.names(plans.key(DRAWN))
    finally:
        plans.close()


def test_one_that_runs_too_long_is_ended_and_said(tmp_path: Path) -> None:
    plans = planning.Plans(tmp_path, Limits(run_s=0.0))
    try:
        plan = plans.wait(texts.starter("mm"), 1, 60)
        assert plan.state == "failed"
        assert "longer than" in plan.error
        plans.again(plan.key)
        assert plans.state(plan.key) is None
    finally:
        plans.close()
    assert list(tmp_path.iterdir()) == []


def test_of_one_job_only_the_last_text_waits(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(planning.Plans, "_run", lambda _self: None)  # nothing is begun
    plans = planning.Plans(tmp_path, Limits(waiting=2))
    first, second = plans.ask("a", 1), plans.ask("b", 1)
    assert plans.state(first.key) is None
    assert second.state == "waiting"
    assert plans.ask("c", 2).ahead == 1
    assert "too many" in plans.ask("d", 3).step
    # What somebody looks at comes before what nobody does.
    plans._asked.clear()
    plans.ask("c", 2)
    assert plans._next() == plans.key("c")


def test_old_plans_are_forgotten(tmp_path: Path) -> None:
    plans = planning.Plans(tmp_path, Limits(kept=2))
    plans.close()
    for n in range(4):
        (tmp_path / f"{n:064}.zip").write_bytes(b"x")
        time.sleep(0.01)
    plans._archives.sweep(plans.limits.kept)
    assert sorted(int(p.stem) for p in tmp_path.glob("*.zip")) == [2, 3]


def test_the_same_files_make_the_same_archive() -> None:
    files = {"b": b"2", "a": b"1"}
    assert packed(files) == packed(dict(reversed(files.items())))
    with zipfile.ZipFile(BytesIO(packed(files))) as archive:
        assert archive.read("a") == b"1"
