"""Notices and cautions over a whole season of the demo's association, played by its command."""

import re
from collections import Counter, defaultdict
from collections.abc import Iterable
from dataclasses import dataclass
from datetime import date
from pathlib import Path

import pytest

from service.agronomy.calendar import add_days
from service.agronomy.containers import CanEventKind
from service.agronomy.regimes import Regime
from service.cli.demo_season import SEASON_START
from service.demo.setting_up import Place
from service.messages.lifecycle import SENT
from service.records.containers import ContainerBundle, containers
from service.records.fields import DoseState, FactKind
from service.records.people import Consent
from service.records.phones import PhoneBundle, phones
from service.records.plantings import PlantingBundle, all_plantings
from service.records.season_report import all_messages, dose_links
from service.records.traffic import MessageRow
from tests.faults.seasons import played

AGREED_BY = date(2027, 2, 24)  # invitations go on the first day, answers come on the next
REST_DAYS = {  # of a can, by who eats the crop: common practice, SSWM, WHO 2006
    Regime.OWN_HOUSEHOLD: 14,
    Regime.GENERAL: 30,
    Regime.SOLD_PROCESSED: 30,
    Regime.SOLD_ANY: 183,
}
CAUTIONS = {
    "gloves": {"en": "gloves", "sw": "glavu"},
    "soil only": {"en": "not (on )?leaves|off leaves", "sw": "si majani|[Mm]ferejini tu"},
    "cover": {"en": "cover", "sw": "funika"},
    "one month": {"en": "a month before harvest", "sw": "mwezi kabla ya kuvuna"},
    "wash": {"en": "Wash hands", "sw": "Nawa mikono"},
}


@dataclass(frozen=True, kw_only=True)
class Told:
    """What a season left behind: texts that left, who got them, and what they were about."""

    texts: list[MessageRow]
    phones: list[PhoneBundle]
    plantings: list[PlantingBundle]
    cans: list[ContainerBundle]
    doses_of: dict[int, list[int]]  # dose ids by message

    def keys(self, kind: str) -> list[str]:
        """Return what the texts of a kind are about, as their keys say."""
        found = [text.dedupe_key.split("~")[0] for text in self.texts if text.kind == kind]
        return [key.removeprefix(f"{kind}:") for key in found]

    def agreed(self) -> dict[int, PhoneBundle]:
        """Return the phone of each household that was texted from the first days to the end."""
        found: dict[int, PhoneBundle] = {}
        for phone in self.phones:
            said = {event.kind for event in phone.consents}
            if Consent.GIVEN in said and not said & {Consent.STOPPED, Consent.REFUSED}:
                found |= {home.id: phone for home in phone.households if not home.needs_call}
        return found

    def texted(self) -> list[PlantingBundle]:
        """Return the plantings of those households."""
        homes = self.agreed()
        return [item for item in self.plantings if item.household.id in homes]


@dataclass(frozen=True, kw_only=True)
class Played:
    """The demo's season from its first day to its last harvest: its files, and what it said."""

    folder: Path
    output: str


@pytest.fixture(scope="module")
def season(tmp_path_factory: pytest.TempPathFactory) -> Played:
    folder = tmp_path_factory.mktemp("season")
    done = played(folder)
    assert done.returncode == 0, done.stdout[-2000:]
    return Played(folder=folder / "season", output=done.stdout)


@pytest.fixture(scope="module")
def told(season: Played) -> Told:
    """What all its texts were, and about what."""
    services = Place(folder=season.folder).open(start=SEASON_START)
    with services.sessions.read() as session:
        return Told(
            texts=[row for row in all_messages(session, 1) if row.token and row.state in SENT],
            phones=phones(session, 1),
            plantings=all_plantings(session, 1),
            cans=containers(session, 1),
            doses_of={
                message_id: [link.dose_id for link in links]
                for message_id, links in dose_links(session, 1).items()
            },
        )


@pytest.mark.slow
@pytest.mark.long
def test_the_whole_season_ends_with_every_rule_held(season: Played) -> None:
    """O1: played to its last harvest, the season exits 0 with its table."""
    assert "Every rule of the season held." in season.output
    assert "Texts sent" in season.output


@pytest.mark.slow
@pytest.mark.long
def test_no_notice_is_sent_twice(told: Told) -> None:
    """M9: over a season nothing that is said once is said twice."""
    kinds = (
        *("ready", "no_can", "collect", "seal_by", "too_late", "short", "season_opens"),
        *("emerge_q", "to_neat", "to_water", "burn_on", "harvest_ok", "season_result", "consent"),
    )

    sent = {kind: told.keys(kind) for kind in kinds}

    assert all(sent.values()), [kind for kind, keys in sent.items() if not keys]
    twice = {kind: [k for k, n in Counter(keys).items() if n > 1] for kind, keys in sent.items()}
    assert not any(twice.values()), twice


@pytest.mark.slow
def test_each_planting_is_told_of_its_season_and_its_harvest(told: Told) -> None:
    """M9: season opens, harvest safe and season's result, for each planting that it concerns."""
    texted = told.texted()
    harvested = {
        item.planting.id: fact.flag
        for item in texted
        for fact in item.facts
        if fact.kind is FactKind.HARVESTED
    }
    given = {
        item.planting.id
        for item in texted
        if any(dose.state in (DoseState.DONE, DoseState.NOT_KNOWN) for dose in item.doses)
    }
    own = {item.planting.id for item in texted}

    assert _own(told.keys("season_opens"), own) == own
    assert _own(told.keys("season_result"), own) == set(harvested)
    assert (
        _own(told.keys("harvest_ok"), own)
        == {planting_id for planting_id, flag in harvested.items() if flag is None} & given
    )


@pytest.mark.slow
def test_each_can_that_has_rested_is_announced(told: Told) -> None:
    """M9: ready, for each sealing that rested while texts were on and crops stood.

    A can of which a dose is told in the very week need not be announced as well.
    """
    homes = told.agreed()
    open_until: dict[int, date] = defaultdict(lambda: date.min)
    for item in told.plantings:
        ends = item.planting.closed_on or date.max
        open_until[item.household.id] = max(open_until[item.household.id], ends)

    wanted = {
        f"{can.container.id}:{sealed_on}": _is_named(told, homes[home], can, ready_on)
        for can in told.cans
        if (home := can.container.household_id) in homes
        for sealed_on, ready_on in _lasting(can, open_until[home])
    }

    announced = set(told.keys("ready"))
    assert [key for key, named in wanted.items() if key not in announced and not named] == []
    assert len(wanted.keys() & announced) >= 60


@pytest.mark.slow
def test_homes_that_collect_on_are_told_to_start_and_to_seal(told: Told) -> None:
    """M9: collect and seal by, for the homes that fill a can before they sow, or lack litres."""
    code = {item.household.id: item.household.code for item in told.plantings}
    home_of = {str(can.container.id): can.container.household_id for can in told.cans}

    start = {code[int(key.split(":")[0])] for key in told.keys("collect")}
    seal = {code[home_of[key.split(":")[0]]] for key in told.keys("seal_by")}

    assert start == {"H21", "H32", "H37"}
    assert seal == {"H37", "H39"}


@pytest.mark.slow
@pytest.mark.parametrize("caution", CAUTIONS)
def test_each_caution_is_met_before_the_fourth_dose(told: Told, caution: str) -> None:
    """M10: gloves, soil only, cover, one month and wash, in every home's texts before dose 4."""
    dose_of = {dose.id: dose.number for item in told.plantings for dose in item.doses}
    voices: Counter[str] = Counter()
    for home_id, phone in told.agreed().items():
        own = _about(told, home_id)
        fourth = [text.id for text in own if any(n >= 4 for n in _numbers(told, text, dose_of))]
        # the text of the evening before dose 4 is read before it is poured
        before = [text for text in own if not fourth or text.id <= fourth[0]]
        if not any(_numbers(told, text, dose_of) for text in before):
            continue  # never told of a dose
        household = next(home for home in phone.households if home.id == home_id)
        voices["shared" if phone.shared else "discreet" if household.discreet else "plain"] += 1
        said = [
            text.id
            for text in before
            if re.search(CAUTIONS[caution][text.language], text.body or "")
        ]
        assert said, household.code

    assert set(voices) == {"plain", "shared", "discreet"}
    assert voices.total() >= 30


def _own(keys: Iterable[str], plantings: set[int]) -> set[int]:
    return {int(key) for key in keys} & plantings


def _lasting(can: ContainerBundle, open_until: date) -> list[tuple[date, date]]:
    """Return the days of sealing and of readiness of a can that rested in the season."""
    rest = REST_DAYS[Regime.SOLD_ANY] if can.container.longer_rest else REST_DAYS[can.regime]
    fills = [
        event.on
        for event in can.events
        if event.kind in (CanEventKind.SEALED, CanEventKind.REFILLED)
    ]
    ends = [event.on for event in can.events]
    return [
        (on, add_days(on, rest))
        for on in fills
        if AGREED_BY <= add_days(on, rest) <= add_days(open_until, -7)
        and not any(on < later <= add_days(on, rest) for later in ends)
    ]


def _is_named(told: Told, phone: PhoneBundle, can: ContainerBundle, ready_on: date) -> bool:
    """Say whether a dose from a can is told of in the week in which the can became ready."""
    return any(
        can.container.number in (text.fields["values"].get("can") or ())
        for text in told.texts
        if text.phone_id == phone.phone.id
        and text.evening is not None
        and add_days(ready_on, -1) <= text.evening <= add_days(ready_on, 6)
    )


def _about(told: Told, home_id: int) -> list[MessageRow]:
    """Return the texts about a home's own doses and crops, in the order in which they left."""
    own = [item for item in told.plantings if item.household.id == home_id]
    doses = {dose.id for item in own for dose in item.doses}
    opens = {f"season_opens:{item.planting.id}" for item in own}
    return [
        text
        for text in told.texts
        if doses & set(told.doses_of.get(text.id, ())) or text.dedupe_key.split("~")[0] in opens
    ]


def _numbers(told: Told, text: MessageRow, dose_of: dict[int, int]) -> list[int]:
    return [dose_of[dose_id] for dose_id in told.doses_of.get(text.id, ())]
