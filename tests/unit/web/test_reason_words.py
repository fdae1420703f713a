"""The words of the reasons on the pages."""

from dataclasses import replace
from datetime import date

import pytest
from hypothesis import given

from service.agronomy.crops import crop
from service.agronomy.explain import explain
from service.agronomy.reasons import About, Reason, RuleId
from service.agronomy.season import SeasonFacts, plan_season
from service.agronomy.tables import Found, Origin
from service.web.entered_figures import EnteredOrigin
from service.web.reason_words import WORDS, Naming, words, words_of
from service.web.source_words import had_words, heads_of, origins_of, together
from tests.properties.season_facts import lived_facts

MAIZE = SeasonFacts(crop=crop("maize-grain"), planted_on=date(2027, 3, 15), area_m2=100)
NAMING = Naming(day=date.isoformat, code="A{}".format, cans={31: 2}, crop="maize", what="mix")
# what only the calculator prints, or another page tells in words of its own
NOT_HERE = {
    About.AREA,
    About.PLANTS,
    About.DOSE_PLANT,
    About.TOTAL_URINE,
    About.TOTAL_WATER,
    About.SPREAD,
    About.NITROGEN,
}
CALCULATOR = {
    RuleId.AREA_TOLD,
    RuleId.AREA_USUAL,
    RuleId.SEASON_ASSUMED,
    RuleId.SPACING,
    RuleId.PLANTS,
    RuleId.PLANT_SHARE,
    RuleId.SUM_URINE,
    RuleId.SUM_WATER,
    RuleId.SPREAD,
    RuleId.NITROGEN_CARRIED,
    RuleId.NITROGEN_BAND,
    RuleId.REGIME_TOLD,
    RuleId.REGIME_ASSUMED,
    RuleId.REST_DAYS,
    RuleId.RESTS,
    RuleId.LONGER_REST,
    RuleId.WARM_STORE,
    RuleId.STORE_UNKNOWN,
    RuleId.COLD_STORE,
    RuleId.CAUTION,
}
HOLD = Reason(
    rule=RuleId.HOLD,
    values={
        "first_on": date(2027, 3, 28),
        "last_on": date(2027, 3, 29),
        "on": date(2027, 3, 30),
    },
    origin=Origin(source="Project choice, no source: a hold", found=Found.MEMORY),
)


def test_every_rule_of_a_planting_has_a_sentence() -> None:
    assert set(WORDS) == set(RuleId) - CALCULATOR


@given(facts=lived_facts())
def test_every_reason_of_a_planting_can_be_said(facts: SeasonFacts) -> None:
    for subject, step in explain(facts, plan_season(facts)).steps():
        if subject.about not in NOT_HERE and step.rule is not RuleId.AREA_TOLD:
            said = words(step, NAMING)
            assert said.text % said.values


def test_values_are_named_as_a_reader_knows_them() -> None:
    drawn = Reason(rule=RuleId.FROM_CAN, values={"can": 31, "litres": 20.0}, origin=HOLD.origin)
    given_last = Reason(
        rule=RuleId.LAST_GIVEN, values={"number": 3, "on": date(2027, 4, 4)}, origin=None
    )
    said = [sentence.text % sentence.values for sentence in words_of((drawn, given_last), NAMING)]

    assert said == ["Can 2 gives 20.0 L.", "The last dose given is A3, on 2027-04-04."]


def test_a_rule_that_no_planting_tells_is_refused() -> None:
    with pytest.raises(KeyError):
        words(replace(HOLD, rule=RuleId.SPACING), NAMING)


def test_a_source_in_short_says_that_there_is_none_in_words() -> None:
    read = replace(HOLD, origin=Origin(source="FAO-56, Table 11, maize", found=Found.PACKAGE))

    none, named = heads_of((HOLD, HOLD, read))

    assert none.words is not None
    assert (named.source, named.words) == ("FAO-56, Table 11, maize", None)


def test_what_was_told_or_only_follows_has_no_source_to_name() -> None:
    told = replace(HOLD, origin=None)
    follows = explain(MAIZE, plan_season(MAIZE)).of(About.CUTOFF)[-1]

    assert origins_of((told, follows, HOLD)) == (HOLD.origin,)


def test_local_figures_of_one_source_name_each_who_entered_it() -> None:
    figures = [
        EnteredOrigin(source="Ward trial", found=Found.LOCAL, noted_by=who)
        for who in ("Asha Test", "Baraka Test", "Asha Test")
    ]

    named = [had_words(origin) for origin in origins_of(replace(HOLD, origin=o) for o in figures)]

    assert [None if said is None else said.values["who"] for said in named] == [
        "Asha Test",
        "Baraka Test",
    ]


def test_sources_that_there_are_none_of_are_told_together() -> None:
    first, read, practice, second = (
        Origin(source="Project choice, no source: turns", found=Found.MEMORY),
        Origin(source="FAO-56: Table 11", found=Found.PACKAGE),
        Origin(source="Common practice, no source: steps", found=Found.MEMORY),
        Origin(source="Project choice, no source: sealed first", found=Found.MEMORY),
    )

    told = together((first, read, replace(read), practice, second))

    assert [origin.source for origin in told] == [
        "Project choice, no source: turns; sealed first",
        "FAO-56: Table 11",
        "FAO-56: Table 11",
        "Common practice, no source: steps",
    ]
