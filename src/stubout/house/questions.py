"""Open questions: those the job file asks, and those it leaves open without saying so."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import replace

from stubout import units
from stubout.house.facts import Answered
from stubout.house.in_place import assumed_size_in
from stubout.house.lookup import natural
from stubout.job.model import Job, QuestionSaid
from stubout.kinds import FixtureKind
from stubout.problems import AskInspector, NotInBook, Question
from stubout.rulebooks import queries
from stubout.rulebooks.model import RuleBook

FLUSH = ("closets", "flush")


class Asked:
    """The questions met while a house is resolved.

    A question of the job file that is `about` both the thing and the topic (`about: SH3, heads`) stands for ours, until
    it is answered: then the answer is in the file, or it is asked again.
    """

    def __init__(self, people: Mapping[str, str], said: Sequence[QuestionSaid], unit: units.Units = "mm") -> None:
        self.people = people
        self.unit: units.Units = unit  # of the job
        self.said = tuple(
            Question(q.id, q.text, people.get(q.ask, q.ask), q.blocks, q.assumed, q.about, q.line)
            for q in said
            if not q.answer.strip()
        )
        self.own: dict[str, Question] = {}

    def ask(
        self, key: str, text: str, owner: str, *, blocks: str, assumed: str, about: tuple[str, ...], line: int = 0
    ) -> None:
        """Ask once; `owner` is a trade in words, matched against the people of the job."""
        if not any(set(about) <= set(q.about) for q in self.said):
            name = f"ask-{key}".replace(" ", "-")
            self.own[name] = Question(name, text, who(self.people.values(), owner), blocks, assumed, about, line)

    def long(self, mm: float) -> str:
        """Return a length as the job writes lengths."""
        return units.both(mm, self.unit)

    def all(self) -> tuple[Question, ...]:
        """Return the questions of the file first, then our own, each in a fixed order."""
        said = sorted(self.said, key=lambda q: natural(q.id))
        return (*said, *sorted(self.own.values(), key=lambda q: natural(q.id)))


def answers(job: Job) -> tuple[Answered, ...]:
    """Return the questions of the file that are answered, in a fixed order."""
    people = job.job.people
    found = (
        Answered(
            q.id, q.text, people.get(q.ask, q.ask), q.answer.strip(), q.answered_by.strip(), q.date.strip(), q.about,
            q.line,
        )
        for q in job.questions
        if q.answer.strip()
    )  # fmt: skip
    return tuple(sorted(found, key=lambda a: natural(a.id)))


def needed(questions: Iterable[Question], book: RuleBook) -> tuple[Question, ...]:
    """Return the questions less those whose answer changes nothing under the adopted book."""
    flush = _counts_by_flush(book)
    return tuple(q for q in questions if flush or q.line or q.about != FLUSH)


def _counts_by_flush(book: RuleBook) -> bool:
    """Return whether the book loads a closet, alone or in a bathroom, by the water of a flush; so too if in doubt."""
    closet, lavatory = FixtureKind.WATER_CLOSET, FixtureKind.LAVATORY
    rooms = ((closet, lavatory), (closet, lavatory, FixtureKind.BATHTUB), (closet, lavatory, FixtureKind.SHOWER))

    def loads(over: bool) -> list[float | None]:
        rows = [queries.fixture_load(book, closet, gpf_over_1_6=over)]
        return [
            c.number if c is not None else None for c in (*rows, *(queries.group_load(book, r, over) for r in rooms))
        ]

    try:
        return loads(over=False) != loads(over=True)
    except (NotInBook, AskInspector):
        return True


def unrepeated(said: Iterable[Question], others: Sequence[Question]) -> tuple[Question, ...]:
    """Return the questions of the job and those of a later stage, each put once.

    A question that names thing and topic (`about: KS, aav`) stands for every later one about the same; what that one
    assumed meanwhile is told with it. A later question that names no topic is never taken for a repetition.
    """
    first = list(said)
    left = []
    for q in others:
        at = next((i for i, s in enumerate(first) if len(q.about) > 1 and set(q.about) <= set(s.about)), None)
        if at is None:
            left.append(q)
        else:
            first[at] = replace(first[at], assumed=first[at].assumed or q.assumed)
    return (*first, *left)


def who(people: Iterable[str], trade: str) -> str:
    """Return the person of the job who is of a trade, the trade itself if none is named."""
    return next((p for p in sorted(people) if trade in p.lower()), trade)


def ask_job(job: Job, asked: Asked) -> None:
    """Ask what the job as a whole leaves open: climate, test, sewer, flush volume, floor frames, roof."""
    carried = {f.carries for f in job.frames}
    for level in job.levels:
        if level.floor == "frame" and level.id not in carried:
            asked.ask(
                f"frame-{level.id}", f"{level.title or level.id}: how do the floor joists run, and where?", "builder",
                blocks="every pipe through or below this floor", assumed="nothing", about=(level.id, "frame"),
                line=level.line,
            )  # fmt: skip
    _ask_climate(job, asked)
    _ask_test(job, asked)
    _ask_sewer(job, asked)
    _ask_in_place(job, asked)
    unsaid = [f.tag for f in job.fixtures if f.kind == "water closet" and f.gpf is None and f.flush == "tank"]
    if unsaid:
        tags = ", ".join(sorted(unsaid, key=natural))
        asked.ask(
            "gpf", f"{tags}: how much water a flush?", "owner", blocks="closet load, where the rule book asks for it",
            assumed="1.6 gal (6 L) or less", about=FLUSH,
        )  # fmt: skip
    if not job.roof:
        asked.ask(
            "roof", "How high is the roof over the vents, and where may it be pierced?", "builder",
            blocks="vent terminals", assumed="nothing", about=("roof",),
        )  # fmt: skip


def _ask_climate(job: Job, asked: Asked) -> None:
    c = job.climate
    if c.frost_prone_vents is None and c.winter_design is None:
        asked.ask(
            "frost", "How cold is the winter design temperature; do vent terminals frost shut here?", "inspector",
            blocks="size of vents through the roof", assumed="frost-prone", about=("climate", "frost"),
        )  # fmt: skip
    if c.snow is None:
        asked.ask(
            "snow", "How deep does snow lie on the roof?", "inspector", blocks="height of vent terminals",
            assumed="no snow", about=("climate", "snow"),
        )  # fmt: skip


def _ask_test(job: Job, asked: Asked) -> None:
    test = job.job.test
    if test.method == "unknown":
        asked.ask(
            "test-method", "Which test does the authority want: water or air?", "inspector", blocks="test plan",
            assumed="water", about=("test", "method"),
        )  # fmt: skip
    if test.method != "air" and test.head is None:
        asked.ask(
            "test-head", "Which head of water does the authority want?", "inspector", blocks="test plan",
            assumed="the rule book's head", about=("test", "head"),
        )  # fmt: skip


def _ask_sewer(job: Job, asked: Asked) -> None:
    s = job.sewer
    if not s.confirmed:
        off = f" It may be off by {asked.long(s.may_be_off_by)}." if s.may_be_off_by else ""
        asked.ask(
            "sewer", f"The invert of the {s.what} is not confirmed.{off} How deep is it?", "builder",
            blocks="levels of the building drain", assumed="the invert as given", about=("sewer", "invert"),
        )  # fmt: skip


def _ask_in_place(job: Job, asked: Asked) -> None:
    """Ask for the size of every installed pipe of which the file does not tell it."""
    for r in job.routes:
        if not r.installed or r.size is not None:
            continue
        size = assumed_size_in(job, r)
        if size is not None:
            assumed = f"{units.size(size)} in, as the largest that it joins"
        else:
            assumed = "the size of its trap" if r.fixture else "the least that the rule book lets it have"
        asked.ask(
            f"size-{r.id}", f"What size is the installed pipe {r.id}? Measure it where it is in sight.", "plumber",
            blocks=f"what may join {r.id}, and the fittings for it", assumed=assumed, about=(r.id, "size"), line=r.line,
        )  # fmt: skip
