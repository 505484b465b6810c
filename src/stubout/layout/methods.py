"""Which vent method an island or a sink without a wall may have, by book and by wish."""

from __future__ import annotations

from stubout.house.facts import Wishes
from stubout.house.model import HouseFixture
from stubout.layout.model import VentMethod
from stubout.problems import NotInBook, Question
from stubout.rulebooks import queries as ask
from stubout.rulebooks.model import RuleBook


def island_method(
    book: RuleBook, wishes: Wishes, f: HouseFixture, why_no_wall: str
) -> tuple[VentMethod | None, str, Question | None]:
    """Return the method, why there is none, and the question to put where permission is open."""
    unwanted = set(wishes.methods_not_wanted)
    loop = "no" if VentMethod.LOOP.value in unwanted else _allowed(book, "loop")
    valve = "no" if VentMethod.AAV.value in unwanted else _allowed(book, "aav")
    reason = f" (no wall takes its vent: {why_no_wall})" if why_no_wall else ""
    if f.in_island and loop == "yes":
        return VentMethod.LOOP, "", None
    if wishes.aav == "yes" and valve != "no":
        return VentMethod.AAV, "", _question(f, valve, reason) if valve == "ask" else None
    if wishes.aav in ("ask", "last resort") and valve != "no":
        return VentMethod.AAV, "", _question(f, valve, reason)
    if loop in ("yes", "ask"):
        q = (
            None
            if loop == "yes"
            else Question(
                f"Q-{f.tag}-loop",
                f"Is an under-counter loop vent accepted for {f.tag}{reason}?",
                "inspector",
                "rough-in of the drain and vent of " + f.tag,
                "an island loop vent",
                (f.tag, "loop"),
                f.line,
            )
        )
        return VentMethod.LOOP, "", q
    return None, f"{f.tag}: no vent method is left{reason}", None


def _question(f: HouseFixture, valve: str, reason: str) -> Question:
    lead = "The book leaves it to the authority. " if valve == "ask" else ""
    return Question(
        f"Q-{f.tag}-aav",
        f"{lead}Is an air admittance valve accepted for {f.tag}{reason}?",
        "inspector",
        "rough-in of the drain and vent of " + f.tag,
        "an air admittance valve in the cabinet",
        (f.tag, "aav"),
        f.line,
    )


def _allowed(book: RuleBook, what: str) -> str:
    """Return "yes", "no" or "ask" for loop vents or air admittance valves."""
    try:
        cell = ask.aav_rules(book).get("allowed") if what == "aav" else ask.island_rules(book).get("loop_allowed")
    except NotInBook:
        cell = None
    if cell is None:
        return "ask"
    word = str(cell.value).lower()
    return {"true": "yes", "false": "no"}.get(word, word)
