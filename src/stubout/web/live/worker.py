"""The process that answers drags: one question a line, one answer a line, the designs last dragged on held ready.

It stands beside the server as the one that plans does, so that no page ever waits for it. It holds no secret, opens
nothing but the design it is told to read, writes nothing, and ends when the server does.
"""

from __future__ import annotations

import json
import pickle
import sys
import time
import traceback
from collections import OrderedDict
from pathlib import Path
from typing import Any

from stubout.problems import StuboutError
from stubout.run_field import live
from stubout.run_field.live import Table
from stubout.web.worker import limit


class Tables:
    """The designs that are held ready: those last asked for, and no more than may be."""

    def __init__(self, most: int) -> None:
        self.most = most
        self._held: OrderedDict[str, Table] = OrderedDict()

    def table(self, asked: dict[str, Any]) -> Table | None:
        """Return the design of a question; None if it is not held and the question does not say where it lies."""
        key = asked["key"]
        if key not in self._held:
            if "design" not in asked:
                return None
            self._held[key] = live.laid(asked["text"], Path(asked["design"]).read_bytes())
        self._held.move_to_end(key)
        while len(self._held) > self.most:
            self._held.popitem(last=False)
        return self._held[key]

    def answer(self, asked: dict[str, Any]) -> dict[str, Any]:
        """Return what is said to a question."""
        table = self.table(asked)
        if table is None:
            return {"want": "design"}
        match asked["op"]:
            case "listed":
                return {"listed": table.listed()}
            case "picture":
                return {"picture": table.picture(asked["view"])}
            case "kept":
                return table.kept(asked["view"], asked["handle"], asked["right"], asked["up"])
        return table.moved(asked["view"], asked["handle"], asked["right"], asked["up"], rest=asked["rest"])


def main() -> None:
    """Serve until the other end closes."""
    said = sys.stdout
    sys.stdout = sys.stderr  # whatever prints must not break the lines that are counted on
    most, most_bytes = int(sys.argv[1]), int(sys.argv[2])
    limit(most_bytes)
    tables = Tables(most)
    for line in sys.stdin:
        begun = time.process_time()
        try:
            answer = tables.answer(json.loads(line))
        except StuboutError as told:
            answer = {"error": str(told)}
        except FileNotFoundError:
            answer = {"error": "the plan is not there any more; load the page again"}
        except MemoryError:
            answer = {"error": "the job needs more memory than dragging may take"}
        except pickle.UnpicklingError as told:
            answer = {"error": f"the design of the plan cannot be read: {told}"}
        except Exception as fault:
            traceback.print_exc()
            answer = {"error": f"a fault of the program, not of your job: {type(fault).__name__}: {fault}"}
        answer["ms"] = round((time.process_time() - begun) * 1000, 1)
        said.write(json.dumps(answer) + "\n")
        said.flush()


if __name__ == "__main__":
    main()
