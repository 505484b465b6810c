"""The JSON Schema of the job file judges as the reader does."""

from __future__ import annotations

from pathlib import Path
from typing import Any

import jsonschema
import pytest
import yaml
from hypothesis import given, settings
from hypothesis import strategies as st

from stubout.files.jobs import read_job_text
from stubout.job import model
from stubout.job.schema import json_schema
from stubout.job.starter import starter_text
from stubout.problems import JobFileError

SCHEMA = json_schema()
VALIDATOR = jsonschema.Draft202012Validator(SCHEMA)


def messages(job: Any) -> list[str]:
    return [f"{e.json_path}: {e.message}" for e in VALIDATOR.iter_errors(job)]


def loaded(text: str, loader: Any = yaml.BaseLoader) -> Any:
    return yaml.load(text, Loader=loader)


def test_is_a_schema_of_its_draft() -> None:
    jsonschema.Draft202012Validator.check_schema(SCHEMA)
    assert "2020-12" in SCHEMA["$schema"]
    assert json_schema() == SCHEMA


@pytest.mark.parametrize("units", ["inch", "mm"])
@pytest.mark.parametrize("loader", [yaml.BaseLoader, yaml.SafeLoader])
def test_a_valid_job_validates_as_texts_and_as_yaml_reads_it(units: Any, loader: Any) -> None:
    # The texts are what the reader sees; the safe loader's numbers and truth values are what an editor sees.
    assert messages(loaded(starter_text(units), loader)) == []


def dumped(job: model.Job) -> Any:
    """Write a job back as a job file says it: lengths in mm, spaced keys, nothing that is not said."""

    def said(value: Any) -> Any:
        if isinstance(value, model.Record):
            named = {type(value).model_fields[n].alias: getattr(value, n) for n in value.model_fields_set}
            return {k: said(v) for k, v in named.items() if k not in ("line", "source") and v is not None}
        if isinstance(value, tuple):
            return [said(v) for v in value]
        if isinstance(value, dict):
            return {k: said(v) for k, v in value.items()}
        if isinstance(value, bool):
            return "yes" if value else "no"
        return value

    return said(job)


@pytest.mark.parametrize("units", ["inch", "mm"])
def test_a_dumped_job_validates(units: Any) -> None:
    assert messages(dumped(read_job_text(starter_text(units)))) == []


def test_every_key_of_the_model_is_in_the_schema_with_blanks() -> None:
    def records(kind: type[model.Record]) -> list[type[model.Record]]:
        return [r for sub in kind.__subclasses__() for r in (sub, *records(sub))]

    for record in records(model.Record):
        part = SCHEMA if record is model.Job else SCHEMA["$defs"].get(record.__name__)
        if part is None:
            continue  # a base, or a record no job uses
        keys = {f.alias for n, f in record.model_fields.items() if n not in ("line", "source")}
        assert set(part["properties"]) == keys
        assert not any("_" in k for k in keys if k)
        assert part["additionalProperties"] is False


@pytest.mark.parametrize(
    ("path", "value"),
    [
        (("job", "material"), "apb"),
        (("job", "units"), "inches"),
        (("job", "colour"), "red"),
        (("walls", 0, "stud"), ["a"]),
        (("walls", 0, "stud"), ""),
        (("fixtures", 0, "kind"), "lavatry"),
        (("openings", 2, "opens"), "maybe"),
        (("site", "footprint"), ["1'", "2'", "3'"]),
        (("frames", 0, "members", "count"), "many"),
        (("walls",), "none"),
        (("stubout",), "2"),
        (("line",), "7"),
    ],
)
def test_what_the_schema_refuses_the_reader_refuses(path: tuple[Any, ...], value: Any) -> None:
    job = loaded(starter_text("inch"))
    here = job
    for part in path[:-1]:
        here = here[part]
    here[path[-1]] = value
    if value != "":  # a text is any text to the schema; what makes a length is the reader's to say
        assert messages(job)
    with pytest.raises(JobFileError):
        read_job_text(yaml.safe_dump(job))


@pytest.mark.parametrize("key", ["stubout", "job", "site", "levels", "walls", "rooms", "fixtures", "sewer"])
def test_what_is_missing_is_missed(key: str) -> None:
    job = loaded(starter_text("mm"))
    del job[key]
    assert any(key in m for m in messages(job))


@settings(deadline=None)
@given(
    st.sampled_from(["left", "right"]), st.sampled_from(["13", "{thick: 13}", "[{thick: 13}, {thick: 10, from: 5}]"])
)
def test_finishes_in_every_form(side: str, finish: str) -> None:
    text = starter_text("mm").replace("    left: 13 ", f"    {side}: {finish} ", 1)
    job = loaded(text.replace("    right: {thick: 0, what: cladding}\n", "", 1))
    assert messages(job) == []


EXAMPLES = sorted((Path(__file__).parents[2] / "examples").glob("*.yaml"))


@pytest.mark.parametrize("path", EXAMPLES, ids=lambda p: p.stem)
def test_the_examples_validate(path: Path) -> None:
    assert messages(loaded(path.read_text(encoding="utf-8"))) == []


def test_titles_of_lengths_help_in_the_editor() -> None:
    stud = SCHEMA["$defs"]["WallSaid"]["properties"]["stud"]
    assert stud["description"].startswith("A length:")
    assert stud["type"] == ["string", "number"]
