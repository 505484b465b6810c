"""How the field app is started: where it listens, what it lets in, how much."""

from __future__ import annotations

from dataclasses import dataclass, field
from pathlib import Path
from typing import Final

PORT: Final = 8787
LOOPBACK: Final = ("127.0.0.1", "::1")
KB: Final = 1024
MB: Final = 1024 * KB


@dataclass(frozen=True, slots=True)
class Limits:
    """How much one request, one client, one run may take."""

    form_bytes: int = 128 * KB
    job_bytes: int = 5 * MB  # a job file in a form
    prices_bytes: int = 256 * KB  # a list of prices in a form
    photo_bytes: int = 20 * MB
    photo_pixels: int = 60_000_000
    photo_side: int = 2048  # pixels of the longer side that are kept
    # Of a file of entries, whose photos the phone has made small already; `static/photos.js` holds the same.
    brought_photo_bytes: int = 768 * KB
    brought_photos: int = 40  # taken of one file at once
    brought_bytes: int = 45 * MB  # of the file: so many photos in base64, and the other entries
    requests_burst: int = 240  # of one client of the network at once, refilled at
    requests_a_second: float = 30.0
    pairing_tries: int = 5  # of one client a minute
    pairing_misses: int = 20  # of all clients, then a new code is made
    run_s: float = 300.0  # of one plan
    keep_s: float = 1200.0  # of what lays a house out many times: keeping what is installed, other layouts, clashes
    run_bytes: int = 6 * 1024 * MB  # of its memory
    waiting: int = 20  # plans asked for and not begun
    kept: int = 120  # plans remembered, those made to try a fix among them
    live_kept: int = 4  # designs that are held ready to be dragged on
    live_bytes: int = 3 * 1024 * MB  # of the memory of the process that holds them
    live_s: float = 30.0  # of one answer, the design taken out of its file among it
    live_waiting: int = 64  # drags asked for and not answered


@dataclass(frozen=True, slots=True)
class Settings:
    """One start of the server."""

    data: Path  # folder of database and remembered plans
    database: str = ""  # URL of PostgreSQL, "" for SQLite in the folder
    port: int = PORT
    network: bool = False  # listen on the site's network, with a pairing code
    hosts: tuple[str, ...] = ("127.0.0.1", "localhost", "[::1]")  # names under which the server may be called
    called: tuple[str, ...] = ()  # more of them, as the Host header has them: a proxy that speaks TLS calls it so
    limits: Limits = field(default_factory=Limits)

    @property
    def names(self) -> frozenset[str]:
        """Return what the Host header may say."""
        bare = self.hosts if self.port == 80 else ()
        return frozenset((*(f"{h}:{self.port}" for h in self.hosts), *bare, *(c.lower() for c in self.called)))
