"""The gates: what has to be true before glue, test, cover and finish, reckoned from the plan and the records."""

from __future__ import annotations

from collections.abc import Callable, Iterable
from dataclasses import dataclass
from typing import Final

from stubout.run_field.model import Field, Said, Task, Todo
from stubout.run_field.words import Say, english, noted
from stubout.store.model import Kind, Record
from stubout.web import verdicts

GLUE, TEST, COVER, FINISH = "glue", "test", "cover", "finish"
TITLES: Final = {
    GLUE: noted("Before glue"),
    TEST: noted("Before the test"),
    COVER: noted("Before cover"),
    FINISH: noted("Before finish"),
}
OUT: Final = "out again: "  # before the place of a cap that has been taken out


@dataclass(frozen=True, slots=True)
class Need:
    """One line of a gate."""

    words: str
    done: int
    of: int
    left: tuple[str, ...] = ()  # what is missing, in short
    by: str = ""  # what it is reckoned from: a kind of task, "out", "heights", "slopes", "tests", "photos"; "" else

    @property
    def met(self) -> bool:
        """Return whether nothing is missing."""
        return self.done >= self.of


@dataclass(frozen=True, slots=True)
class Gate:
    """One gate with its list and who signed it."""

    id: str
    title: str
    needs: tuple[Need, ...]
    signed: Record | None

    @property
    def open(self) -> bool:
        """Return whether all that is needed is there: it may be signed."""
        return all(n.met for n in self.needs)


def gates(field: Field, records: Iterable[Record], say: Say = english) -> tuple[Gate, ...]:
    """Return the four gates of a job.

    Args:
        field: The plan of the revision that is built.
        records: Those that stand.
        say: Speaks their words.
    """
    kept = tuple(records)
    ticked = {r.place for r in kept if r.kind is Kind.TICK}

    def done(kind: Todo, words: str, place: Callable[[Task], str] = lambda t: t.place, by: str = "") -> Need:
        every = [t for t in field.tasks if t.kind == kind]
        left = tuple(t.about for t in every if place(t) not in ticked)
        return Need(words, len(every) - len(left), len(every), left, by or kind)

    def signed(gate: str) -> Record | None:
        found = [r for r in kept if r.kind is Kind.SIGN and r.about == gate]
        return found[-1] if found else None

    def after(gate: str) -> Need:
        one = signed(gate)
        title = say(TITLES[gate])
        return Need(
            say("“{gate}” is signed").format(gate=title), int(one is not None), 1, () if one else (title.lower(),)
        )

    needs = {
        GLUE: (
            _findings(field, say),
            Need(say("Every part could be laid out"), 0 if field.blocked else 1, 1, _about(field.blocked)),
            Need(say("No open question"), 0 if field.questions else 1, 1, _about(field.questions)),
            done("bore", say("Holes bored")),
            done("stub", say("Stub-outs set")),
            _heights(field, kept, say),
        ),
        TEST: (
            after(GLUE),
            done("glue", say("Fittings glued")),
            done("hanger", say("Hangers and straps")),
            _slopes(field, kept, say),
            done("cap", say("Caps and plugs in place")),
        ),
        COVER: (
            after(TEST),
            _tests(field, kept, say),
            done("plate", say("Plates and straps over holes")),
            _photos(field, kept, say),
        ),
        FINISH: (after(COVER), done("cap", say("Caps and plugs counted out again"), lambda t: OUT + t.place, "out")),
    }
    return tuple(Gate(g, say(TITLES[g]), lines, signed(g)) for g, lines in needs.items())


def refusal(field: Field | None, records: Iterable[Record], gate: str) -> str:
    """Return why a gate cannot be signed, "" if it can."""
    if gate not in TITLES:
        return f"there is no gate {gate!r}"
    if field is None:
        return "the job is not planned yet: no gate can be signed"
    found = next(g for g in gates(field, records) if g.id == gate)
    left = [n.words for n in found.needs if not n.met]
    return f"{TITLES[gate]} cannot be signed: not met: {'; '.join(left)}" if left else ""


def _about(said: Iterable[Said]) -> tuple[str, ...]:
    return tuple(s.check or ", ".join(s.about) for s in said)


def _findings(field: Field, say: Say) -> Need:
    grave = [f for f in field.findings if f.level in ("STOP", "FIX") and not f.accepted]
    left = tuple(f"{f.level} {f.check} {', '.join(f.about)}" for f in grave)
    words = say("No finding of level STOP or FIX but those accepted in writing")
    return Need(words, 0 if grave else 1, 1, left)


def _heights(field: Field, kept: tuple[Record, ...], say: Say) -> Need:
    stubs = [m for side in field.walls for m in side.marks if m.kind == "stub"]
    left = []
    for m in stubs:
        read = verdicts.last(kept, Kind.HEIGHT, m.place)
        if read is None:
            left.append(m.about)
        elif verdicts.height(m, read.value, field.units).state != "within":
            left.append(say("{what} not within its window").format(what=m.about))
    return Need(
        say("Stub-outs measured and within their windows"), len(stubs) - len(left), len(stubs), tuple(left), "heights"
    )


def _slopes(field: Field, kept: tuple[Record, ...], say: Say) -> Need:
    left = []
    asked = [d for d in field.drains if d.asked or verdicts.last(kept, Kind.SLOPE, d.place)]
    for d in asked:
        read = verdicts.last(kept, Kind.SLOPE, d.place)
        if read is None:
            left.append(d.about)
        elif verdicts.slope(d, read.value, field.units).state == "out":
            left.append(say("{what} too flat").format(what=d.about))
    words = say("Slopes of the longer drains measured, none too flat")
    return Need(words, len(asked) - len(left), len(asked), tuple(left), "slopes")


def _tests(field: Field, kept: tuple[Record, ...], say: Say) -> Need:
    left = []
    for f in field.fillings:
        read = verdicts.last(kept, Kind.TEST, f.place)
        if read is None:
            left.append(say("section {letter}").format(letter=f.letter))
        elif verdicts.test(f, read.value, field.units).state != "within":
            left.append(say("section {letter} not held").format(letter=f.letter))
    return Need(
        say("Every section held its test"), len(field.fillings) - len(left), len(field.fillings), tuple(left), "tests"
    )


def _photos(field: Field, kept: tuple[Record, ...], say: Say) -> Need:
    shown = {r.wall for r in kept if r.kind is Kind.PHOTO and not r.place}  # one of a mark shows no wall
    asked = [side.id for side in field.walls if side.covered]
    left = tuple(one for one in asked if one not in shown)
    return Need(say("A photo of every wall, open"), len(asked) - len(left), len(asked), left, "photos")


def moved(field: Field, records: Iterable[Record]) -> tuple[Record, ...]:
    """Return the records about something that is not there, or not in that place, by the plan as it is now."""
    places = {t.place for t in field.tasks} | {OUT + t.place for t in field.tasks}
    places |= {m.place for side in field.walls for m in side.marks}
    places |= {d.place for d in field.drains} | {f.place for f in field.fillings}
    kinds = (Kind.TICK, Kind.HEIGHT, Kind.SLOPE, Kind.TEST)
    return tuple(r for r in records if r.kind in kinds and r.place not in places)
