"""A mutator that knows how a job file is built: keys, entries, blocks, lengths, ids and the YAML around them.

The same number gives the same bytes on every machine. Tame changes leave most jobs readable, so that what comes after
the reader is reached; wild ones break the text itself.

    python tests/fuzz/mutate.py 4711 [--small]     writes input 4711 to stdout
"""

from __future__ import annotations

import random
import sys
from collections.abc import Callable
from dataclasses import dataclass
from typing import Final

import tame
import wild
from seeds import seeds, weighted

Lines = list[str]
LineChange = Callable[[Lines, random.Random], None]
ByteChange = Callable[[bytes, random.Random], bytes]

TAME: Final[tuple[LineChange, ...]] = tame.CHANGES
WILD: Final[tuple[LineChange, ...]] = wild.CHANGES
BYTES: Final[tuple[ByteChange, ...]] = wild.BYTE_CHANGES


@dataclass(frozen=True)
class Input:
    """One job file to try."""

    number: int
    seed: str
    changes: tuple[str, ...]  # what was done, in order
    data: bytes


def mutant(number: int, small: bool = False) -> Input:
    """Return input `number`.

    Args:
        number: Any whole number; every one has its own input.
        small: Begin from a job that is laid out in about a second and change it tamely, once or twice.
    """
    chance = random.Random(f"stubout fuzz {number} {small}")
    name = chance.choice(weighted(small))
    lines = seeds()[name].splitlines()
    done: list[str] = []
    for _ in range(chance.choice((1, 1, 2) if small else (1, 1, 1, 2, 2, 3, 5, 8))):
        change = chance.choice(TAME if small or chance.random() < 0.65 else WILD)
        change(lines, chance)
        done.append(change.__name__)
    data = ("\n".join(lines) + "\n").encode("utf-8", "surrogatepass")
    if not small and chance.random() < 0.15:
        at_end = chance.choice(BYTES)
        data = at_end(data, chance)
        done.append(at_end.__name__)
    return Input(number, name, tuple(done), data)


if __name__ == "__main__":
    sys.stdout.buffer.write(mutant(int(sys.argv[1]), "--small" in sys.argv).data)
