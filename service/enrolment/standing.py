"""How a household stands by its rows, for what it still lacks."""

from collections.abc import Sequence

from service.agronomy.regimes import Regime, store_reason
from service.confirmations.outcomes import Desk
from service.enrolment.missing import Missing, Standing, missing
from service.records.household_list import (
    NO_GROUNDS,
    Grounds,
    HouseholdLine,
    grounds_of_households,
    phones_of_households,
)
from service.records.household_page import household_by_id
from service.records.people import AssociationRow, Consent, HouseholdRow
from service.records.phones import PhoneBundle
from service.records.plantings import association


def missing_of(desk: Desk, household_id: int) -> tuple[Missing, ...]:
    """Return what a household still lacks, in the order in which to ask for it."""
    session, tenant = desk.session, desk.association_id
    phones = phones_of_households(session, tenant, [household_id])
    grounds = grounds_of_households(session, tenant, [household_id])
    return missing(
        standing_of(
            household_by_id(session, tenant, household_id),
            association(session, tenant),
            phones=phones.get(household_id, []),
            grounds=grounds.get(household_id, NO_GROUNDS),
        )
    )


def standing_of(
    line: HouseholdLine,
    row: AssociationRow,
    *,
    phones: Sequence[PhoneBundle],
    grounds: Grounds,
) -> Standing:
    """Return how a household of the association stands, from what was looked up of it."""
    household = line.household
    store_c = row.store_c if line.area.store_c is None else line.area.store_c
    return Standing(
        needs_call=household.needs_call,
        phones=len(phones),
        asked=any(_asked(household, phone) for phone in phones),
        texted=any(household.id in phone.consenting() for phone in phones),
        stopped=all(phone.stopped() for phone in phones),
        plots=grounds.plots,
        without_letter=grounds.without_letter,
        plantings=grounds.plantings,
        containers=grounds.containers,
        eaters_said=household.adults + household.children > 0
        or household.regime is not Regime.SOLD_ANY,
        cold_store=_cold_store(household, store_c, grounds),
    )


def _asked(household: HouseholdRow, phone: PhoneBundle) -> bool:
    return any(
        event.kind is Consent.VERBAL and event.household_id in (None, household.id)
        for event in phone.consents
    )


def _cold_store(household: HouseholdRow, store_c: float | None, grounds: Grounds) -> bool:
    usual = grounds.containers - grounds.longer_rest
    return any(
        count > 0
        and store_reason(household.regime, store_c=store_c, longer_rest=longer) is not None
        for count, longer in ((usual, False), (grounds.longer_rest, True))
    )
