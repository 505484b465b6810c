"""The collector of dead objects that hold each other, left alone while a house is being worked on.

What the engine and the checks make is kept by what remembers it, or goes as soon as nobody holds it; looking through
all of it again and again finds next to nothing and takes a sixth of the time of a large house.
"""

from __future__ import annotations

import gc
from collections.abc import Iterator
from contextlib import contextmanager


@contextmanager
def uncollected() -> Iterator[None]:
    """Let the interpreter not look for dead objects that hold each other; as it was afterwards."""
    was = gc.isenabled()
    gc.disable()
    try:
        yield
    finally:
        if was:
            gc.enable()
