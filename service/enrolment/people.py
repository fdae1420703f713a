"""A household: what may be entered of it, and its row."""

from collections.abc import Mapping
from dataclasses import dataclass
from datetime import time

from gateway_adapters.gsm7 import is_gsm7, septet_count
from service.agronomy.regimes import Regime
from service.confirmations.outcomes import Desk
from service.enrolment.book import write_down
from service.enrolment.entries import HouseholdEntry
from service.enrolment.faults import Fault, FaultCode
from service.enrolment.ranges import line_fault, range_fault
from service.enrolment.rules import Rules
from service.enrolment.signs import label_for, next_code
from service.messages.words import WordRefusedError
from service.records.enrolment import aliases_by_code, find_area, neighbours, sign_rows
from service.records.intake import add
from service.records.limits import CODE, LIMITS
from service.records.people import AssociationRow, HouseholdRow

Values = Mapping[str, object]
DAYS_OF_A_WEEK = 7
PLANNED_BY = frozenset(
    {"area_id", "regime", "adults", "children", "collected_share", "avoid_weekday"}
)
"""The columns of a household that its plans follow from."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Register:
    """What a household is held against: its association, and its row where it has one."""

    association: AssociationRow
    rules: Rules
    row: HouseholdRow | None = None


def check_household(
    desk: Desk, entry: HouseholdEntry, register: Register
) -> Values | tuple[Fault, ...]:
    """Return the values of a household's row, or all that is wrong with the entry."""
    word, word_fault = _word(entry.word, register.rules)
    alias = entry.alias.strip()
    faults = (
        line_fault("alias", entry.alias, limit="alias"),
        _area_fault(desk, entry.area_id),
        _code_fault(desk, entry.code.strip(), register.row),
        _label_fault(desk, entry.label.strip(), register.row),
        range_fault("adults", entry.adults),
        range_fault("children", entry.children),
        range_fault("cup_ml", entry.cup_ml),
        range_fault("bottle_ml", entry.bottle_ml),
        range_fault("collected_share", entry.collected_share),
        _weekday_fault(entry.avoid_weekday),
        language_fault("language", entry.language, register.rules),
        word_fault,
        _minute_fault(entry.remind_minute),
    )
    found = tuple(fault for fault in faults if fault is not None)
    if found:
        return found
    code = entry.code.strip() or _code(desk, register.row)
    return {
        "area_id": entry.area_id,
        "code": code,
        "alias": alias,
        "label": entry.label.strip() or _label(alias, code, register.row),
        "adults": entry.adults or 0,
        "children": entry.children or 0,
        # who eats it is not known: the longest rest is the safe one
        "regime": entry.eats or Regime.SOLD_ANY,
        "language": entry.language or register.association.language,
        "word": word,
        "discreet": entry.discreet,
        "remind_minute": _minute(LIMITS.remind_blank)
        if entry.remind_minute is None
        else entry.remind_minute,
        "needs_call": entry.needs_call,
        "cup_ml": _cup_ml(entry.cup_ml, register.row),
        "bottle_ml": entry.bottle_ml,
        "collected_share": 1.0 if entry.collected_share is None else entry.collected_share / 100,
        "avoid_weekday": entry.avoid_weekday,
    }


def save_household(desk: Desk, values: Values) -> HouseholdRow:
    """Add a household and return its row."""
    row = HouseholdRow(association_id=desk.association_id, recorded_at=desk.now, **values)
    add(desk.session, row)
    write_down(desk, "enrolled", "household", row.id)
    return row


def settle_household(desk: Desk, row: HouseholdRow, values: Values) -> tuple[str, ...]:
    """Give a household its values and return the names of the columns that changed."""
    columns = tuple(name for name, value in values.items() if getattr(row, name) != value)
    for name in columns:
        setattr(row, name, values[name])
    if columns:
        write_down(desk, "changed", "household", row.id, columns=columns)
        desk.session.flush()
    return columns


def language_fault(field: str, language: str | None, rules: Rules) -> Fault | None:
    """Return why a language cannot be chosen: it has no texts."""
    if language is None or language in rules.catalogue.languages:
        return None
    return Fault(field=field, code=FaultCode.LANGUAGE)


def _area_fault(desk: Desk, area_id: int) -> Fault | None:
    if find_area(desk.session, desk.association_id, area_id) is not None:
        return None
    return Fault(field="area_id", code=FaultCode.NO_SUCH_AREA)


def _code_fault(desk: Desk, code: str, row: HouseholdRow | None) -> Fault | None:
    if not code or (row is not None and row.code == code):
        return None
    most = LIMITS.characters["code"]
    if len(code) > most:
        return Fault(field="code", code=FaultCode.TOO_LONG, values={"most": most})
    if not CODE.fullmatch(code):
        return Fault(field="code", code=FaultCode.CODE_LETTERS)
    alias = aliases_by_code(desk.session, desk.association_id).get(code)
    if alias is None:
        return None
    return Fault(field="code", code=FaultCode.CODE_TAKEN, values={"alias": alias})


def _code(desk: Desk, row: HouseholdRow | None) -> str:
    if row is not None:
        return row.code
    return next_code(aliases_by_code(desk.session, desk.association_id).keys())


def _cup_ml(told: int | None, row: HouseholdRow | None) -> int:
    if told is None and row is not None:
        return row.cup_ml  # the form does not ask for the cup, so it must not lose it
    return int(told or LIMITS.numbers["cup_ml"].blank or 0)


def _weekday_fault(weekday: int | None) -> Fault | None:
    if weekday is None or 0 <= weekday < DAYS_OF_A_WEEK:
        return None
    return Fault(field="avoid_weekday", code=FaultCode.NO_SUCH_KIND)


def _label_fault(desk: Desk, label: str, row: HouseholdRow | None) -> Fault | None:
    if not label:
        return None
    most = LIMITS.characters["label"]
    if not is_gsm7(label) or not label.isprintable():
        return Fault(field="label", code=FaultCode.LABEL_LETTERS)
    if septet_count(label) > most:
        return Fault(field="label", code=FaultCode.LABEL_LONG, values={"most": most})
    # a new household shares no phone yet
    return None if row is None else _label_taken(desk, label, row)


def _label_taken(desk: Desk, label: str, row: HouseholdRow) -> Fault | None:
    near = neighbours(desk.session, desk.association_id, row.id)
    for other in sign_rows(desk.session, desk.association_id, near).households:
        if other.label.casefold() == label.casefold():
            values = {"alias": other.alias}
            return Fault(field="label", code=FaultCode.LABEL_TAKEN, values=values)
    return None


def _label(alias: str, code: str, row: HouseholdRow | None) -> str:
    # printed cards and sent texts name it so: a change of the alias does not change it
    return label_for(alias, code=code, taken=()) if row is None else row.label


def _word(word: str, rules: Rules) -> tuple[str | None, Fault | None]:
    if not word.strip():
        return None, None
    try:
        return rules.catalogue.check_word(word), None
    except WordRefusedError as error:
        return None, Fault(field="word", code=FaultCode(error.code))


def _minute_fault(minute: int | None) -> Fault | None:
    least, most = _minute(LIMITS.remind_from), _minute(LIMITS.remind_to)
    if minute is None or least <= minute <= most:
        return None
    values = {"least": LIMITS.remind_from, "most": LIMITS.remind_to}
    return Fault(field="remind_minute", code=FaultCode.TIME_RANGE, values=values)


def _minute(clock: str) -> int:
    at = time.fromisoformat(clock)
    return at.hour * 60 + at.minute
