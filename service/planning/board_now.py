"""The association looked up as it stands, and brought up to the day."""

from collections import defaultdict
from collections.abc import Collection, Mapping
from dataclasses import dataclass
from datetime import date, datetime
from typing import TypeVar

from service.agronomy.calendar import add_days
from service.agronomy.season import plan_season
from service.outbox.lookups import evenings_used, told_of_doses
from service.planning.allotting import HouseholdStock, Planned, household_stock
from service.planning.board import Board, by_household, phones_by_household
from service.planning.cans import cans_by_household
from service.planning.crop_notices import NOTICE_KEPT_DAYS
from service.planning.refresh import is_stale, refresh_households
from service.planning.season_facts import season_facts
from service.planning.send_window import local_day, zone_of
from service.planning.stock import Can
from service.records.engine import Session
from service.records.inbox import reading_list
from service.records.phones import phones
from service.records.plantings import association, open_plantings, plantings_ended

MOST_BY_NAME = 500  # a query names no more households than every database takes
_Found = TypeVar("_Found")


@dataclass(frozen=True, slots=True, kw_only=True)
class Ground:
    """What grows in an association, what is in its cans, and what they give, by household."""

    growing: Mapping[int, tuple[Planned, ...]]
    cans: Mapping[int, tuple[Can, ...]]
    stock: Mapping[int, HouseholdStock]


def roll(
    session: Session,
    association_id: int,
    households: Collection[int] | None = None,
    *,
    now: datetime,
) -> Ground:
    """Close the windows that have passed, give near doses what there is; return what holds then."""
    row = association(session, association_id)
    today = local_day(now, zone_of(row.zone))
    ground = _ground(session, association_id, today=today, households=households)
    stale = {
        household_id
        for household_id, own in ground.growing.items()
        if any(is_stale(planned, ground.stock[household_id], today=today) for planned in own)
    }
    if not stale:
        return ground
    refresh_households(session, association_id, stale, today=today, now=now)
    if len(stale) > MOST_BY_NAME:
        return _ground(session, association_id, today=today, households=households)
    anew = _ground(session, association_id, today=today, households=stale)
    return Ground(
        growing=_renewed(ground.growing, anew.growing, stale),
        cans=_renewed(ground.cans, anew.cans, stale),
        stock=_renewed(ground.stock, anew.stock, stale),
    )


def _renewed(
    before: Mapping[int, _Found], anew: Mapping[int, _Found], households: Collection[int]
) -> dict[int, _Found]:
    # in the order of before; what has nothing any more goes
    return {
        household_id: found
        for household_id, found in {**before, **anew}.items()
        if household_id in anew or household_id not in households
    }


def _ground(
    session: Session,
    association_id: int,
    *,
    today: date,
    households: Collection[int] | None = None,
) -> Ground:
    growing = by_household(
        Planned(bundle=bundle, plan=plan_season(season_facts(bundle)))
        for bundle in open_plantings(session, association_id, households=households)
    )
    cans = cans_by_household(session, association_id, today=today, households=households)
    return Ground(
        growing={household_id: tuple(own) for household_id, own in growing.items()},
        cans=cans,
        stock={
            household_id: household_stock(own, cans.get(household_id, ()), today=today)
            for household_id, own in growing.items()
        },
    )


def board_now(session: Session, association_id: int, *, now: datetime) -> Board:
    """Return the whole association as it stands today."""
    today = local_day(now, zone_of(association(session, association_id).zone))
    return board_on(session, association_id, _ground(session, association_id, today=today), now=now)


def board_on(
    session: Session,
    association_id: int,
    ground: Ground,
    households: Collection[int] | None = None,
    *,
    now: datetime,
) -> Board:
    """Return these households, or the whole association, over what was looked up of the ground."""
    row = association(session, association_id)
    today = local_day(now, zone_of(row.zone))
    waiting: dict[int, str] = defaultdict(str)
    paused: set[int] = set()
    for text in reading_list(session, association_id):
        if text.phone_id is not None:
            waiting[text.phone_id] += text.plots
            if text.pauses:
                paused.add(text.phone_id)
    known = tuple(phones(session, association_id, households=households))
    ids = [phone.phone.id for phone in known]
    doses = [
        dose.id
        for own in ground.growing.values()
        for planned in own
        for dose in planned.bundle.doses
    ]
    return Board(
        today=today,
        phones=known,
        texted_on=phones_by_household(known),
        growing=ground.growing,
        ended=tuple(
            plantings_ended(
                session,
                association_id,
                since=add_days(today, 1 - NOTICE_KEPT_DAYS),
                households=households,
            )
        ),
        cans=ground.cans,
        stock=ground.stock,
        told=told_of_doses(session, association_id, doses=doses),
        used=frozenset(evenings_used(session, association_id, phones=ids, since=today)),
        waiting=waiting,
        paused=frozenset(paused),
    )
