"""The invented coordinator's acts in mid-season, by the same functions that the pages use."""

from collections.abc import Sequence

from service.agronomy.containers import CanEventKind
from service.agronomy.dosing import Season
from service.confirmations.cans import note_can_event
from service.confirmations.crop_turns import (
    confirm_failed,
    confirm_resown,
    given_elsewhere,
    go_on_after_burn,
    put_off,
)
from service.confirmations.ground_news import correct_area, decide_site, tell_site
from service.confirmations.outcomes import Desk, NeedsReading
from service.demo.acts import EVERYWHERE, Act, ActKind
from service.enrolment.faults import Faults
from service.enrolment.local_acts import add_figure
from service.enrolment.localities import add_hold, add_season, withdraw_hold
from service.enrolment.locality_entries import FigureEntry, HoldEntry, SpanEntry
from service.errors import RefusedError
from service.planning.cans import cans_by_household
from service.records.enrolment import areas
from service.records.locality_book import locality_book
from service.records.plantings import PlantingBundle, open_plantings
from service.records.site import Hazard


def do_act(desk: Desk, act: Act) -> None:
    """Do what a row of the table says.

    Raises:
        RefusedError: `season`, where the pages would refuse it as well.
    """
    plantings = open_plantings(desk.session, desk.association_id)
    match _outcome(desk, act, plantings):
        case NeedsReading(hint=hint):
            raise _refused(act, hint)
        case Faults(faults=faults):
            raise _refused(act, ", ".join(f"{fault.field}: {fault.code}" for fault in faults))
        case _:
            return


def _outcome(desk: Desk, act: Act, plantings: Sequence[PlantingBundle]) -> object:
    match act.kind:
        case ActKind.HOLD | ActKind.HOLD_WITHDRAWN | ActKind.SEASON | ActKind.FIGURE:
            return _of_an_area(desk, act)
        case ActKind.AREA | ActKind.SITE_TOLD | ActKind.SITE_DECIDED:
            return _of_a_plot(desk, act, _planting(act, plantings).plot.id)
        case ActKind.LEAKING:
            return _leaking(desk, act, plantings)
        case _:
            return _of_a_crop(desk, act, _planting(act, plantings).planting.id)


def _of_an_area(desk: Desk, act: Act) -> object:
    area_id = _area(desk, act)
    match act.kind:
        case ActKind.HOLD:
            return add_hold(desk, _hold(act, area_id))
        case ActKind.HOLD_WITHDRAWN:
            return _withdrawn(desk, act, area_id)
        case ActKind.SEASON:
            span = SpanEntry(
                area_id=area_id,
                season=Season(act.word("season")),
                first_on=act.day("first_on"),
                last_on=act.day("last_on"),
            )
            return add_season(desk, span)
        case _:
            figure = FigureEntry(
                area_id=area_id,
                crop=act.word("crop"),
                key=act.word("key"),
                value=act.word("value"),
                source=act.word("source"),
            )
            return add_figure(desk, figure)


def _of_a_plot(desk: Desk, act: Act, plot_id: int) -> object:
    match act.kind:
        case ActKind.AREA:
            area_m2, measured = act.amount("area_m2"), act.word("measured")
            return correct_area(desk, plot_id, area_m2=area_m2, measured=measured)
        case ActKind.SITE_TOLD:
            return tell_site(desk, plot_id, (Hazard(act.word("hazard")),))
        case _:
            return decide_site(desk, plot_id, why=act.word("why"))


def _of_a_crop(desk: Desk, act: Act, planting_id: int) -> object:
    match act.kind:
        case ActKind.PUT_OFF:
            return put_off(desk, planting_id, on=act.day("day"))
        case ActKind.RESOWN:
            return confirm_resown(desk, planting_id, on=act.day("day"))
        case ActKind.FAILED:
            return confirm_failed(desk, planting_id, on=act.day("day"))
        case ActKind.ELSEWHERE:
            number, litres = act.count("number"), act.amount("litres")
            return given_elsewhere(desk, planting_id, number, on=act.day("day"), litres=litres)
        case _:
            return go_on_after_burn(desk, planting_id)


def _leaking(desk: Desk, act: Act, plantings: Sequence[PlantingBundle]) -> object:
    code = act.word("household")
    homes = {bundle.household.id for bundle in plantings if bundle.household.code == code}
    found = cans_by_household(
        desk.session, desk.association_id, today=desk.today, households=homes
    ).values()
    can = next((can for cans in found for can in cans if can.number == act.count("can")), None)
    if can is None:
        raise _refused(act, "the household has no such can")
    return note_can_event(desk, can, CanEventKind.LEAKED, on=desk.today)


def _withdrawn(desk: Desk, act: Act, area_id: int | None) -> object:
    holds = locality_book(desk.session, desk.association_id).holds
    days = (area_id, act.day("first_on"), act.day("last_on"))
    found = [hold for hold in holds if (hold.area_id, hold.first_on, hold.last_on) == days]
    if not found:
        raise _refused(act, "no such hold stands")
    return withdraw_hold(desk, found[-1].id)


def _hold(act: Act, area_id: int | None) -> HoldEntry:
    return HoldEntry(area_id=area_id, first_on=act.day("first_on"), last_on=act.day("last_on"))


def _area(desk: Desk, act: Act) -> int | None:
    code = act.word("area")
    if code == EVERYWHERE:
        return None
    for area in areas(desk.session, desk.association_id):
        if area.code == code:
            return area.id
    raise _refused(act, "there is no such area")


def _planting(act: Act, plantings: Sequence[PlantingBundle]) -> PlantingBundle:
    place = (act.word("household"), act.word("plot"))
    for bundle in plantings:
        if (bundle.household.code, bundle.plot.code) == place:
            return bundle
    raise _refused(act, "nothing grows on such a plot")


def _refused(act: Act, why: str) -> RefusedError:
    return RefusedError("season", f"season.toml, act {act.place} ({act.kind}): {why}; correct it.")
