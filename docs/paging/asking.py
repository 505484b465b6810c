"""Which values and tables of the books each part of the program asks for: read out of the code itself.

Every function and every constant of a module is a node; it names ids of values, and other nodes. What a check reads is
what can be reached from its file, through the questions of `stubout.rulebooks` and the helpers of the checks. Ids put
together of parts (`f"{stem}fraction"`, the rules of one prefix by their last word) count where the parts stand
together. The pages of the books say by this who asks for a value; a test holds that every value is asked for.
"""

from __future__ import annotations

import ast
import re
from collections.abc import Iterable
from dataclasses import dataclass, field
from functools import cache
from pathlib import Path

import stubout
from paging.shelf import by_table
from stubout.files.books import known_values

ROOT = Path(stubout.__file__).parent
BOOKS = "stubout.rulebooks."
CHECKS = "stubout.checks."
THROUGH = (BOOKS, CHECKS)  # parts that are followed: what the others ask is listed under their own name
UNNAMED = (*THROUGH, "stubout.files", "stubout.cli", "stubout.export", "stubout.run")  # not shown as readers
TABLE_CALLS = ("table", "find", "has")
PREFIXED = "prefixed"  # the question that gives all values of one prefix


@dataclass
class Node:
    """One function, class or constant: the ids it names itself, the parts of ids, and the nodes it names."""

    ids: set[str] = field(default_factory=set)
    words: set[str] = field(default_factory=set)
    patterns: set[str] = field(default_factory=set)  # of texts made of parts
    prefixes: set[str] = field(default_factory=set)
    names: set[str] = field(default_factory=set)  # "module:name"


@cache
def nodes() -> dict[str, Node]:
    """Return every node of the program by "module:name"."""
    found: dict[str, Node] = {}
    for path in sorted(ROOT.rglob("*.py")):
        module = ".".join(("stubout", *path.relative_to(ROOT).with_suffix("").parts)).removesuffix(".__init__")
        text = path.read_text(encoding="utf-8")
        if "book" in text or module.startswith(THROUGH):  # no other can ask one
            found |= _module(module, ast.parse(text))
    return found


def _module(module: str, tree: ast.Module) -> dict[str, Node]:
    parts = [(part, list(ast.walk(part))) for part in tree.body]
    known = _imports(inner for _, walked in parts for inner in walked)
    tops = {name: walked for part, walked in parts for name in _names(part)}
    known |= {name: f"{module}:{name}" for name in tops}
    found = {f"{module}:{name}": _node(walked, known, module) for name, walked in tops.items()}
    again = {f"{module}:{name}": Node(names={to}) for name, to in known.items() if f"{module}:{name}" not in found}
    return found | again  # a name that is only passed on: `queries` does so


def _imports(walked: Iterable[ast.AST]) -> dict[str, str]:
    out: dict[str, str] = {}
    for part in walked:
        if isinstance(part, ast.ImportFrom) and part.module:
            out |= {a.asname or a.name: f"{part.module}:{a.name}" for a in part.names}
    return out


def _names(part: ast.stmt) -> list[str]:
    if isinstance(part, (ast.FunctionDef, ast.ClassDef)):
        return [part.name]
    targets = part.targets if isinstance(part, ast.Assign) else [part.target] if isinstance(part, ast.AnnAssign) else []
    return [t.id for t in targets if isinstance(t, ast.Name)]


def _node(walked: Iterable[ast.AST], known: dict[str, str], module: str) -> Node:
    node = Node()
    for inner in walked:
        if isinstance(inner, ast.Constant) and isinstance(inner.value, str):
            node.words.add(inner.value)
            node.ids |= {inner.value} & set(known_values())
            if module.startswith(BOOKS) and inner.value in by_table():
                node.ids.add(inner.value)
        elif isinstance(inner, ast.JoinedStr):
            node.patterns.add("".join(_piece(v) for v in inner.values))
        elif isinstance(inner, ast.Call):
            node.ids |= _table(inner)
            node.prefixes |= _prefix(inner)
        elif isinstance(inner, ast.Name) and inner.id in known:
            node.names.add(known[inner.id])
        elif isinstance(inner, ast.Attribute) and isinstance(inner.value, ast.Name) and inner.value.id in known:
            node.names.add(known[inner.value.id].replace(":", ".") + f":{inner.attr}")
    return node


def _piece(part: ast.expr) -> str:
    """Return the pattern of one part of a text: itself, or a hole that some word beside it fills."""
    return re.escape(part.value) if isinstance(part, ast.Constant) and isinstance(part.value, str) else "([a-z0-9_.]+)"


def _called(call: ast.Call) -> str:
    return call.func.attr if isinstance(call.func, ast.Attribute) else getattr(call.func, "id", "")


def _texts(call: ast.Call) -> set[str]:
    return {a.value for a in call.args if isinstance(a, ast.Constant) and isinstance(a.value, str)}


def _table(call: ast.Call) -> set[str]:
    return _texts(call) & set(by_table()) if _called(call) in TABLE_CALLS else set()


def _prefix(call: ast.Call) -> set[str]:
    return _texts(call) if _called(call) == PREFIXED else set()


@cache
def _reached(name: str) -> frozenset[str]:
    """Return the nodes that can be reached from one through the books and the helpers of the checks."""
    seen: set[str] = set()
    queue = [name]
    while queue:
        one = queue.pop()
        if one in seen or one not in nodes():
            continue
        seen.add(one)
        queue += [n for n in nodes()[one].names if n.startswith(THROUGH)]
    return frozenset(seen)


def _ids(names: Iterable[str]) -> frozenset[str]:
    """Return the ids that some nodes name together, whole or in parts."""
    here = [nodes()[n] for n in names]
    words = {w for node in here for w in node.words}
    named = {i for node in here for i in node.ids}
    made = {p + w for node in here for p in node.prefixes for w in words} & set(known_values())
    for pattern in {p for node in here for p in node.patterns}:
        for value_id in known_values():
            found = re.fullmatch(pattern, value_id)
            if found is not None and found.groups() and words.issuperset(found.groups()):
                made.add(value_id)
    return frozenset(named | made)


@cache
def of_check(check_id: str) -> frozenset[str]:
    """Return the ids a check asks for."""
    return _ids(_reached(f"{CHECKS}rules.{check_id.lower()}:rule"))


@cache
def _of_modules() -> dict[str, frozenset[str]]:
    """Return the ids that every module outside of the books asks for."""
    inside: dict[str, set[str]] = {}
    for name in nodes():
        module = name.partition(":")[0]
        if not module.startswith(BOOKS):
            inside.setdefault(module, set()).add(name)
    asked = {
        m: {n for name in names for n in nodes()[name].names if n.startswith(BOOKS)} for m, names in inside.items()
    }
    return {m: _ids(names.union(*(_reached(n) for n in asked[m]))) for m, names in inside.items()}


@cache
def readers() -> dict[str, tuple[str, ...]]:
    """Return every id with the modules outside of books and checks that ask for it: "sizing/vents.py", sorted."""
    found: dict[str, set[str]] = {}
    for module, ids in _of_modules().items():
        if not module.startswith(UNNAMED):
            for value_id in ids:
                found.setdefault(value_id, set()).add(module.removeprefix("stubout.").replace(".", "/") + ".py")
    return {i: tuple(sorted(found[i])) for i in sorted(found)}


@cache
def asked() -> frozenset[str]:
    """Return the ids that anything outside of the books asks for."""
    return frozenset().union(*_of_modules().values())
