"""Start the server: on this machine, or on the site's network with a pairing code."""

from __future__ import annotations

import contextlib
import socket
import threading
import time
from collections.abc import Callable
from dataclasses import replace

import uvicorn

from stubout.problems import StuboutError
from stubout.web.app import create
from stubout.web.people import Pairing
from stubout.web.settings import Settings

_LISTENS = {False: "127.0.0.1", True: "0.0.0.0"}
_BUSY = 200  # connections at once
_WAITING = 128  # to be taken
_LOOK_S = 2.0


class ServeError(StuboutError, OSError):
    """The server cannot listen there."""


def addresses() -> tuple[str, ...]:
    """Return the addresses of this machine on its networks, and its name; nothing is sent."""
    found: dict[str, None] = {}
    with contextlib.suppress(OSError):
        found.update(
            (str(entry[4][0]), None) for entry in socket.getaddrinfo(socket.gethostname(), None, socket.AF_INET)
        )
    with contextlib.suppress(OSError), socket.socket(socket.AF_INET, socket.SOCK_DGRAM) as probe:
        probe.connect(("192.0.2.1", 9))  # an address for documentation: tells which card would be used
        found[str(probe.getsockname()[0])] = None
    return tuple(a for a in found if not a.startswith("127."))


def listen(host: str, port: int) -> socket.socket:
    """Return a socket that listens; raises OSError if the port is taken.

    It is said to speak TCP. Without that asyncio does not tell its connections to send at once, and each page waits up
    to 40 ms between its headers and its text for a word from the other side.
    """
    bound = socket.create_server((host, port), backlog=_WAITING)
    return socket.socket(bound.family, bound.type, socket.IPPROTO_TCP, fileno=bound.detach())


def serve(settings: Settings, say: Callable[[str], None]) -> None:
    """Serve until it is stopped.

    Args:
        settings: Where and how.
        say: Told what the one who started it has to know: the address, on a network the pairing code.

    Raises:
        ServeError: If the port is taken.
        StoreError: If the data cannot be opened.
    """
    if settings.network:
        names = (*settings.hosts, *addresses(), socket.gethostname().lower(), f"{socket.gethostname().lower()}.local")
        settings = replace(settings, hosts=tuple(dict.fromkeys(names)))
    try:
        listening = listen(_LISTENS[settings.network], settings.port)
    except OSError as error:
        raise ServeError(
            f"port {settings.port} cannot be used: {error.strerror or error}; give another --port"
        ) from error
    with listening:
        settings = replace(settings, port=listening.getsockname()[1])
        app = create(settings)
        say(f"Stubout is at http://127.0.0.1:{settings.port}/ - stop it with Ctrl-C. Data: {settings.data}")
        if settings.network:
            for address in addresses():
                say(f"On the network: http://{address}:{settings.port}/")
            _tell(app.state.office.pairing, say)
        config = uvicorn.Config(
            app, log_level="warning", access_log=False, server_header=False, proxy_headers=False, ws="none",
            limit_concurrency=_BUSY, timeout_keep_alive=15,
        )  # fmt: skip
        uvicorn.Server(config).run(sockets=[listening])


def _tell(pairing: Pairing, say: Callable[[str], None]) -> None:
    """Show the pairing code, and the new one when too many guesses have changed it."""
    say(f"Pairing code: {pairing.shown}")

    def watch() -> None:
        while True:
            time.sleep(_LOOK_S)
            if pairing.changed:
                pairing.changed = False
                say(f"Somebody guessed at the pairing code. The new one: {pairing.shown}")

    threading.Thread(target=watch, name="pairing", daemon=True).start()
