"""Pages as blanks: what is the same for all who read them, with gaps for what is the reader's own.

A page is made once for nobody: name, session mark and form token of its reader, the one-time tokens of its forms and
the time are gaps, filled in when it is given out. So one page serves everybody who asks for it at the same state of a
job, and nothing of one reader can come to another.
"""

from __future__ import annotations

import re
import secrets
from dataclasses import dataclass
from datetime import UTC, datetime
from typing import Final

from markupsafe import escape

from stubout.web.people import Person

# Nobody can write one of these into a job or a record: they are new at every start and never leave the process.
_SALT: Final = secrets.token_hex(16)
_NAMES: Final = ("name", "csrf", "mark", "once", "now")
_GAPS: Final = {n: f"\1{n}-{_SALT}\1" for n in _NAMES}
_SPLIT: Final = re.compile(f"\1({'|'.join(_NAMES)})-{_SALT}\1")
_PER_PIECE: Final = 120  # bytes of memory that a piece takes besides its text
ONCE: Final = _GAPS["once"]
NOW: Final = _GAPS["now"]


@dataclass(frozen=True, slots=True)
class Reader:
    """Whom a page is made for: somebody, whoever it is."""

    name: str = _GAPS["name"]
    csrf: str = _GAPS["csrf"]
    mark: str = _GAPS["mark"]


READER: Final = Reader()


@dataclass(frozen=True, slots=True)
class Blank:
    """A page with gaps: texts, and between them the names of what goes there."""

    texts: tuple[bytes, ...]
    gaps: tuple[str, ...]

    @property
    def weight(self) -> int:
        """Return how much memory it takes [bytes]."""
        return sum(map(len, self.texts)) + _PER_PIECE * len(self.texts)

    def filled(self, who: Person | None) -> bytes:
        """Return the page for one reader."""
        if not self.gaps:
            return self.texts[0]
        own = {
            "name": str(escape(who.name)).encode() if who else b"",
            "csrf": who.csrf.encode() if who else b"",
            "mark": who.mark.encode() if who else b"",
            "now": datetime.now(UTC).strftime("%Y-%m-%d %H:%M UTC").encode(),
        }
        out = [self.texts[0]]
        for gap, text in zip(self.gaps, self.texts[1:], strict=True):
            out.append(own[gap] if gap != "once" else secrets.token_hex(8).encode())
            out.append(text)
        return b"".join(out)


def blank(text: str) -> Blank:
    """Return a page that was made for `READER` as a blank."""
    parts = _SPLIT.split(text)
    return Blank(tuple(p.encode() for p in parts[::2]), tuple(parts[1::2]))
