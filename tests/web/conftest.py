"""One app for the tests of the web door: a starter job, planned once."""

from __future__ import annotations

import io
import os
import sys
from collections.abc import Iterator
from dataclasses import replace
from pathlib import Path

import pytest
from PIL import Image
from starlette.testclient import TestClient

from stubout.store import jobs
from stubout.web import plans
from stubout.web.app import create
from stubout.web.child import Child
from stubout.web.office import Office
from stubout.web.settings import Settings

sys.path.insert(0, str(Path(__file__).parent))

from web_client import HOST, Browser, browser

SHARED = Path(__file__).parents[1] / "shared"


@pytest.fixture(scope="session", autouse=True)
def _planned_once() -> Iterator[None]:
    """Have the process that plans lay a house out once a run; the pages are tested here, and not the layout."""
    with pytest.MonkeyPatch.context() as patch:
        patch.setenv("PYTHONPATH", str(SHARED), prepend=os.pathsep)
        patch.setattr(plans, "Child", lambda _module, *numbers: Child("worker_once", *numbers))
        yield


@pytest.fixture
def planned_anew(monkeypatch: pytest.MonkeyPatch) -> None:
    """Have the process plan that plans outside the tests."""
    monkeypatch.setattr(plans, "Child", Child)


@pytest.fixture(autouse=True)
def _nobody_waits(request: pytest.FixtureRequest) -> Iterator[None]:
    """Have nothing planned that a test has asked for and not waited for: the next one would wait behind it."""
    yield
    if "served" in request.fixturenames:
        plans = request.getfixturevalue("served").app.state.office.plans
        with plans._lock:
            plans._waiting.clear()


@pytest.fixture(scope="session")
def served(tmp_path_factory: pytest.TempPathFactory) -> Iterator[TestClient]:
    app = create(Settings(tmp_path_factory.mktemp("data")))
    with TestClient(app, base_url=f"http://{HOST}", client=("127.0.0.1", 50_000)) as client:
        yield client


@pytest.fixture(scope="session")
def office(served: TestClient) -> Office:
    found = served.app.state.office  # type: ignore[attr-defined]
    assert isinstance(found, Office)
    return found


@pytest.fixture
def plumber(served: TestClient) -> Browser:
    return browser(served, "Plumber P")


@pytest.fixture
def helper(served: TestClient) -> Browser:
    return browser(served, "Helper H")


@pytest.fixture(scope="session")
def starter(served: TestClient, office: Office) -> int:
    """Give a job from the starter, planned."""
    who = browser(served, "Plumber P")
    answer = who.post("/jobs/new", {"starter": "inch", "name": "Starter"})
    job = int(answer.url.path.rpartition("/")[2])
    plan = office.plans.wait(jobs.revision(office.store, job).text, job, 120)
    assert plan.state == "done", plan
    return job


@pytest.fixture
def unplanned(office: Office, starter: int, monkeypatch: pytest.MonkeyPatch) -> None:
    """Have nothing planned, for tests of forms: nobody looks at the plan of each house that they make."""
    monkeypatch.setattr(office.plans, "limits", replace(office.plans.limits, waiting=0))


@pytest.fixture
def fresh(plumber: Browser, starter: int) -> int:
    """Give a copy of the starter: planned already, since its text is the same."""
    answer = plumber.post(f"/jobs/{starter}/duplicate")
    return int(answer.url.path.rpartition("/")[2])


@pytest.fixture
def photo() -> bytes:
    """Give a photo as a phone takes it: turned, with the place where it was taken in it."""
    picture = Image.new("RGB", (400, 300), (200, 10, 10))
    exif = picture.getexif()
    exif[0x0112] = 6  # held upright
    exif[0x010F] = "SECRET MAKER"
    exif.get_ifd(0x8825)[2] = (12.0, 34.0, 56.0)
    out = io.BytesIO()
    picture.save(out, "JPEG", exif=exif)
    return out.getvalue()
