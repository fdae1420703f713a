"""Cans: where each stands and when it is ready, and what a coordinator writes down about one."""

from collections.abc import Collection, Iterable
from dataclasses import dataclass
from itertools import groupby

from flask import Blueprint, render_template, request, url_for
from werkzeug.wrappers import Response

from service.agronomy.containers import CanState
from service.agronomy.regimes import Regime, rest_days, rest_rule
from service.planning.cans import cans_by_household
from service.planning.stock import Can
from service.records.containers_page import container_ids, container_line, container_lines
from service.records.engine import Session
from service.records.fields import Source
from service.web.can_news import CHOICES, LABELS, hint_before, told_of, write_down
from service.web.can_words import (
    EATERS,
    LONGER_REST,
    STATES,
    CanView,
    can_views,
    event_words,
    ready_words,
    store_words,
)
from service.web.form import Form
from service.web.here import Here, here
from service.web.paging import SIZE, asked_page, pages_of
from service.web.planting_words import how_had, told_by
from service.web.saving import Done, save_once, staff_desk
from service.web.sentence import Sentence, sentence

page = Blueprint("containers", __name__)

SHOWN = (CanState.READY, CanState.IN_USE, CanState.RESTING, CanState.FILLING)
FILTERS = ((None, sentence("all")), *((state, STATES[state]) for state in SHOWN))
EVENTS_SHOWN = 20


@dataclass(frozen=True, slots=True, kw_only=True)
class EaterLine:
    """When a can would be ready for one kind of eater; `own` is the household's."""

    eats: Sentence
    rest: Sentence
    ready: Sentence
    own: bool


@dataclass(frozen=True, slots=True, kw_only=True)
class EventLine:
    """One thing that happened to a can, and who noted it."""

    words: Sentence
    told: Sentence


@page.get("/containers")
def index() -> str:
    """List the cans by area and household, all or those that stand in one way."""
    asked = here()
    chosen = next((state for state in SHOWN if state == request.args.get("state")), None)
    with asked.reading() as session:
        every = container_ids(session, asked.association_id)
        fitting = every if chosen is None else _standing(session, asked, every, chosen)
        pages = pages_of(len(fitting), asked_page())
        first = (pages.number - 1) * SIZE
        lines = container_lines(session, asked.association_id, fitting[first : first + SIZE])
        views = can_views(lines, _cans(session, asked, {line.household.id for line in lines}))
    return render_template(
        "containers/index.html",
        any=bool(every),
        filters=FILTERS,
        chosen=chosen,
        pages=pages,
        homes=_by_home(views),
        longer_rest=LONGER_REST,
    )


def _by_home(views: Iterable[CanView]) -> list[list[CanView]]:
    return [list(own) for _, own in groupby(views, key=lambda view: view.line.household.id)]


def _standing(session: Session, asked: Here, every: list[int], state: CanState) -> list[int]:
    found = {can.container_id for can in _cans(session, asked, None) if can.state is state}
    return [container_id for container_id in every if container_id in found]


def _cans(session: Session, asked: Here, households: Collection[int] | None) -> list[Can]:
    found = cans_by_household(
        session, asked.association_id, today=asked.today, households=households
    )
    return [can for cans in found.values() for can in cans]


@page.get("/containers/<id:container_id>")
def show(container_id: int) -> str:
    """Show one can: its ready day, why it is that day, and what happened to it."""
    return _show(container_id, Form(locale=here().tongue.locale))


@page.post("/containers/<id:container_id>")
def save(container_id: int) -> Response | tuple[str, int] | str:
    """Write down what happened to a can."""
    form = Form.of(request.form, locale=here().tongue.locale)
    if form.resumed:
        return _show(container_id, form)
    answer = save_once(form, lambda session: _save(session, form, container_id))
    return answer or (_show(container_id, form), 422)


def _show(container_id: int, form: Form) -> str:
    asked = here()
    with asked.reading() as session:
        line = container_line(session, asked.association_id, container_id)
        (view,) = can_views((line,), _cans(session, asked, (line.household.id,)))
    return render_template(
        "containers/show.html",
        view=view,
        rest=rest_rule(line.household.regime, longer_rest=view.longer_rest),
        store=store_words(view),
        eaters=_eaters(view),
        events=_events(view, asked),
        longer_rest=LONGER_REST,
        how_had=how_had,
        form=form,
        labels=LABELS,
        choices=[(kind.value, asked.tongue.say(words)) for kind, words in CHOICES.items()],
        hint=hint_before(view, asked.today),
    )


def _eaters(view: CanView) -> list[EaterLine]:
    sealed_on = view.can.sealed_on
    if sealed_on is None or view.longer_rest:  # a longer rest holds whoever eats the crop
        return []
    return [
        EaterLine(
            eats=EATERS[regime],
            rest=sentence("%(days)s days", days=rest_days(regime)),
            ready=ready_words(regime, sealed_on, view),
            own=regime is view.line.household.regime,
        )
        for regime in Regime
    ]


def _events(view: CanView, asked: Here) -> list[EventLine]:
    return [
        EventLine(
            words=event_words(event.kind, on=event.on),
            told=told_by(
                event.source,
                event.noted_by,
                at=asked.tongue.moment(event.recorded_at, asked.zone),
            ),
        )
        for event in reversed(view.line.bundle.events[-EVENTS_SHOWN:])
    ]


def _save(session: Session, form: Form, container_id: int) -> Done | None:
    asked = here()
    line = container_line(session, asked.association_id, container_id)
    told = told_of(form, asked.today)
    if told is None:
        return None
    (view,) = can_views((line,), _cans(session, asked, (line.household.id,)))
    said = write_down(staff_desk(session, Source.CALL), view, told, form)
    if said is None:
        return None
    return Done(location=url_for("containers.show", container_id=container_id), said=said)
