"""The command line end to end, in process."""

from __future__ import annotations

import json
import os
import signal
import subprocess
import sys
import time
from pathlib import Path

import jsonschema
import pytest
import yaml
from typer.testing import CliRunner, Result

from stubout.cli.exits import STOPPED, Exit, answered, guarded
from stubout.cli.main import app
from stubout.files.out import write_folder

RAN = (Exit.CLEAN, Exit.FINDINGS, Exit.BLOCKED)  # the job was read, laid out as far as it goes, and judged

pytestmark = pytest.mark.usefixtures("laid_out_once")

FAULTY = """
stubout: 1
job: {title: x, units: inch, book: npc-2020, framing: nbc-9.23.5, material: wood, stock: 10 ft}
sight: {}
"""


def stubout(*words: str | Path) -> Result:
    return CliRunner().invoke(app, [str(w) for w in words])


@pytest.fixture(scope="module")
def begun(tmp_path_factory: pytest.TempPathFactory) -> Path:
    path = tmp_path_factory.mktemp("job") / "job.yaml"
    result = stubout("new", path)
    assert result.exit_code == Exit.CLEAN, result.output
    return path


@pytest.fixture(scope="module")
def planned(begun: Path) -> tuple[Result, Path]:
    folder = begun.parent / "packet"
    return stubout("plan", begun, "-o", folder), folder


def test_new_never_writes_over_a_file(begun: Path) -> None:
    before = begun.read_bytes()
    result = stubout("new", begun)
    assert result.exit_code == Exit.INPUT
    assert "already there" in result.output
    assert begun.read_bytes() == before


@pytest.mark.parametrize("units", ["inch", "mm"])
def test_a_new_job_can_be_checked(tmp_path: Path, units: str) -> None:
    path = tmp_path / "house.yaml"
    assert stubout("new", path, "--units", units).exit_code == Exit.CLEAN
    result = stubout("check", path)
    assert result.exit_code in RAN, result.output
    assert "authority having jurisdiction" in result.output


def test_plan_writes_every_file(planned: tuple[Result, Path]) -> None:
    result, folder = planned
    assert result.exit_code in RAN, result.output
    names = {str(p.relative_to(folder)) for p in folder.rglob("*") if p.is_file()}
    assert {"packet.pdf", "design.json", "findings.json", "lists/materials.csv", "lists/findings.csv"} <= names
    assert any(n.startswith("drawings/") and n.endswith(".svg") for n in names)
    assert "packet.pdf" in result.output


@pytest.mark.usefixtures("laid_out_anew")
def test_plan_gives_the_same_bytes_twice(planned: tuple[Result, Path], begun: Path, tmp_path: Path) -> None:
    _, first = planned
    second = tmp_path / "again"
    stubout("plan", begun, "-o", second)
    one, two = ({p.relative_to(f): p.read_bytes() for p in f.rglob("*") if p.is_file()} for f in (first, second))
    assert one == two


def test_plan_as_json_names_what_it_wrote(begun: Path, tmp_path: Path) -> None:
    result = stubout("plan", begun, "-o", tmp_path / "p", "--json")
    data = json.loads(result.stdout)
    assert data["schema"] == 1
    assert "packet.pdf" in data["files"]
    assert set(data["count"]) == {"STOP", "FIX", "ASK", "NOTE"}


def test_check_json_is_findings_json(begun: Path, planned: tuple[Result, Path]) -> None:
    result = stubout("check", begun, "--json")
    assert result.stdout.encode() == (planned[1] / "findings.json").read_bytes()


def test_faults_are_all_told_with_their_lines_and_nothing_is_written(tmp_path: Path) -> None:
    path = tmp_path / "bad.yaml"
    path.write_text(FAULTY, encoding="utf-8")
    result = stubout("plan", path, "-o", tmp_path / "out")
    assert result.exit_code == Exit.INPUT
    assert f"{path}:3: job.material" in result.output
    assert f"{path}:4: sight" in result.output
    assert "Traceback" not in result.output
    assert [p.name for p in tmp_path.iterdir()] == ["bad.yaml"]


def test_faults_as_json_have_the_one_error_shape(tmp_path: Path) -> None:
    path = tmp_path / "bad.yaml"
    path.write_text(FAULTY, encoding="utf-8")
    for words in (
        ("check", path, "--json"),
        ("plan", path, "-o", tmp_path / "o", "--json"),
        ("why", path, "D1", "--json"),
    ):
        data = json.loads(stubout(*words).stdout)
        assert set(data) == {"schema", "error", "faults"}
        assert {"file", "line", "path", "found", "wanted", "do"} == set(data["faults"][0])
    data = json.loads(stubout("lookup", "no-such-book", "--json").stdout)
    assert set(data) == {"schema", "error", "faults"}


@pytest.mark.parametrize(
    ("words", "said"),
    [
        (("check", "nowhere.yaml"), "no such file"),
        (("lookup", "npc-2002"), "did you mean 'npc-2020'"),
        (("lookup", "upc"), "did you mean 'upc-2021'"),
        (("calc", "fall", "--", "-5", "2 %"), 'length: found "-5", wanted no minus'),
        (("lookup", "npc-2020", "zeppelin"), "zeppelin"),
        (("calc", "fall", "ten feet", "2 %"), 'length: found "ten feet"'),
        (("calc", "offset", "12", "--angle", "0"), "fitting angle"),
        (("calc", "head", "10 ft", "--size", "9 in"), "size"),
        (("calc", "bore", "140 mm", "--framing", "npc-2020"), "npc-2020"),
    ],
)
def test_what_is_wrong_is_one_sentence_and_code_two(words: tuple[str, ...], said: str) -> None:
    result = stubout(*words)
    assert result.exit_code == Exit.INPUT, result.output
    assert said in result.output
    assert "Traceback" not in result.output


def test_a_folder_that_holds_other_things_is_left_alone(begun: Path, tmp_path: Path) -> None:
    (tmp_path / "letter.txt").write_text("keep", encoding="utf-8")
    result = stubout("plan", begun, "-o", tmp_path)
    assert result.exit_code == Exit.OUTPUT
    assert [p.name for p in tmp_path.iterdir()] == ["letter.txt"]


def test_a_folder_that_cannot_be_used_is_told_before_the_work(
    begun: Path, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    def never(_job: object, _progress: object = None) -> None:
        raise AssertionError("laid out for nothing")

    monkeypatch.setattr("stubout.run.design", never)
    (tmp_path / "letter.txt").write_text("keep", encoding="utf-8")
    assert stubout("plan", begun, "-o", tmp_path).exit_code == Exit.OUTPUT
    assert stubout("plan", begun, "-o", tmp_path / "letter.txt").exit_code == Exit.OUTPUT


def test_a_run_that_is_broken_off_is_no_finding(begun: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    def broken_off(_job: object, _progress: object = None) -> None:
        raise KeyboardInterrupt

    monkeypatch.setattr("stubout.run.design", broken_off)
    result = stubout("check", begun)
    assert result.exit_code == STOPPED
    assert "stopped" in result.output


@pytest.mark.skipif(os.name != "posix", reason="nobody is asked to end by a signal elsewhere")
def test_a_request_to_end_is_taken_like_the_keyboards(begun: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    def ended(_job: object, _progress: object = None) -> None:
        os.kill(os.getpid(), signal.SIGTERM)
        time.sleep(5)

    before = signal.getsignal(signal.SIGTERM)
    monkeypatch.setattr("stubout.run.design", ended)
    result = stubout("check", begun)
    assert result.exit_code == STOPPED
    assert "stubout: stopped." in result.output
    assert signal.getsignal(signal.SIGTERM) is before


def test_the_server_keeps_its_own_way_to_end() -> None:
    seen = []

    @answered
    def serving() -> None:
        seen.append(signal.getsignal(signal.SIGTERM))

    @guarded
    def working() -> None:
        seen.append(signal.getsignal(signal.SIGTERM))

    serving()
    working()
    assert seen[0] is signal.SIG_DFL
    assert seen[1] is not signal.SIG_DFL


def test_what_a_killed_run_left_is_told_on_stderr(begun: Path, tmp_path: Path) -> None:
    files = {"a.txt": b"1"}
    write_folder(tmp_path / "p", files)
    aside = tmp_path / ".p.old-a1b2c3d4"
    aside.mkdir()
    (tmp_path / "p").rename(aside / "old")
    result = stubout("plan", tmp_path / "no-such.yaml", "-o", tmp_path / "p", "-q")
    assert result.exit_code == Exit.INPUT
    assert "stubout: p is back: a run that was broken off" in result.stderr
    assert (tmp_path / "p/a.txt").read_bytes() == b"1"
    assert not aside.exists()


def test_a_figure_the_book_leaves_to_the_town_is_asked_for(begun: Path, tmp_path: Path) -> None:
    # IPC 2021, 903.1.1: the jurisdiction fills in how high a vent ends above the roof.
    path = tmp_path / "job.yaml"
    path.write_text(begun.read_text(encoding="utf-8").replace("book: upc-2021 ", "book: ipc-2021 "), encoding="utf-8")
    result = stubout("check", path)
    if result.exit_code in RAN:  # the layout asks for it on the sheets instead
        return
    assert result.exit_code == Exit.INPUT
    assert "terminal.above_roof" in result.output
    assert "amendments:" in result.output


def test_a_file_fault_without_a_line_shows_none(tmp_path: Path) -> None:
    assert ":0:" not in stubout("check", tmp_path).output
    assert json.loads(stubout("check", tmp_path, "--json").stdout)["faults"][0]["line"] == 0


def test_keys_of_every_json_answer_stay(begun: Path, planned: tuple[Result, Path]) -> None:
    """A script may rely on them: a key may be added here, never renamed or taken away."""
    findings = {"schema", "job", "count", "findings", "not_checked"}
    calc = {"schema", "steps", "notes"}
    bore = calc | {"limit_mm", "edge_mm", "hole_mm", "passes"}
    one = stubout("why", begun).output.split()[0]
    for words, keys in (
        (("check", begun), findings),
        (("plan", begun, "-o", planned[1]), findings | {"folder", "files"}),
        (("why", begun), {"schema", "ids"}),
        (("why", begun, one), {"schema", "about", "derivations"}),
        (("lookup",), {"schema", "books"}),
        (("lookup", "npc-2020"), {"schema", "book", "tables", "values", "clauses"}),
        (("lookup", "npc-2020", "trap", "arm"), {"schema", "book", "values"}),
        (("lookup", "npc-2020", "zeppelin"), {"schema", "error", "faults"}),
        (("calc", "fall", "10 ft", "2 %"), calc | {"fall_mm"}),
        (("calc", "fall", "10 ft", "-d", "2"), calc | {"slope"}),
        (("calc", "offset", "12"), calc | {"travel_mm", "setback_mm"}),
        (("calc", "rolling", "3", "4"), calc | {"true_offset_mm", "roll_deg", "offset"}),
        (("calc", "head", "10 ft"), calc | {"kpa", "psi"}),
        (("calc", "bore", "5 1/2", "-f", "irc-framing-2021"), bore),
        (("calc", "band", "25", "4 3/4", "-w", "8"), calc | {"lo_mm", "hi_mm", "feasible"}),
    ):
        data = json.loads(stubout(*words, "--json").stdout)
        assert keys <= set(data), (words, sorted(data))


def test_a_fault_of_the_program_is_a_sentence_too(begun: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    def broken(_job: object, _progress: object = None) -> None:
        raise ZeroDivisionError("seeded")

    monkeypatch.setattr("stubout.run.design", broken)
    result = stubout("check", begun)
    assert result.exit_code == Exit.PROGRAM
    assert "fault of the program" in result.output
    assert "Traceback" not in result.output
    monkeypatch.setenv("STUBOUT_TRACE", "1")
    assert "Traceback" in stubout("check", begun).output


def test_why_tells_steps_and_offers_a_near_name(begun: Path) -> None:
    ids = stubout("why", begun).output.split()
    assert ids
    result = stubout("why", begun, ids[0].lower())
    assert result.exit_code == Exit.CLEAN
    assert ids[0] in result.output
    lost = stubout("why", begun, f"{ids[0]}X")
    assert lost.exit_code == Exit.INPUT
    assert "did you mean" in lost.output
    assert json.loads(stubout("why", begun, ids[0], "--json").stdout)["derivations"]


def test_lookup_finds_by_words() -> None:
    # trap arm of 1-1/2 in: 1.8 m (NPC 2020, 2.5.6.3, secondary)
    result = stubout("lookup", "npc-2020", "trap_arm[1.5]")
    assert "1.8 m" in result.output
    assert "2.5.6.3" in result.output
    assert "npc-2020" in stubout("lookup").output
    assert "trap_arm" in stubout("lookup", "npc-2020").output


@pytest.mark.parametrize(
    ("words", "said"),
    [
        (("fall", "9'-6\"", "1/4 in/ft"), '2 3/8"'),  # by hand: 9.5 ft at 1/4 in per ft = 2.375 in
        (("fall", "10 m", "2 %", "-u", "mm"), "200 mm"),  # by hand
        (("fall", "10 ft", "--drop", '2 1/2"'), "1/4 in/ft"),  # by hand
        (("offset", "12"), "16.971 in"),  # trade table: 12 in at 45 deg, travel 16.97
        (("rolling", "3", "4"), "5.000 in"),  # by hand: 3-4-5
        (("head", "10 ft"), "4.34 psi"),  # 10 ft of water, 0.4335 psi per ft
        (("bore", "140 mm", "-f", "nbc-9.23.5", "-u", "mm"), "100 mm"),  # NBC 9.23.5.3: 40 mm left of 140
        # IRC 2021 R602.6: 60 % of 3-1/2 in is 2.10 in; 2-1/8 would be too much, so 2-1/16 is said
        (("bore", "3 1/2", "-f", "irc-framing-2021"), 'largest hole 2 1/16"'),
        (("bore", "3 1/2", "-f", "irc-framing-2021", "-m", "joist"), "no hole at all"),  # R502.8.1: 2 in from each edge
        (("bore", "140 mm", "-f", "nbc-9.23.5", "-u", "mm", "--bearing"), "46"),  # NBC 9.23.5.3: a third
        (("band", "25", '4 3/4"', "-w", "8"), "between"),
        (("band", "9", '4 3/4"', "-w", "8"), "NO HEIGHT DOES"),
    ],
)
def test_calc(words: tuple[str, ...], said: str) -> None:
    result = stubout("calc", *words)
    assert result.exit_code == Exit.CLEAN, result.output
    assert said in result.output
    assert json.loads(stubout("calc", *words, "--json").stdout)["schema"] == 1


def test_schema_is_a_schema_that_takes_the_starter(begun: Path) -> None:
    schema = json.loads(stubout("schema").stdout)
    jsonschema.Draft202012Validator.check_schema(schema)
    job = yaml.load(begun.read_text(encoding="utf-8"), Loader=yaml.BaseLoader)
    assert set(job) <= set(schema["properties"])


def test_demo_makes_the_packet(tmp_path: Path) -> None:
    result = stubout("demo", "-o", tmp_path / "demo")
    assert result.exit_code == Exit.CLEAN, result.output
    assert (tmp_path / "demo" / "packet.pdf").read_bytes().startswith(b"%PDF")


@pytest.mark.parametrize(
    "words",
    [
        ["--help"],
        ["check", "--help"],
        ["calc", "fall", "10 ft", "2 %"],
        ["calc", "head", "10 ft", "-s", "2"],
        ["calc", "band", "25", "4 3/4", "-w", "8"],
        ["calc", "bore", "5 1/2", "-f", "irc-framing-2021"],
        ["lookup"],
        ["lookup", "npc-2020", "trap", "arm"],
    ],
)
def test_help_calc_and_lookup_load_nothing_heavy(words: list[str]) -> None:
    heavy = (
        "yaml",
        "typst",
        "stubout.layout.engine",
        "stubout.sheets",
        "stubout.checks",
        "stubout.job",
        "stubout.house.resolve",
    )
    if "--help" in words or "fall" in words:
        heavy += ("stubout.run", "stubout.rulebooks", "stubout.catalog")
    if "calc" not in words:
        heavy += ("stubout.pocket",)
    code = (
        "import sys\nfrom stubout.cli.main import app\n"
        f"sys.argv = ['stubout', *{words!r}]\n"
        "try:\n    app()\nexcept SystemExit:\n    pass\n"
        f"print('LOADED', [m for m in {heavy!r} if m in sys.modules])\n"
    )
    done = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, check=True)
    assert "LOADED []" in done.stdout
