"""A browser of the tests: in process, with a session and the token of its forms."""

from __future__ import annotations

import re
import time
from dataclasses import dataclass

import httpx2 as httpx
from starlette.testclient import TestClient

HOST = "127.0.0.1:8787"
CSRF = re.compile(r'name="csrf" value="([0-9a-f]{64})"')


@dataclass(frozen=True)
class Browser:
    """A client with its session; posts carry the token of its forms and the origin of our pages."""

    client: TestClient
    csrf: str

    def get(self, path: str, **words: object) -> httpx.Response:
        return self.client.get(path, **words)  # type: ignore[arg-type]

    def post(self, path: str, data: dict[str, str] | None = None, **words: object) -> httpx.Response:
        return self.client.post(path, data={"csrf": self.csrf, **(data or {})}, **words)  # type: ignore[arg-type]

    def send(self, method: str, path: str, json: object, **headers: str) -> httpx.Response:
        return self.client.request(method, path, json=json, headers={"X-CSRF-Token": self.csrf, **headers})


def browser(client: TestClient, name: str) -> Browser:
    """Return a client of its own that has said who is at work."""
    fresh = TestClient(client.app, base_url=f"http://{HOST}", client=("127.0.0.1", 50_000))
    answer = fresh.post("/hello", data={"name": name, "next": "/"})
    found = CSRF.search(answer.text)
    assert found, answer.text
    return Browser(fresh, found[1])


def waited(who: Browser, progress: str, most_s: float = 120.0) -> None:
    """Ask how far some work is until the page would load itself anew."""
    end = time.monotonic() + most_s
    while time.monotonic() < end:
        answer = who.get(progress)
        assert answer.status_code == 200, answer.text
        if "HX-Refresh" in answer.headers:
            return
        time.sleep(0.1)
    raise AssertionError(f"{progress}: not done in {most_s} s")
