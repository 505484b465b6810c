"""The layouts of one house given other shapes and put right by what the checks offer, none of them twice."""

from __future__ import annotations

from collections.abc import Callable, Hashable
from typing import Generic, TypeVar

from stubout.change.best import Whole
from stubout.change.mended import Same

Laid = TypeVar("Laid")


class Righting(Generic[Laid]):
    """Remembers what was made of each layout, and what was not put right in any.

    Args:
        shapes: Returns a layout in its best shape, and those that come next to that.
        put_right: Returns a layout with what is found in it put right; told what was so in vain, and adds to it.
        key: What two layouts are one by.
    """

    def __init__(
        self,
        shapes: Callable[[Whole[Laid]], tuple[Whole[Laid], ...]],
        put_right: Callable[[Whole[Laid], set[Same]], Whole[Laid]],
        key: Callable[[Whole[Laid]], Hashable],
    ) -> None:
        self._shapes, self._put_right, self._key = shapes, put_right, key
        self._formed: dict[Hashable, tuple[Whole[Laid], ...]] = {}
        self._righted: dict[Hashable, Whole[Laid]] = {}
        self._in_vain: set[Same] = set()

    def form(self, whole: Whole[Laid]) -> tuple[Whole[Laid], ...]:
        """Return a layout in its best shape, and those that come next to that."""
        key = self._key(whole)
        if key not in self._formed:
            made = self._formed[key] = self._shapes(whole)
            self._formed[self._key(made[0])] = made
        return self._formed[key]

    def right(self, whole: Whole[Laid]) -> Whole[Laid]:
        """Return the best that comes of a layout and of those next to it, shaped, put right and shaped once more."""
        key = self._key(whole)
        if key not in self._righted:
            put = [self.form(self._put_right(one, self._in_vain))[0] for one in self.form(whole)]
            better = self._righted[key] = min(put, key=lambda w: w.trial.rank)
            self._righted[self._key(better)] = better
        return self._righted[key]
