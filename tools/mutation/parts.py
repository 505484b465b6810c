"""What is tested by what: the parts, their modules, and the folders of their tests."""

from __future__ import annotations

from dataclasses import dataclass
from pathlib import Path

from tools.mutation.mutants import Faults

FEW = 20  # checks: a helper of more is met by so many tests of its own that their faults add hours and little else
ROOT = Path(__file__).parents[2]
SRC = ROOT / "src"


@dataclass(frozen=True, slots=True)
class Part:
    """A part of the package and the tests that are to hold it."""

    name: str
    tests: tuple[str, ...]
    addressed: str = ""  # a folder of tests that name the check they are for: they meet the mutants of that check only

    def files(self, only: str = "") -> dict[str, Path]:
        """Return the files by module name, those only whose name holds a word."""
        found = sorted((SRC / "stubout" / self.name).rglob("*.py"))
        named = {".".join(p.relative_to(SRC).with_suffix("").parts): p for p in found}
        return {m: p for m, p in named.items() if only in m and p.stat().st_size}

    def written_for(self, module: str) -> tuple[str, ...]:
        """Return the few checks that a module of helpers serves; none where many do, or where it is a check itself."""
        if not self.addressed or ".rules." in module:
            return ()
        asks = f"from {module} import"
        users = [m for m, p in self.files(".rules.").items() if asks in p.read_text("utf-8")]
        return tuple(m.rpartition(".")[2].upper() for m in users) if len(users) <= FEW else ()

    def faults(self, only: str = "") -> dict[str, Faults]:
        """Return the mutants by module name."""
        return {m: Faults(m, p.read_text("utf-8"), str(p)) for m, p in self.files(only).items()}


PARTS = {
    p.name: p
    for p in (
        Part("sizing", ("tests/sizing",)),
        Part("rulebooks", ("tests/rulebooks", "tests/worked")),
        Part("checks", ("tests/checks",), addressed="tests/faults"),
    )
}
