"""Mutants in the constants of a module: the live modules get the other value, wherever they hold the old one."""

from __future__ import annotations

import sys
from dataclasses import dataclass
from types import CodeType, ModuleType


@dataclass(frozen=True, slots=True)
class Change:
    """One name with its other value, and the modules that hold the old one."""

    name: str
    new: object
    holders: tuple[ModuleType, ...]

    def make(self) -> None:
        """Put the other value everywhere."""
        for module in self.holders:
            setattr(module, self.name, self.new)


def changes(module: str, faulty: CodeType) -> tuple[Change, ...]:
    """Return what a mutant changes among the plain constants of a live module; empty where it changes other things."""
    space = {"__name__": module}
    try:
        exec(faulty, space)
    except Exception:
        return ()  # the module does not load: for the fresh start to see
    live = vars(sys.modules[module])
    return tuple(
        Change(name, new, tuple(m for m in list(sys.modules.values()) if vars(m).get(name) is live[name]))
        for name, new in space.items()
        if name in live and _plain(new) and repr(new) != repr(live[name])
    )


def _plain(value: object) -> bool:
    """Return whether a value is told by what it prints: no function, class or check."""
    return not callable(value) and " at 0x" not in repr(value)
