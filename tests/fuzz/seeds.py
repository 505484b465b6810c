"""The jobs the mutator begins from, and the words that stand under each key of a job file."""

from __future__ import annotations

import re
from functools import cache
from pathlib import Path
from typing import Final

from stubout.files.demo import demo_text
from stubout.files.job_words import field_type, shown_key, words_in
from stubout.job import model
from stubout.job.model import Record
from stubout.job.starter import starter_text

EXAMPLES: Final = Path(__file__).parents[2] / "examples"
# A large house takes ten times as long to read as a starter: the small ones are drawn more often.
_WEIGHTS: Final = {"starter-inch": 8, "starter-mm": 8, "demo": 3, "drawn-bath": 4}
SMALL: Final = tuple(_WEIGHTS)  # those that are laid out in about a second

# key, blanks and dash before it, value, comment behind it
LINE: Final = re.compile(
    r"^(?P<lead>\s*(?:- )?)(?P<key>[A-Za-z][\w ]*):(?P<gap> +)(?P<value>[^#|>\s][^#]*?)(?P<tail>\s*(?:#.*)?)$"
)


@cache
def seeds() -> dict[str, str]:
    """Return the job texts by name."""
    texts = {"starter-inch": starter_text("inch"), "starter-mm": starter_text("mm"), "demo": demo_text()}
    texts |= {p.stem: p.read_text(encoding="utf-8") for p in sorted(EXAMPLES.glob("*.yaml"))}
    return texts


@cache
def weighted(small: bool) -> tuple[str, ...]:
    """Return the names of the seeds, each as often as it is to be drawn."""
    names = SMALL if small else tuple(seeds())
    return tuple(name for name in names for _ in range(_WEIGHTS.get(name, 1)))


@cache
def words_of() -> dict[str, tuple[str, ...]]:
    """Return what may stand under each key: the words of the model and every value of the seeds."""
    found: dict[str, dict[str, None]] = {}
    for kind in vars(model).values():
        if isinstance(kind, type) and issubclass(kind, Record):
            for name, info in kind.model_fields.items():
                values = found.setdefault(shown_key(info.alias or name), {})
                values.update(dict.fromkeys(words_in(field_type(info)[0])))
    for text in seeds().values():
        for line in text.splitlines():
            if match := LINE.match(line):
                found.setdefault(match["key"], {})[match["value"]] = None
    return {key: tuple(values) for key, values in sorted(found.items()) if values}
