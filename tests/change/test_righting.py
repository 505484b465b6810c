"""Layouts shaped and put right, none twice; invented layouts, by name."""

from __future__ import annotations

from types import SimpleNamespace
from typing import Any

from stubout.change.righting import Righting

FOUND = {"plain": 2, "shaped": 1, "next": 1, "cleared": 0}
SHAPES = {"plain": ("shaped", "next")}
PUT_RIGHT = {"next": "cleared"}


def whole(name: str) -> Any:
    return SimpleNamespace(name=name, trial=SimpleNamespace(rank=(0, FOUND[name], 100.0)))


def righting(asked: list[str]) -> Righting[Any]:
    def shapes(one: Any) -> tuple[Any, ...]:
        asked.append(f"shape {one.name}")
        return tuple(whole(n) for n in SHAPES.get(one.name, (one.name,)))

    def put_right(one: Any, in_vain: set[Any]) -> Any:
        asked.append(f"right {one.name}")
        in_vain.add(one.name)
        return whole(PUT_RIGHT.get(one.name, one.name))

    return Righting(shapes, put_right, lambda one: one.name)


def test_what_comes_next_to_the_best_shape_is_put_right_too() -> None:
    assert righting([]).right(whole("plain")).name == "cleared"


def test_nothing_is_shaped_or_put_right_twice() -> None:
    asked: list[str] = []
    one = righting(asked)
    better = one.right(whole("plain"))
    assert sorted(asked) == ["right next", "right shaped", "shape cleared", "shape plain"]
    asked.clear()
    assert one.right(whole("plain")) is better
    assert one.right(better) is better, "what came out is not put right again"
    assert [w.name for w in one.form(whole("shaped"))] == ["shaped", "next"], "nor shaped again"
    assert not asked
