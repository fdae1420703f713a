"""Phones to walk the menu with, and a walker that answers each report as life would."""

from collections.abc import Callable
from dataclasses import dataclass, field, replace
from datetime import date
from functools import cache

from service.agronomy.calendar import add_days
from service.inbound.reply_codes import Meaning
from service.ussd.facts import Facts, Home, Job, Line, Plot, Report, Shown, Standing
from service.ussd.looking import BACK_DAYS
from service.ussd.menu import begin, said, walk
from service.ussd.state import State
from service.ussd.texts import MenuTexts, Voice, load_menu
from tests.fresh import TEXTS, shipped_texts

TODAY = date(2027, 3, 17)
LONG_ANSWER = "Noted, thank you. " * 8 + "Wash hands."  # 155 letters: a whole text


@cache
def menu_texts() -> MenuTexts:
    """Return the shipped texts of the menu."""
    return load_menu(TEXTS, shipped_texts())


def a_voice(language: str = "en", most: int = 160) -> Voice:
    """Return how screens are written in a language to a route with this room."""
    return Voice(words=menu_texts().first_of(language), most=most)


def a_plot(letter: str = "A", *, crop: str | None = "maize-grain", jobs: int = 1) -> Plot:
    """Return a plot with the last jobs up to today open."""
    return Plot(
        letter=letter,
        crop=crop,
        jobs=tuple(
            Job(number=number, due_on=add_days(TODAY, number - jobs))
            for number in range(1, jobs + 1)
        ),
    )


def a_home(home_id: int = 1, *plots: Plot, label: str = "H01", cans: int = 1) -> Home:
    """Return a household with a plot of maize and a can, unless told otherwise."""
    return Home(
        id=home_id,
        label=label,
        plots=plots or (a_plot(),),
        cans=tuple(range(1, cans + 1)),
    )


def facts_of(*homes: Home, voice: Voice | None = None, shared: bool = False) -> Facts:
    """Return what is known of a phone whose texts are wanted."""
    return Facts(
        standing=Standing.MEMBER,
        group="Test Growers",
        person="+255100000090",
        today=TODAY,
        fits=(voice or a_voice()).fits,
        homes=homes or (a_home(),),
        shared=shared,
        back_days=BACK_DAYS,
    )


STRANGER = replace(facts_of(), standing=Standing.STRANGER, homes=())
OUTSIDE = replace(facts_of(), standing=Standing.OUTSIDE, homes=(), may_start=True)
Answers = Callable[[Report], list[str]]


def one_answer(report: Report) -> list[str]:
    """Answer every report in the same words."""
    del report
    return ["Noted."]


@dataclass(kw_only=True)
class Walk:
    """One session: what is shown, what was shown before each report, and what was reported."""

    facts: Facts
    voice: Voice = field(default_factory=a_voice)
    before: State | None = None
    answers: Answers = one_answer
    state: State = field(init=False)
    shown: Shown = field(init=False)
    reports: list[tuple[str, Report]] = field(default_factory=list)

    def __post_init__(self) -> None:
        self.state = begin(self.facts, before=self.before)
        self.type()

    @property
    def text(self) -> str:
        """Return the screen as it is shown."""
        return self.voice.text(self.shown.lines)

    @property
    def meanings(self) -> list[Meaning]:
        """Return what was reported."""
        return [report.reading.meaning for _, report in self.reports]

    def type(self, *inputs: str) -> "Walk":
        """Take inputs that came at once, none for an empty one."""
        seen = "" if not hasattr(self, "shown") else self.text
        done = walk(self.state, inputs, self.facts)
        if done.report is not None:
            self.reports.append((seen, done.report))
            done = said(done.state, self.answers(done.report), self.facts)
        self.state, self.shown = done.state, done.shown
        return self

    def each(self, inputs: str) -> "Walk":
        """Take the inputs of a string one after the other, each after its screen."""
        for typed in inputs.split():
            self.type(typed)
        return self


def names_of(lines: tuple[Line, ...]) -> list[str]:
    """Return the names of lines, those of choices in place of the numbering."""
    found: list[str] = []
    for line in lines:
        inner = line.fields.get("words")
        found.append(inner.name if line.name == "choice" and isinstance(inner, Line) else line.name)
    return found
