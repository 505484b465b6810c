"""Which values and tables of the books each part of the program asks for: read out of the code itself.

Every function and every constant of a module is a node; it names ids of values, and other nodes. What a check reads is
what can be reached from its file, through the questions of `stubout.rulebooks` and the helpers of the checks.
"""

from __future__ import annotations

import ast
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
TABLE_CALLS = ("table", "find", "has")


@dataclass
class Node:
    """One function, class or constant: the ids it names itself, and the nodes it names."""

    ids: set[str] = field(default_factory=set)
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
            node.ids |= _values(inner.value)
            if module.startswith(BOOKS) and inner.value in by_table():
                node.ids.add(inner.value)
        elif isinstance(inner, ast.Call):
            node.ids |= _table(inner)
        elif isinstance(inner, ast.Name) and inner.id in known:
            node.names.add(known[inner.id])
        elif isinstance(inner, ast.Attribute) and isinstance(inner.value, ast.Name) and inner.value.id in known:
            node.names.add(known[inner.value.id].replace(":", ".") + f":{inner.attr}")
    return node


def _values(text: str) -> set[str]:
    """Return the ids a text names; "stud_bore.nonbearing_" is the stem of several."""
    if text in known_values() and "." in text:
        return {text}
    if text.endswith("_") and "." in text:
        return {i for i in known_values() if i.startswith(text)}
    return set()


def _table(call: ast.Call) -> set[str]:
    name = call.func.attr if isinstance(call.func, ast.Attribute) else getattr(call.func, "id", "")
    if name not in TABLE_CALLS:
        return set()
    texts = {a.value for a in call.args if isinstance(a, ast.Constant) and isinstance(a.value, str)}
    return texts & set(by_table())


@cache
def reach(name: str) -> frozenset[str]:
    """Return the ids that can be reached from a node through the books and the helpers of the checks."""
    seen: set[str] = set()
    queue = [name]
    ids: set[str] = set()
    while queue:
        one = queue.pop()
        if one in seen or one not in nodes():
            continue
        seen.add(one)
        ids |= nodes()[one].ids
        queue += [n for n in nodes()[one].names if n.startswith(THROUGH)]
    return frozenset(ids)


@cache
def of_check(check_id: str) -> frozenset[str]:
    """Return the ids a check asks for."""
    return reach(f"{CHECKS}rules.{check_id.lower()}:rule")


@cache
def readers() -> dict[str, tuple[str, ...]]:
    """Return every id with the modules outside of books and checks that ask for it: "sizing/vents.py", sorted."""
    found: dict[str, set[str]] = {}
    for name, node in nodes().items():
        module = name.partition(":")[0]
        if module.startswith((*THROUGH, "stubout.files", "stubout.cli", "stubout.export", "stubout.run")):
            continue
        asked = set(node.ids).union(*(reach(n) for n in node.names if n.startswith(BOOKS)))
        for value_id in asked:
            found.setdefault(value_id, set()).add(module.removeprefix("stubout.").replace(".", "/") + ".py")
    return {i: tuple(sorted(found[i])) for i in sorted(found)}
