"""What is made once and given out often: the last used of it, never more than a bound."""

from __future__ import annotations

import threading
from collections import OrderedDict
from collections.abc import Callable, Hashable
from typing import Generic, TypeVar

T = TypeVar("T")


class Memory(Generic[T]):
    """Values by their keys; the least lately used go first. A key says everything its value was made from."""

    def __init__(self, most: int, weight: Callable[[T], int] = lambda _: 1) -> None:
        """Hold values of a total weight; one that weighs more than a quarter of it is not held."""
        self.most = most
        self._weight = weight
        self._held: OrderedDict[Hashable, tuple[T, int]] = OrderedDict()
        self._total = 0
        self._lock = threading.Lock()
        self._making: dict[Hashable, threading.Lock] = {}

    def get(self, key: Hashable) -> T | None:
        """Return a value, None if it is not held."""
        with self._lock:
            found = self._held.get(key)
            if found is None:
                return None
            self._held.move_to_end(key)
            return found[0]

    def put(self, key: Hashable, value: T) -> T:
        """Hold a value, and return it."""
        weighs = max(1, self._weight(value))
        with self._lock:
            self._drop(key)
            if weighs * 4 > self.most:
                return value
            self._held[key] = (value, weighs)
            self._total += weighs
            while self._total > self.most:
                self._drop(next(iter(self._held)))
        return value

    def made(self, key: Hashable, make: Callable[[], T]) -> T:
        """Return a value, made now if it is not held; who asks while it is made waits for it."""
        found = self.get(key)
        if found is not None:
            return found
        with self._lock:
            gate = self._making.setdefault(key, threading.Lock())
        with gate:
            found = self.get(key)
            if found is None:
                try:
                    found = self.put(key, make())
                finally:
                    with self._lock:
                        self._making.pop(key, None)
        return found

    def forget(self, key: Hashable) -> None:
        """Hold a value no longer."""
        with self._lock:
            self._drop(key)

    @property
    def total(self) -> int:
        """Return what all that is held weighs."""
        return self._total

    def _drop(self, key: Hashable) -> None:
        gone = self._held.pop(key, None)
        if gone is not None:
            self._total -= gone[1]
