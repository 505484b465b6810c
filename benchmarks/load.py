"""Fifty people on one small job: `python benchmarks/load.py [CLIENTS [SECONDS]]`, with the extra `test`.

Starts the field app on loopback, begins and plans a starter job, then lets every client ask for one page a second, each
another page in turn. Prints how many answers came, what went wrong, and how long half, nineteen in twenty and all but
one in a hundred of the answers took by the clock.
"""

from __future__ import annotations

import asyncio
import socket
import subprocess
import sys
import tempfile
import time
from itertools import cycle, islice

import httpx2 as httpx

PAUSE_S = 1.0


async def _client(
    one: httpx.AsyncClient, pages: list[str], nth: int, seconds: float, took: list[float], wrong: list[str]
) -> None:
    await asyncio.sleep(PAUSE_S * (nth % 50) / 50)  # people do not ask on the same stroke
    end = time.monotonic() + seconds
    for page in islice(cycle(pages), nth, None):
        since = time.monotonic()
        if since > end:
            return
        answer = await one.get(page)
        took.append(time.monotonic() - since)
        if answer.status_code != 200:
            wrong.append(f"{answer.status_code} {page}")
        await asyncio.sleep(max(0.0, PAUSE_S - (time.monotonic() - since)))


async def _load(home: str, pages: list[str], clients: int, seconds: float) -> tuple[list[float], list[str]]:
    took: list[float] = []
    wrong: list[str] = []
    # Making a client and saying a name takes this process long enough to be taken for the server's time.
    made = [httpx.AsyncClient(base_url=home, timeout=30.0) for _ in range(clients)]
    for n, one in enumerate(made):
        await one.post("/api/session", json={"name": f"Client {n}"})
    await asyncio.gather(*(_client(one, pages, n, seconds, took, wrong) for n, one in enumerate(made)))
    await asyncio.gather(*(one.aclose() for one in made))
    return took, wrong


def _up(home: str) -> None:
    """Wait until the server answers."""
    for _ in range(200):
        try:
            httpx.get(home, timeout=5.0)
            return
        except httpx.TransportError:
            time.sleep(0.2)
    sys.exit("the server does not answer")


def _planned(home: str) -> list[str]:
    """Begin a job from a starter, wait for its plan, and return the pages that are asked for."""
    with httpx.Client(base_url=home, timeout=30.0) as one:
        token = one.post("/api/session", json={"name": "Foreman"}).json()["csrf"]
        job = one.post("/api/jobs", json={"name": "Starter", "starter": "inch"}, headers={"X-CSRF-Token": token}).json()
        job = job["job"]["id"]
        while one.get(f"/api/jobs/{job}/check").status_code != 200:
            time.sleep(0.5)
    return [f"/jobs/{job}{part}" for part in ("", "/site", "/findings", "/gates", "/sheets", "/parts", "/records")]


def main() -> None:
    """Put the app under load and print how it stood it."""
    clients = int(sys.argv[1]) if len(sys.argv) > 1 else 50
    seconds = float(sys.argv[2]) if len(sys.argv) > 2 else 60.0
    with socket.create_server(("127.0.0.1", 0)) as free:
        port = free.getsockname()[1]
    home = f"http://127.0.0.1:{port}"
    with tempfile.TemporaryDirectory() as folder:
        command = [sys.executable, "-m", "stubout", "serve", "--data", folder, "--port", str(port)]
        server = subprocess.Popen(command, stdout=subprocess.DEVNULL, stderr=subprocess.DEVNULL)
        try:
            _up(home)
            pages = _planned(home)
            took, wrong = asyncio.run(_load(home, pages, clients, seconds))
        finally:
            server.terminate()
            server.wait()
    took.sort()
    for said, part in (("half within", 0.5), ("19 of 20 within", 0.95), ("99 of 100 within", 0.99)):
        print(f"{said:<18}{took[int(part * (len(took) - 1))] * 1000:>8.0f} ms")
    print(f"{len(took)} answers to {clients} clients in {seconds:.0f} s, {len(wrong)} wrong {sorted(set(wrong))[:5]}")


if __name__ == "__main__":
    main()
