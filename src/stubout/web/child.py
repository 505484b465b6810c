"""A process beside the server that answers questions: one a line of JSON in, lines of JSON out."""

from __future__ import annotations

import json
import os
import subprocess
import sys
import threading
from collections.abc import Iterator
from queue import Empty, Queue
from typing import Any, Final

_TICK_S: Final = 0.25  # so often something empty comes, that the one who asks may give up


class Child:
    """One such process."""

    def __init__(self, module: str, *numbers: int) -> None:
        command = [sys.executable, "-m", module, *map(str, numbers)]
        hidden = ("STUBOUT_", "PG")  # the address and password of a database are none of its business
        env = {k: v for k, v in os.environ.items() if not k.startswith(hidden)} | {"PYTHONIOENCODING": "utf-8"}
        self._process = subprocess.Popen(command, stdin=subprocess.PIPE, stdout=subprocess.PIPE, text=True, env=env,
                                         encoding="utf-8")  # fmt: skip
        self._said: Queue[dict[str, Any] | None] = Queue()
        self._reader = threading.Thread(target=self._listen, name="child", daemon=True)
        self._reader.start()

    @property
    def alive(self) -> bool:
        """Return whether the process still runs."""
        return self._process.poll() is None

    def ask(self, what: dict[str, Any]) -> Iterator[dict[str, Any]]:
        """Yield what the process says, and something empty now and then, until it is done."""
        assert self._process.stdin is not None
        self._process.stdin.write(json.dumps(what) + "\n")
        self._process.stdin.flush()
        while True:
            try:
                said = self._said.get(timeout=_TICK_S)
            except Empty:
                yield {}
                continue
            if said is None:
                return
            yield said
            if "step" not in said:
                return

    def _listen(self) -> None:
        assert self._process.stdout is not None
        for line in self._process.stdout:
            self._said.put(json.loads(line))
        self._said.put(None)

    def end(self) -> None:
        """End the process at once."""
        self._process.kill()
        self._process.wait()
        self._reader.join(timeout=5)
        for stream in (self._process.stdin, self._process.stdout):
            if stream is not None:
                stream.close()
