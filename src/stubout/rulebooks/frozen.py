"""A mapping that nobody can write to, and that still copies and pickles: books are shared by every stage."""

from __future__ import annotations

from typing import Any, NoReturn, TypeVar

K = TypeVar("K")
V = TypeVar("V")


class Frozen(dict[K, V]):
    """A dict that refuses every change.

    >>> Frozen({"a": 1})["a"]
    1
    """

    def _refuse(self, *_args: Any, **_kwargs: Any) -> NoReturn:
        raise TypeError("a rule book cannot be changed; amend it instead")

    __setitem__ = __delitem__ = __ior__ = _refuse
    clear = pop = popitem = setdefault = update = _refuse

    def __reduce__(self) -> tuple[type[Frozen[K, V]], tuple[dict[K, V]]]:
        return (type(self), (dict(self),))

    def __copy__(self) -> Frozen[K, V]:
        return self

    def __deepcopy__(self, _memo: dict[int, Any]) -> Frozen[K, V]:
        return self  # the values are frozen too
