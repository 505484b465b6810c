"""Files of amendments and confirmations beside a job file, and every fault they may have."""

from __future__ import annotations

from pathlib import Path

import pytest

from stubout import run
from stubout.files.demo import demo_text
from stubout.job.model import Job
from stubout.problems import Fault, JobFileError

CITY = """title: Sample City, plumbing rules
book: irc-2021
amendments:
  - value: terminal.above_roof
    is: 12 in
    citation: by-law 7
    author: Sample City
    date: 2030-01-02
"""
MINE = """confirmations:
  - value: trap_size[bathtub]
    printed: 1 1/2 in
    by: Plumber P
    date: 2030-01-05
    book: irc-2021
  - value: trap_arm[1.5]
    printed: 1.8 m
    by: Plumber P
    date: 2030-01-05
    book: npc-2020
"""


def job_at(folder: Path, more: str, **files: str) -> Path:
    """Write the demonstration job with more lines before its levels, and files beside it."""
    for name, text in files.items():
        (folder / f"{name}.yaml").write_text(text, encoding="utf-8")
    path = folder / "job.yaml"
    path.write_text(demo_text().replace("\nlevels:", f"\n{more}\nlevels:", 1), encoding="utf-8")
    return path


def faults(path: Path, confirmations: str = "") -> list[Fault]:
    with pytest.raises(JobFileError) as caught:
        run.read(str(path), confirmations)
    return caught.value.faults


def amended(job: Job) -> list[tuple[str, str, str]]:
    return [(a.value, a.is_, a.source) for a in job.amendments]


def test_files_lie_under_the_amendments_of_the_job(tmp_path: Path) -> None:
    own = "amendments:\n  - {value: terminal.above_roof, is: 14 in, citation: letter, author: I, date: 2030}"
    path = job_at(tmp_path, f"amendment files:\n  - province.yaml\n  - city.yaml\n{own}", city=CITY,
                  province=CITY.replace("12 in", "10 in").replace("City", "Province"))  # fmt: skip
    assert amended(run.read(str(path))) == [
        ("terminal.above_roof", "10 in", "Sample Province, plumbing rules, province.yaml"),
        ("terminal.above_roof", "12 in", "Sample City, plumbing rules, city.yaml"),
        ("terminal.above_roof", "14 in", ""),
    ]


def test_confirmations_come_from_the_job_its_files_and_the_one_who_runs_it(tmp_path: Path) -> None:
    own = "confirmations:\n  - {value: 'trap_size[bathtub]', printed: 1 1/2 in, by: P, date: 2030}"
    path = job_at(tmp_path, f"confirmation files:\n  - mine.yaml\n{own}", mine=MINE)
    (tmp_path / "far").mkdir()
    far = tmp_path / "far" / "mine.yaml"
    far.write_text(MINE, encoding="utf-8")
    job = run.read(str(path), str(far))
    assert [c.source for c in job.confirmations] == ["mine.yaml"] * 2 + [str(far)] * 2 + [""]


@pytest.mark.parametrize(
    "name", ["../city.yaml", "/etc/hosts", "C:\\city.yaml", "sub/../../city.yaml", "..\\city.yaml"]
)
@pytest.mark.parametrize("key", ["amendment files", "confirmation files"])
def test_a_job_names_no_file_outside_of_its_folder(tmp_path: Path, key: str, name: str) -> None:
    (fault,) = faults(job_at(tmp_path, f"{key}:\n  - '{name}'"))
    assert (fault.path, fault.wanted) == (key, "a file in the folder of the job file, or in one below it")
    assert fault.line == demo_text()[: demo_text().index("\nlevels:")].count("\n") + 3


def test_a_file_that_is_not_there_says_who_names_it(tmp_path: Path) -> None:
    path = job_at(tmp_path, "amendment files: [city.yaml]")
    (fault,) = faults(path)
    assert fault.file == str(tmp_path / "city.yaml")
    assert fault.found == "no such file"
    line = demo_text()[: demo_text().index("\nlevels:")].count("\n") + 2
    assert fault.do == f"`amendment files` of {path} names it, on line {line}."
    path = job_at(tmp_path, "confirmation files: [city.yaml]")
    (fault,) = faults(path)
    assert fault.do == f"`confirmation files` of {path} names it, on line {line}."
    (fault,) = faults(job_at(tmp_path, ""), str(tmp_path / "none.yaml"))
    assert fault.do == "`--confirmations` names it."


def test_faults_of_every_file_are_told_in_one_run_with_their_lines(tmp_path: Path) -> None:
    city = CITY.replace("above_roof", "above_rof").replace("    date: 2030-01-02\n", "    date: ''\n")
    city += "  - {value: terminal.above_roof, citation: c, author: a, date: d}\n"
    city += "  - {value: terminal.above_roof, is: 1 ft, ask: How high?, citation: c, author: a, date: d}\n"
    more = "amendment files: [city.yaml]\namendments:\n"
    more += "  - {value: trap.seal_lo, is: deep, citation: c, author: a, date: d}"
    path = job_at(tmp_path, more, city=city)
    told = [(Path(f.file).name, f.line, f.path, f.found) for f in faults(path)]
    assert told[:4] == [
        ("city.yaml", 4, "amendments[no. 1].date", "nothing"),
        ("city.yaml", 4, "amendments[no. 1].value", '"terminal.above_rof"'),
        ("city.yaml", 9, "amendments[no. 2]", "neither `is` nor `ask`"),
        ("city.yaml", 10, "amendments[no. 3]", "both `is` and `ask`"),
    ]
    assert told[4][0] == "job.yaml"
    assert told[4][2:] == ("amendments[no. 1].is", '"deep"')


def test_a_key_nobody_knows_is_a_fault_there_too(tmp_path: Path) -> None:
    path = job_at(tmp_path, "amendment files: [city.yaml]", city=CITY.replace("citation", "citaton"))
    (fault,) = faults(path)
    assert (fault.line, fault.path, fault.do) == (6, "amendments[no. 1].citaton", 'Did you mean "citation"?')


def test_amendments_of_another_book_are_refused(tmp_path: Path) -> None:
    path = job_at(tmp_path, "amendment files: [city.yaml]", city=CITY.replace("irc-2021", "npc-2020"))
    (fault,) = faults(path)
    assert (fault.path, fault.found) == ("book", '"npc-2020"')
    assert fault.wanted == "a book of the job: irc-2021 or irc-framing-2021"


def test_a_printed_value_that_differs_is_to_be_written_as_an_amendment(tmp_path: Path) -> None:
    own = "confirmations:\n  - {value: 'trap_size[bathtub]', printed: 2 in, by: Plumber P, date: 2030-01-05}"
    (fault,) = faults(job_at(tmp_path, own))
    assert (fault.path, fault.found) == ("confirmations[no. 1].printed", '"2 in"')
    assert fault.wanted == "1-1/2 in, as we have it from irc-2021 P3201.7"
    assert "write it as an amendment of trap_size[bathtub]" in fault.do


@pytest.mark.parametrize(
    ("entry", "path", "said"),
    [
        ("{value: 'trap_size[bath]', printed: 2 in, by: P, date: d}", "value", 'Did you mean "trap_size[bathtub]"?'),
        ("{value: 'trap_size[bathtub]', printed: 2 in, by: P, date: d, book: ipx}", "book", "no rule book 'ipx'"),
        ("{value: 'trap_size[bathtub]', printed: 1 1/2, by: '', date: d}", "by", ""),
        ("{value: 'trap_size[bathtub]', printed: '', by: P, date: d}", "printed", ""),
    ],
)
def test_faults_of_a_confirmation(tmp_path: Path, entry: str, path: str, said: str) -> None:
    (fault,) = faults(job_at(tmp_path, f"confirmations:\n  - {entry}"))
    assert fault.path == f"confirmations[no. 1].{path}"
    assert said in fault.do


def test_a_file_for_all_jobs_names_the_book_of_each_entry(tmp_path: Path) -> None:
    far = tmp_path / "mine.yaml"
    far.write_text(MINE.replace("    book: irc-2021\n", ""), encoding="utf-8")
    (fault,) = faults(job_at(tmp_path, ""), str(far))
    assert (fault.file, fault.path) == (str(far), "confirmations[no. 1].book")


def test_a_wrong_figure_is_a_fault_even_in_a_book_this_job_does_not_use(tmp_path: Path) -> None:
    far = tmp_path / "mine.yaml"
    far.write_text(MINE.replace("1.8 m", "9 m"), encoding="utf-8")
    (fault,) = faults(job_at(tmp_path, ""), str(far))
    assert (fault.path, fault.found) == ("confirmations[no. 2].printed", '"9 m"')
