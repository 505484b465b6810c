"""The JSON Schemas of files of amendments and of confirmations judge as the reader does."""

from __future__ import annotations

import copy
import re
from pathlib import Path
from typing import Any

import jsonschema
import pytest
import yaml

from stubout.files.books_said import overlaid
from stubout.files.jobs import read_job_text
from stubout.job.model import Record
from stubout.job.overlays import AmendFileSaid, ConfirmFileSaid
from stubout.job.schema import json_schema
from stubout.job.starter import starter_text
from stubout.problems import JobFileError

PAGE = (Path(__file__).parents[2] / "docs" / "job-file.md").read_text(encoding="utf-8")
SAMPLES = [yaml.load(block, Loader=yaml.BaseLoader) for block in re.findall(r"```yaml\n(.*?)```", PAGE, flags=re.S)]
AMENDMENTS = {
    "title": "Sample Town",
    "book": "npc-2020",
    "amendments": [
        {"value": "terminal.above_roof", "is": "450 mm", "citation": "rule 7", "author": "Town", "date": "2030-01-02"},
        {
            "value": "terminal.above_roof",
            "ask": "How high?",
            "citation": "rule 9",
            "author": "Town",
            "date": "2030-01-02",
        },
    ],
}
CONFIRMATIONS = {
    "confirmations": [
        {"value": "trap_arm[1.5]", "printed": "1.8 m", "by": "Plumber P", "date": "2030-01-05", "book": "npc-2020"}
    ]
}


def messages(of: Any, said: Any) -> list[str]:
    schema = json_schema(of)
    jsonschema.Draft202012Validator.check_schema(schema)
    return [f"{e.json_path}: {e.message}" for e in jsonschema.Draft202012Validator(schema).iter_errors(said)]


def test_the_samples_of_the_page_validate() -> None:
    files = [s for s in SAMPLES if isinstance(s, dict) and {"title", "book", "amendments"} <= set(s)]
    assert files
    assert [messages("amendments", s) for s in files] == [[]] * len(files)
    parts = [s for s in SAMPLES if isinstance(s, dict) and set(s) == {"amendments"}]
    assert len(parts) >= 2
    for part in parts:
        assert messages("amendments", {"title": "Sample Town", "book": "npc-2020", **part}) == []
    read = [s for s in SAMPLES if isinstance(s, dict) and set(s) == {"confirmations"}]
    assert read
    for part in read:
        named = {"confirmations": [{**entry, "book": "npc-2020"} for entry in part["confirmations"]]}
        assert messages("confirmations", named) == []


@pytest.mark.parametrize(("of", "said"), [("amendments", AMENDMENTS), ("confirmations", CONFIRMATIONS)])
def test_a_good_file_validates_and_is_read(of: Any, said: Any, tmp_path: Path) -> None:
    assert messages(of, said) == []
    assert _read(of, said, tmp_path) == []


BAD = [
    ("amendments", ("title",), None),
    ("amendments", ("book",), None),
    ("amendments", ("amendments", 0, "citation"), None),
    ("amendments", ("amendments", 0, "is"), None),
    ("amendments", ("amendments", 1, "is"), "450 mm"),
    ("amendments", ("amendments", 0, "colour"), "red"),
    ("amendments", ("confirmations",), []),
    ("confirmations", ("confirmations", 0, "book"), None),
    ("confirmations", ("confirmations", 0, "by"), None),
    ("confirmations", ("confirmations", 0, "is"), "1.8 m"),
    ("confirmations", ("title",), "mine"),
]


@pytest.mark.parametrize(("of", "where", "value"), BAD)
def test_what_the_reader_refuses_the_schema_refuses(of: Any, where: Any, value: Any, tmp_path: Path) -> None:
    said: Any = copy.deepcopy(AMENDMENTS if of == "amendments" else CONFIRMATIONS)
    *path, key = where
    part = said
    for step in path:
        part = part[step]
    if value is None:
        del part[key]
    else:
        part[key] = value
    assert messages(of, said)
    assert _read(of, said, tmp_path)


def _read(of: str, said: Any, folder: Path) -> list[str]:
    """Return the faults the reader finds in a file that a job names."""
    (folder / "beside.yaml").write_text(yaml.safe_dump(said, allow_unicode=True), encoding="utf-8")
    key = "amendment files" if of == "amendments" else "confirmation files"
    text = re.sub(r"(?m)^( +book:\s+)\S+", r"\g<1>npc-2020", starter_text("mm"), count=1)
    path = folder / "job.yaml"
    path.write_text(f"{text}\n{key}:\n  - beside.yaml\n", encoding="utf-8")
    try:
        overlaid(read_job_text(path.read_text(encoding="utf-8"), str(path)), str(path))
    except JobFileError as fault:
        return [str(f) for f in fault.faults]
    return []


@pytest.mark.parametrize(("of", "record"), [("amendments", AmendFileSaid), ("confirmations", ConfirmFileSaid)])
def test_every_key_is_in_the_schema(of: Any, record: type[Record]) -> None:
    schema = json_schema(of)
    assert set(schema["properties"]) == {f.alias for f in record.model_fields.values()}
    assert schema["additionalProperties"] is False
    assert schema["title"] == f"Stubout {of}"
