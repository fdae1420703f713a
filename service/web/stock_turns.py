"""Many plots and one store: whose turn each dose has, and what it gets from which can."""

from collections.abc import Callable, Iterable, Mapping
from dataclasses import dataclass
from datetime import date

from service.agronomy.allotment import Ask, turn
from service.agronomy.reasons import Chain, RuleId
from service.agronomy.stock_chain import explain_allotment
from service.agronomy.tables import Origin
from service.planning.allotting import HouseholdStock, Planned
from service.web.reason_words import Naming, words_of
from service.web.sentence import Sentence
from service.web.source_words import origins_of

SHOWN = 5  # doses of the household, the ones whose turn comes first
_SAID = frozenset(
    {RuleId.TOLD_FIRST, RuleId.YOUNGER_FIRST, RuleId.SHORT}
)  # the table's columns say the rest


@dataclass(frozen=True, slots=True, kw_only=True)
class FromCan:
    """Litres from one can; `expected` where it is still to be sealed."""

    number: int
    litres: float
    expected: bool


@dataclass(frozen=True, slots=True, kw_only=True)
class TurnLine:
    """One dose in its turn; `code` is its number alone where its plot has no letter."""

    place: int
    planting_id: int
    number: int
    code: str
    due_on: date
    wanted_l: float
    has_l: float
    short_l: float
    cans: tuple[FromCan, ...]
    why: tuple[Sentence, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class StockTurns:
    """A household's doses in their turns; `more` is how many come after those shown."""

    lines: tuple[TurnLine, ...]
    more: int
    origins: tuple[Origin, ...]


def stock_turns(
    stock: HouseholdStock,
    *,
    letters: Mapping[int, str | None],
    cans: Mapping[int, int],
    day: Callable[[date], str],
) -> StockTurns:
    """Return the turns at a household's containers.

    Args:
        stock: the doses still to come, with what each gets.
        letters: the plot's key letter of each planting, by the planting's id.
        cans: the number of each container, by its id.
        day: writes a day in words.
    """
    asks = sorted(stock.asks, key=turn)
    shown = asks[:SHOWN]
    naming = Naming(day=day, cans=cans)
    chains = [explain_allotment(ask, stock.allotted[ask.dose], asks) for ask in shown]
    return StockTurns(
        lines=tuple(
            _line(place, ask, stock, letters=letters, why=_why(chain, naming), cans=cans)
            for place, (ask, chain) in enumerate(zip(shown, chains, strict=True), start=1)
        ),
        more=len(asks) - len(shown),
        origins=origins_of(step for chain in chains for step in chain),
    )


def letters_of(plantings: Iterable[Planned]) -> dict[int, str | None]:
    """Return the plot's key letter of each planting, by the planting's id."""
    return {planned.bundle.planting.id: planned.bundle.plot.letter for planned in plantings}


def _line(  # noqa: PLR0913 -- one value a question about the dose
    place: int,
    ask: Ask,
    stock: HouseholdStock,
    *,
    letters: Mapping[int, str | None],
    why: tuple[Sentence, ...],
    cans: Mapping[int, int],
) -> TurnLine:
    planting_id, number = ask.dose
    got = stock.allotted[ask.dose]
    return TurnLine(
        place=place,
        planting_id=planting_id,
        number=number,
        code=f"{letters[planting_id] or ''}{number}",
        due_on=ask.due_on,
        wanted_l=ask.litres,
        has_l=got.litres,
        short_l=got.short_litres,
        cans=tuple(
            FromCan(number=cans.get(draw.can, draw.can), litres=draw.litres, expected=draw.forecast)
            for draw in got.draws
        ),
        why=why,
    )


def _why(chain: Chain, naming: Naming) -> tuple[Sentence, ...]:
    return words_of((step for step in chain if step.rule in _SAID), naming)
