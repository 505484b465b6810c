"""Which values of the books the program asks for: read off the source, so that no run has to come past each of them.

A value is read where its id stands as a string outside the books' own code, or in a question of theirs (`rulebooks/`)
that something outside asks. Ids put together of parts (`f"{kind}_notch.x"`, the rules of one prefix by their last
word) count where the parts stand together.
"""

from __future__ import annotations

import ast
import re
from collections.abc import Iterable, Iterator
from dataclasses import dataclass, field
from functools import cache
from pathlib import Path

import stubout

ROOT = Path(stubout.__file__).parent
BOOKS = ROOT / "rulebooks"
PASSED_ON = ("queries.py",)  # names handed on there are not asked there


@dataclass
class Asked:
    """Strings, patterns and names that stand in some code."""

    words: set[str] = field(default_factory=set)
    patterns: set[str] = field(default_factory=set)
    names: set[str] = field(default_factory=set)
    prefixes: set[str] = field(default_factory=set)


def asked_in(node: ast.AST) -> Asked:
    """Return what stands in a piece of code."""
    out = Asked()
    for n in ast.walk(node):
        if isinstance(n, ast.Constant) and isinstance(n.value, str):
            out.words.add(n.value)
        elif isinstance(n, ast.JoinedStr):
            out.patterns.add("".join(_piece(v) for v in n.values))
        elif isinstance(n, ast.Name):
            out.names.add(n.id)
        elif isinstance(n, ast.Attribute):
            out.names.add(n.attr)
        elif isinstance(n, ast.Call) and isinstance(n.func, ast.Name) and n.func.id == "prefixed":
            out.prefixes |= {a.value for a in n.args if isinstance(a, ast.Constant)}
    return out


def _piece(v: ast.expr) -> str:
    return re.escape(v.value) if isinstance(v, ast.Constant) and isinstance(v.value, str) else r"([a-z0-9_.]+)"


def _functions() -> Iterator[tuple[str, Asked]]:
    """Yield the functions of the books' own code, and their constants by name."""
    for path in sorted(BOOKS.glob("*.py")):
        if path.name in PASSED_ON:
            continue
        for node in ast.parse(path.read_text(encoding="utf-8")).body:
            if isinstance(node, ast.FunctionDef):
                yield node.name, asked_in(node)
            elif isinstance(node, ast.Assign):
                for target in node.targets:
                    if isinstance(target, ast.Name):
                        yield target.id, asked_in(node)


@cache
def _code() -> tuple[tuple[Asked, ...], dict[str, list[Asked]]]:
    """Return what stands outside the books' code, file by file, and inside it, by name."""
    functions: dict[str, list[Asked]] = {}
    for name, asked in _functions():
        functions.setdefault(name, []).append(asked)
    files = (p for p in sorted(ROOT.rglob("*.py")) if BOOKS not in p.parents)
    return tuple(asked_in(ast.parse(p.read_text(encoding="utf-8"))) for p in files), functions


def read_ids(ids: Iterable[str]) -> frozenset[str]:
    """Return the ids that something asks for."""
    outside, functions = _code()
    front = {n for o in outside for n in o.names if n in functions}
    reached: set[str] = set()
    while front:
        reached |= front
        front = {n for f in front for a in functions[f] for n in a.names if n in functions} - reached
    inside = [a for f in sorted(reached) for a in functions[f]]
    prefixes = {f: p for f in sorted(reached) for a in functions[f] for p in a.prefixes}
    words = {w for a in (*outside, *inside) for w in a.words}
    words |= {p + w for a in outside for f, p in prefixes.items() if f in a.names for w in a.words}
    given = {w for a in inside for w in a.words}
    parts = [(re.compile(p), a.words) for a in outside for p in a.patterns]
    parts += [(re.compile(p), given) for a in inside for p in a.patterns]
    return frozenset(i for i in ids if i in words or any(_made_of(p, some, i) for p, some in parts))


def _made_of(pattern: re.Pattern[str], words: set[str], value_id: str) -> bool:
    """Return whether an id can be put together by a pattern of parts that stand beside it."""
    found = pattern.fullmatch(value_id)
    return found is not None and bool(found.groups()) and all(g in words for g in found.groups())
