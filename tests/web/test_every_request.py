"""Everything that `/api/openapi.json` describes, asked with made-up and with real values: no fault of the program.

Schemathesis makes the requests from the description: those that fit it and those that do not. The same ones every time,
and few enough that the whole takes well under a minute.
"""

from __future__ import annotations

import json
import warnings
from collections.abc import Iterator
from contextlib import suppress
from typing import Any

import pytest
from hypothesis import HealthCheck, Phase, given, settings
from hypothesis import strategies as st
from hypothesis.errors import Unsatisfiable
from jsonschema import Draft202012Validator
from starlette.testclient import TestClient
from web_client import HOST, Browser, browser

from stubout.run_field import texts
from stubout.store import jobs
from stubout.web.app import create
from stubout.web.people import COOKIE
from stubout.web.settings import Settings

pytest.importorskip("schemathesis", reason="schemathesis is not installed")
from schemathesis import GenerationMode, openapi

EXAMPLES = 7  # of each request and kind
SAID = settings(
    max_examples=EXAMPLES, derandomize=True, database=None, deadline=None, phases=[Phase.generate],
    suppress_health_check=list(HealthCheck),
)  # fmt: skip
REAL = {"job_id": 1, "number": 1, "finding": 1}
OURS = ("host", "cookie", "x-csrf-token", "content-length", "origin", "sec-fetch-site")


@pytest.fixture(scope="module")
def robot(tmp_path_factory: pytest.TempPathFactory) -> Iterator[Browser]:
    """Give a server of its own with one planned job: what is made up here is not met by other tests."""
    app = create(Settings(tmp_path_factory.mktemp("made-up")))
    with TestClient(app, base_url=f"http://{HOST}", client=("127.0.0.1", 50_000)) as client:
        who = browser(client, "Robot")
        text = texts.starter("inch")
        job = jobs.create(app.state.office.store, "Starter", text, "Robot", "")
        assert app.state.office.plans.wait(text, job.id, 120).state == "done"
        yield who


@pytest.fixture(scope="module")
def described(robot: Browser) -> dict[str, Any]:
    found: dict[str, Any] = robot.get("/api/openapi.json").json()
    return found


def sent(robot: Browser, case: Any, real: dict[str, int], session: str) -> Any:
    """Send what was made up; `real` values in the place of made-up ones."""
    made_up = case.path_parameters or {}
    case.path_parameters = {**made_up, **{k: v for k, v in real.items() if k in made_up}}
    asked = case.as_transport_kwargs(base_url="http://127.0.0.1:8787")
    headers = {
        k: v for k, v in (asked.get("headers") or {}).items()
        if k.lower() not in OURS and str(v).isascii() and str(v).isprintable()
    }  # fmt: skip
    body = {k: asked[k] for k in ("json", "content", "data", "files") if asked.get(k) is not None}
    robot.client.cookies.clear()  # a session begun by a request does not take the place of ours
    robot.client.cookies.set(COOKIE, session)
    return robot.client.request(
        asked["method"], asked["url"], params=asked.get("params"),
        headers={**headers, "X-CSRF-Token": robot.csrf}, follow_redirects=False, **body,
    )  # fmt: skip


def told(answer: Any, operation: Any, described: dict[str, Any]) -> str:
    """Return what is wrong with an answer, "" if nothing."""
    status = str(answer.status_code)
    if answer.status_code >= 500:
        return f"{status}: {answer.text[:200]}"
    responses = described["paths"][operation.path][operation.method]["responses"]
    if status not in responses and answer.status_code != 405:
        return f"{status} is not described"
    if answer.status_code < 400 or answer.status_code == 405:
        return ""
    found = Draft202012Validator(
        {"$ref": "#/components/schemas/_Error", "components": described["components"]}
    ).iter_errors(json.loads(answer.text))
    return "; ".join(e.message for e in found)


def ask(robot: Browser, operation: Any, mode: GenerationMode, described: dict[str, Any]) -> set[int]:
    """Send what is made up for one operation; return the statuses that came."""
    statuses: set[int] = set()
    session = robot.client.cookies[COOKIE]

    @SAID
    @given(case=operation.as_strategy(mode), at_home=st.booleans())
    def one(case: Any, at_home: bool) -> None:
        answer = sent(robot, case, REAL if at_home else {}, session)
        statuses.add(answer.status_code)
        assert told(answer, operation, described) == "", f"{operation.label}: {case.as_curl_command()}"

    with warnings.catch_warnings():
        warnings.simplefilter("ignore")  # of headers that are replaced here
        with suppress(Unsatisfiable):  # what asks for nothing cannot be asked wrongly
            one()
    robot.client.cookies.clear()
    robot.client.cookies.set(COOKIE, session)
    return statuses


@pytest.mark.parametrize("mode", list(GenerationMode))
def test_no_request_is_a_fault_of_the_program(robot: Browser, described: dict[str, Any], mode: GenerationMode) -> None:
    operations = [found.ok() for found in openapi.from_dict(described).get_all_operations()]
    asked = {o.label: ask(robot, o, mode, described) for o in operations}
    assert len(asked) == sum(len(methods) for methods in described["paths"].values())
    every = set().union(*asked.values())
    assert every >= ({200, 201, 404} if mode is GenerationMode.POSITIVE else {422}), asked
