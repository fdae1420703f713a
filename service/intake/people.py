"""Rows of the association, its areas, households, phones and consents as checked values."""

import zoneinfo
from dataclasses import dataclass

from service.agronomy.regimes import Regime
from service.intake.cells import Cells
from service.intake.entries import (
    AreaEntry,
    AssociationEntry,
    ConsentEntry,
    HouseholdEntry,
    PhoneEntry,
)
from service.intake.rules import Rules
from service.messages.phone import PhoneRefusedError, parse_phone
from service.messages.words import check_word
from service.records.limits import LIMITS

BETWEEN_CODES = ";"
WEEKDAYS = ("monday", "tuesday", "wednesday", "thursday", "friday", "saturday", "sunday")


@dataclass(frozen=True, slots=True, kw_only=True)
class PeopleReader:
    """Reads rows by the rules; `region` is the country in which a local number is dialled."""

    rules: Rules
    region: str

    def household(self, cells: Cells) -> HouseholdEntry:
        """Return a row of households.csv."""
        adults, children = cells.whole("adults"), cells.whole("children")
        if not cells.broken and adults + children == 0:
            cells.refuse("adults", "Nobody lives here; give the number of adults.")
        word = cells.raw("word")
        return HouseholdEntry(
            row=cells.row.number,
            code=cells.code("code"),
            area=cells.code("area"),
            alias=cells.text("alias", "alias"),
            label=cells.sms_text("label", "label"),
            adults=adults,
            children=children,
            # who eats it is not known: the longest rest is the safe one
            regime=cells.choice("eats", Regime, blank=Regime.SOLD_ANY),
            language=cells.one_of("language", self.rules.languages),
            word=cells.checked("word", word, self._word) if word else None,
            discreet=cells.yes("discreet"),
            remind_minute=cells.minute(
                "remind_at",
                earliest=LIMITS.remind_from,
                latest=LIMITS.remind_to,
                blank=LIMITS.remind_blank,
            ),
            needs_call=cells.yes("needs_call"),
            cup_ml=cells.whole("cup_ml"),
            avoid_weekday=_weekday(cells),
            collected_share=cells.number("collected_share") / 100,
            bottle_ml=cells.whole("bottle_ml") if cells.raw("bottle_ml") else None,
            told=cells.row.told,
        )

    def phone(self, cells: Cells) -> PhoneEntry:
        """Return a row of phones.csv."""
        listed = cells.filled("households")
        served = tuple(code.strip() for code in listed.split(BETWEEN_CODES) if code.strip())
        if listed and not served:
            cells.refuse("households", "No household is named; write its code.")
        if len(set(served)) < len(served):
            cells.refuse("households", "One household stands twice; keep it once.")
        typed = cells.dialled("number")
        return PhoneEntry(
            row=cells.row.number,
            number=self._number(cells, "number", typed),
            typed=typed,
            households=served,
            language=cells.one_of("language", self.rules.languages),
        )

    def consent(self, cells: Cells) -> ConsentEntry:
        """Return a row of consents.csv."""
        asked_on = cells.day("asked_on")
        if asked_on > self.rules.today:
            cells.refuse("asked_on", "This day has not come yet; give the day of the asking.")
        return ConsentEntry(
            row=cells.row.number,
            number=self._number(cells, "number", cells.dialled("number")),
            household=cells.code("household") if cells.raw("household") else None,
            asked_on=asked_on,
            asked_by=cells.text("asked_by", "asked_by"),
            wording=cells.text("wording", "wording"),
        )

    def association(self, cells: Cells) -> AssociationEntry:
        """Return the row of association.csv."""
        zone = cells.filled("zone")
        if zone and zone not in zoneinfo.available_timezones():
            cells.refuse("zone", "No such time zone; write it as Africa/Dar_es_Salaam.")
        return AssociationEntry(
            row=cells.row.number,
            code=cells.code("code"),
            name=cells.sms_text("name", "name"),
            zone=zone,
            country=cells.one_of("country", self.rules.allowed_countries),
            language=cells.one_of("language", self.rules.languages),
            phone=self._number(cells, "phone", cells.dialled("phone")),
            cost=cells.sms_text("cost", "cost"),
            store_c=cells.number_or_blank("store_c"),
        )

    def _number(self, cells: Cells, column: str, typed: str) -> str:
        if not typed:
            return ""
        number = cells.checked(column, typed, self._parsed)
        if number and self._lost_its_zero(typed, number):
            cells.refuse(
                column,
                "The zero in front is lost, as spreadsheets do; format the column as text and type "
                "the whole number.",
            )
        return number

    def _lost_its_zero(self, typed: str, number: str) -> bool:
        if not typed.isdecimal() or number == f"+{typed}" or typed.startswith("0"):
            return False
        try:
            return self._parsed(f"0{typed}") == number
        except PhoneRefusedError:
            return False

    def _parsed(self, typed: str) -> str:
        return parse_phone(
            typed,
            region=self.region,
            allowed_countries=self.rules.allowed_countries,
            test_numbers=self.rules.test_numbers,
        )

    def _word(self, word: str) -> str:
        return check_word(word, self.rules.words)


def read_area(cells: Cells) -> AreaEntry:
    """Return a row of areas.csv."""
    return AreaEntry(
        row=cells.row.number,
        code=cells.code("code"),
        name=cells.text("name", "area_name"),
        store_c=cells.number_or_blank("store_c"),
        told=cells.row.told,
    )


def _weekday(cells: Cells) -> int | None:
    if not cells.raw("avoid_weekday"):
        return None
    name = cells.one_of("avoid_weekday", WEEKDAYS)
    return WEEKDAYS.index(name) if name in WEEKDAYS else None
