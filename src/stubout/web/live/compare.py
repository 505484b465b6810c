"""What the whole plan says of a drag that was answered quickly: the same, or what is different."""

from __future__ import annotations

from collections import Counter
from dataclasses import dataclass
from typing import Any

from stubout.run_field.model import Field, Said

_GRAVE = ("STOP", "FIX")
Key = tuple[str, tuple[str, ...]]


@dataclass(frozen=True, slots=True)
class Compared:
    """The whole plan against the quick answer."""

    besides: tuple[str, ...]  # findings of the plan that the quick answer did not have
    not_there: tuple[str, ...]  # findings it had that the plan has not
    elsewhere: tuple[str, ...]  # marks that the plan put elsewhere

    @property
    def same(self) -> bool:
        """Return whether the plan says what was said."""
        return not (self.besides or self.not_there or self.elsewhere)


def expected(before: Field, answer: dict[str, Any]) -> dict[str, Any]:
    """Return what a quick answer lets one expect of the whole plan: its grave findings, and where the thing will be."""
    there = Counter(_key(f) for f in before.findings if f.level in _GRAVE)
    there.subtract(Counter(_told(f) for f in answer["gone"]))
    there.update(Counter(_told(f) for f in answer["came"]))
    words = {_key(f): _words(f.check, f.name, f.about) for f in before.findings}
    words |= {_told(f): _words(f["check"], f["name"], tuple(f["about"])) for f in answer["came"]}
    return {"findings": there, "words": words, "place": dict(map(tuple, answer["place"])), "by": answer["by"]}


def compared(quick: dict[str, Any], of: str, after: Field) -> Compared:
    """Return how the whole plan differs from what was expected of it.

    Args:
        quick: What was expected.
        of: The tag, cabinet or route that was dragged.
        after: The whole plan.
    """
    wanted: Counter[Key] = +quick["findings"]
    found = Counter(_key(f) for f in after.findings if f.level in _GRAVE)
    besides, missing = _paired(found - wanted, wanted - found)
    words = {_key(f): _words(f.check, f.name, f.about) for f in after.findings} | quick["words"]
    return Compared(
        tuple(words[k] for k in besides.elements()),
        tuple(words.get(k, _words(k[0], "", k[1])) for k in missing.elements()),
        tuple(_moved(quick["place"], of, after)),
    )


def _paired(more: Counter[Key], less: Counter[Key]) -> tuple[Counter[Key], Counter[Key]]:
    """Return two sets of findings without those that are the same fault of pipes with new numbers."""
    more, less = Counter(more), Counter(less)
    for a in list(more):
        for b in list(less):
            if a[0] == b[0] and set(a[1]) & set(b[1]):
                both = min(more[a], less[b])
                more[a] -= both
                less[b] -= both
    return +more, +less


def _moved(place: dict[str, str], of: str, after: Field) -> list[str]:
    mark = next((m for s in after.walls for m in s.marks if m.about == of and m.kind == "stub"), None)
    if mark is None or "above subfloor" not in place:
        return []
    pairs = (("from corner", mark.station), ("above subfloor", mark.subfloor))
    return [f"{of}: {now} {what}, not {place[what]}" for what, now in pairs if now != place[what]]


def _key(f: Said) -> Key:
    return f.check, f.about


def _told(f: dict[str, Any]) -> Key:
    return f["check"], tuple(f["about"])


def _words(check: str, name: str, about: tuple[str, ...]) -> str:
    return f"{check} {name}".strip() + (f" ({', '.join(about)})" if about else "")
