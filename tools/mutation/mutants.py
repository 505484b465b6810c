"""Small faults put into a module, one at a time: what they are, where they stand, and the code they give.

A mutant is made on the syntax tree and compiled from there; no file is ever written. Left alone, because no test should
hold them: docstrings, annotations, decorators, imports, and prose (texts with a blank in them, the literal parts of
f-strings, the words of a basis). A comparison that carries a tolerance is turned round but not moved by the width of a
hair: `<` and `<=` differ there only where two floats meet exactly.
"""

from __future__ import annotations

import ast
from collections.abc import Iterator
from dataclasses import dataclass
from types import CodeType

EDGE: dict[type[ast.cmpop], type[ast.cmpop]] = {ast.Lt: ast.LtE, ast.LtE: ast.Lt, ast.Gt: ast.GtE, ast.GtE: ast.Gt}
TURN: dict[type[ast.cmpop], type[ast.cmpop]] = {
    ast.Lt: ast.GtE, ast.LtE: ast.Gt, ast.Gt: ast.LtE, ast.GtE: ast.Lt, ast.Eq: ast.NotEq, ast.NotEq: ast.Eq,
    ast.Is: ast.IsNot, ast.IsNot: ast.Is, ast.In: ast.NotIn, ast.NotIn: ast.In,
}  # fmt: skip
SUMS: dict[type[ast.operator], type[ast.operator]] = {
    ast.Add: ast.Sub, ast.Sub: ast.Add, ast.Mult: ast.Div, ast.Div: ast.Mult, ast.FloorDiv: ast.Mult, ast.Mod: ast.Mult,
    ast.Pow: ast.Mult, ast.BitOr: ast.BitAnd, ast.BitAnd: ast.BitOr,
}  # fmt: skip
CALLS = {"max": "min", "min": "max", "any": "all", "all": "any", "abs": "float"}
FINEST = 1e-3  # a number below this in a comparison is a tolerance
TYPING = ("Literal", "TypeVar", "ParamSpec")
LABELS = ("trade", "said", "Basis")  # calls whose words are what a reader sees
LONGEST = 120  # letters of a mutant shown


@dataclass(frozen=True, slots=True)
class Mutant:
    """One fault: its module and function, the first and last line it stands on, and what becomes of what."""

    module: str
    function: str  # qualified name; "" where the fault stands outside of a function body
    lines: tuple[int, int]
    rule: str
    before: str
    after: str
    nth: int  # among equal ones of the same function

    @property
    def key(self) -> str:
        """Return a name that survives edits elsewhere in the file."""
        return " | ".join((self.module, self.function, self.rule, self.before, self.after, str(self.nth)))


@dataclass(slots=True)
class _Site:
    """A place in the tree that can be changed and put back; `shown` is the field or node a reader sees."""

    function: str
    lines: tuple[int, int]
    rule: str
    owner: ast.AST
    field: str
    index: int | None
    new: object
    around: ast.AST | None

    def swap(self) -> None:
        """Put the other value in; twice gives the first again."""
        if self.index is None:
            old = getattr(self.owner, self.field)
            setattr(self.owner, self.field, self.new)
        else:
            here = getattr(self.owner, self.field)
            old, here[self.index] = here[self.index], self.new
        self.new = old

    def text(self) -> str:
        """Return what a reader sees of it now."""
        node = self.around
        if node is None:
            here = getattr(self.owner, self.field)
            node = here if self.index is None else here[self.index]
        words = " ".join(ast.unparse(node).split())
        return words if len(words) <= LONGEST else words[: LONGEST - 3] + "..."


class Faults:
    """The mutants of one module."""

    def __init__(self, module: str, source: str, filename: str) -> None:
        self.module, self.filename = module, filename
        self.tree = ast.parse(source)
        self._sites: dict[Mutant, _Site] = {}
        seen: dict[tuple[str, ...], int] = {}
        for site in list(_Walk().sites(self.tree)):
            before = site.text()
            site.swap()
            after = site.text()
            site.swap()
            like = (site.function, site.rule, before, after)
            seen[like] = seen.get(like, 0) + 1
            self._sites[Mutant(module, site.function, site.lines, site.rule, before, after, seen[like])] = site

    def __iter__(self) -> Iterator[Mutant]:
        """Yield the mutants in the order of the file."""
        return iter(self._sites)

    def code(self, mutant: Mutant | None) -> CodeType:
        """Return the module's code with the one fault in it; None gives the sound code."""
        site = self._sites[mutant] if mutant else None
        if site:
            site.swap()
        try:
            return compile(ast.fix_missing_locations(self.tree), self.filename, "exec", dont_inherit=True)
        finally:
            if site:
                site.swap()


class _Walk:
    """Goes through a module and finds the places."""

    def __init__(self) -> None:
        self.names: list[str] = []
        self.inside = False  # of a function body
        self.lines = (0, 0)
        self.around: list[ast.AST] = []

    def sites(self, node: ast.AST) -> Iterator[_Site]:
        """Yield the places in and below a node, in the order of the file."""
        if (
            isinstance(node, (ast.Import, ast.ImportFrom))
            or _is_prose(node)
            or _is_typing(node)
            or _is_list_of_names(node)
        ):
            return
        held = self.lines
        if isinstance(node, (ast.stmt, ast.expr)) and not self._in_text():
            self.lines = (node.lineno, node.end_lineno or node.lineno)
        if isinstance(node, (ast.FunctionDef, ast.ClassDef)):
            yield from self._definition(node)
        else:
            yield from self._own(node)
            self.around.append(node)
            for child in _children(node):
                yield from self.sites(child)
            self.around.pop()
        self.lines = held

    def _in_text(self) -> bool:
        """Return whether an f-string holds what comes: line numbers in there are not to be trusted."""
        return any(isinstance(a, ast.JoinedStr) for a in self.around)

    def _definition(self, node: ast.FunctionDef | ast.ClassDef) -> Iterator[_Site]:
        if isinstance(node, ast.FunctionDef):
            for default in (*node.args.defaults, *(d for d in node.args.kw_defaults if d is not None)):
                yield from self.sites(default)
        outer, self.inside = self.inside, self.inside or isinstance(node, ast.FunctionDef)
        self.names.append(node.name)
        yield from self._block(node)
        for statement in node.body:
            yield from self.sites(statement)
        self.names.pop()
        self.inside = outer

    def _site(
        self,
        rule: str,
        owner: ast.AST,
        field: str,
        new: object,
        index: int | None = None,
        around: ast.AST | None = None,
    ) -> _Site:
        name = ".".join(self.names) if self.inside else ""
        return _Site(name, self.lines, rule, owner, field, index, new, around)

    def _own(self, node: ast.AST) -> Iterator[_Site]:
        if isinstance(node, ast.Compare):
            yield from self._compare(node)
        elif isinstance(node, (ast.BinOp, ast.AugAssign)) and type(node.op) in SUMS:
            yield self._site("sum", node, "op", SUMS[type(node.op)](), around=node)
        elif isinstance(node, ast.BoolOp):
            other = ast.Or() if isinstance(node.op, ast.And) else ast.And()
            yield self._site("and-or", node, "op", other, around=node)
        elif isinstance(node, ast.Constant):
            yield from self._constant(node)
        elif isinstance(node, ast.Call) and isinstance(node.func, ast.Name) and node.func.id in CALLS:
            yield self._site("call", node, "func", ast.Name(CALLS[node.func.id], ast.Load()), around=node)
        elif isinstance(node, ast.UnaryOp) and isinstance(node.op, ast.USub):
            yield self._site("sign", node, "op", ast.UAdd(), around=node)
        elif isinstance(node, ast.UnaryOp) and isinstance(node.op, ast.Not):
            yield self._site("negate", node, "operand", ast.UnaryOp(ast.Not(), node.operand), around=node)
        yield from self._conditions(node)
        yield from self._block(node)

    def _compare(self, node: ast.Compare) -> Iterator[_Site]:
        parts = [node.left, *node.comparators]
        for i, op in enumerate(node.ops):
            if type(op) in EDGE and not any(_tolerant(p) for p in parts[i : i + 2]):
                yield self._site("limit", node, "ops", EDGE[type(op)](), i, around=node)
            yield self._site("turn", node, "ops", TURN[type(op)](), i, around=node)

    def _constant(self, node: ast.Constant) -> Iterator[_Site]:
        value, near = node.value, self.around[-1] if self.around else None
        around = near if isinstance(near, (ast.expr, ast.keyword, ast.Return, ast.Assign)) else node
        around = node if isinstance(around, (ast.FormattedValue, ast.Dict)) else around
        if isinstance(value, bool):
            yield self._site("value", node, "value", not value, around=around)
        elif isinstance(value, (int, float)):
            yield self._site("value", node, "value", value + 1, around=around)
        elif isinstance(near, ast.Call) and isinstance(near.func, ast.Name) and near.func.id in LABELS:
            return
        elif isinstance(value, str) and value and not any(c.isspace() for c in value):
            yield self._site("word", node, "value", f"X{value}X", around=around)

    def _conditions(self, node: ast.AST) -> Iterator[_Site]:
        """Turn round a condition that is a bare name or call; the others are mutated inside."""
        if isinstance(node, (ast.If, ast.While, ast.IfExp)) and _plain(node.test):
            yield self._site("negate", node, "test", ast.UnaryOp(ast.Not(), node.test))
        if isinstance(node, ast.BoolOp):
            for i, part in enumerate(node.values):
                if _plain(part):
                    yield self._site("negate", node, "values", ast.UnaryOp(ast.Not(), part), i, around=node)
        if isinstance(node, ast.comprehension):
            for i, test in enumerate(node.ifs):
                if _plain(test):
                    yield self._site("negate", node, "ifs", ast.UnaryOp(ast.Not(), test), i)

    def _block(self, node: ast.AST) -> Iterator[_Site]:
        """Leave out a call made for its effect; leave a loop instead of going on, and the other way round."""
        held = self.lines
        for field in ("body", "orelse", "finalbody"):
            here = getattr(node, field, None)
            for i, s in enumerate(here if isinstance(here, list) else []):
                self.lines = (s.lineno, s.end_lineno or s.lineno)
                if isinstance(s, ast.Expr) and isinstance(s.value, ast.Call):
                    yield self._site("leave out", node, field, ast.Pass(), i)
                elif isinstance(s, (ast.Continue, ast.Break)):
                    other = ast.Break() if isinstance(s, ast.Continue) else ast.Continue()
                    yield self._site("loop", node, field, other, i)
        self.lines = held


def _children(node: ast.AST) -> Iterator[ast.AST]:
    if isinstance(node, ast.JoinedStr):  # the words between the braces are prose
        yield from (v.value for v in node.values if isinstance(v, ast.FormattedValue))
        return
    for name, child in ast.iter_fields(node):
        if name not in ("annotation", "returns"):
            yield from (c for c in (child if isinstance(child, list) else [child]) if isinstance(c, ast.AST))


def _is_prose(node: ast.AST) -> bool:
    return isinstance(node, ast.Expr) and isinstance(node.value, ast.Constant)


def _is_list_of_names(node: ast.AST) -> bool:
    return isinstance(node, ast.Assign) and any(isinstance(t, ast.Name) and t.id == "__all__" for t in node.targets)


def _is_typing(node: ast.AST) -> bool:
    of = node.value if isinstance(node, ast.Subscript) else node.func if isinstance(node, ast.Call) else None
    return isinstance(of, ast.Name) and of.id in TYPING


def _plain(test: ast.expr) -> bool:
    """Return whether a condition has no mutant of its own at its head."""
    if isinstance(test, ast.UnaryOp):
        return not isinstance(test.op, ast.Not)
    return not isinstance(test, (ast.Compare, ast.BoolOp, ast.Constant))


def _tolerant(node: ast.expr) -> bool:
    """Return whether an expression carries a tolerance, as a fine number or by its name."""
    return any(
        (isinstance(n, ast.Constant) and isinstance(n.value, float) and 0.0 < n.value <= FINEST)
        or (isinstance(n, ast.Name) and "TOL" in n.id)
        for n in ast.walk(node)
    )
