"""What to say in a call, in the grower's language: the very text that was to be sent."""

from collections.abc import Mapping, Sequence
from datetime import date, datetime

from service.agronomy.calendar import add_days
from service.agronomy.season import plan_season
from service.confirmations.calls import TOLD_KINDS, message_of
from service.messages.catalogue import Catalogue
from service.messages.render import Rendered, render
from service.planning.allotting import Planned, household_stock
from service.planning.board import Board
from service.planning.cans import cans_by_household
from service.planning.drafts import draft_of, reader_of
from service.planning.gather import job_of
from service.planning.planner import PhoneFacts, PlannedText, plan_evening
from service.planning.season_facts import season_facts
from service.planning.stock import Can
from service.records.engine import Session
from service.records.fields import DoseRow
from service.records.people import AssociationRow, HouseholdRow, PhoneRow
from service.records.phones import PhoneBundle
from service.records.plantings import open_plantings, planting_bundle
from service.records.task_lines import TaskLine, message_of_task
from service.records.traffic import TaskKind

NO_ROUTE = 0  # it is spoken, so no gateway carries it


def script_of(  # noqa: PLR0913 -- the session, the tenant and the time come with every question
    session: Session,
    row: AssociationRow,
    line: TaskLine,
    *,
    catalogue: Catalogue,
    now: datetime,
    today: date,
) -> Rendered | None:
    """Return the text to say, or None where the catalogue has none for this task."""
    if line.task.kind is TaskKind.UNKNOWN:
        sent = message_of_task(session, row.id, message_of(line.task))
        if sent is None or sent.body is None:
            return None
        return Rendered(text=sent.body, language=sent.language)
    if line.planting is None or line.household is None:
        return None
    text = _text(session, row, line, line.planting.id, today=today)
    if text is None:
        return None
    draft = draft_of(text, _spoken_to(line.household), row, NO_ROUTE, now=now)
    values = draft.fields["values"]
    if not isinstance(values, Mapping):
        raise TypeError("a draft's values are a mapping")
    reader = reader_of(draft.language, row.language, fields=draft.fields)
    return render(catalogue, draft.kind, values, reader=reader)


def _text(
    session: Session, row: AssociationRow, line: TaskLine, planting_id: int, *, today: date
) -> PlannedText | None:
    if line.task.kind is TaskKind.EMERGENCE:
        return _question(line, today)
    if line.dose is None or line.task.kind not in (*TOLD_KINDS, TaskKind.SILENT):
        return None
    bundle = planting_bundle(session, row.id, planting_id)
    home = bundle.household.id
    cans = cans_by_household(session, row.id, today=today, households=(home,)).get(home, ())
    own = [
        Planned(bundle=item, plan=plan_season(season_facts(item)))
        for item in open_plantings(session, row.id, households=(home,))
    ]
    planned = Planned(bundle=bundle, plan=plan_season(season_facts(bundle)))
    return _dose_text(line.task.kind, _board(planned, own, cans, today), line.dose)


def _question(line: TaskLine, today: date) -> PlannedText | None:
    if line.plot is None or line.planting is None or not line.letter:
        return None
    fields = {"plot": line.letter, "crop": line.planting.crop}
    return PlannedText(kind="emerge_q", key="", evening=today, fields=fields)


def _dose_text(kind: TaskKind, board: Board, dose: DoseRow) -> PlannedText | None:
    job = job_of(board, board.plantings[0], dose)
    if job is None:
        return None
    facts = PhoneFacts(phone_id=0, used=frozenset(), jobs=(job,), notices=())
    days = (add_days(dose.due_on, -1), add_days(dose.due_on, 1))  # of the reminder, of the repeat
    for evening in reversed(days) if kind is TaskKind.SILENT else days[:1]:
        text = plan_evening(facts, evening, said=frozenset(), fits=len)
        if text is not None:
            return text
    return None


def _board(planned: Planned, own: Sequence[Planned], cans: tuple[Can, ...], today: date) -> Board:
    """Return the one planting as planning sees it, with nothing told and nobody's phone."""
    home = planned.bundle.household.id
    return Board(
        today=today,
        phones=(),
        texted_on={},
        growing={home: (planned,)},
        ended=(),
        cans={home: cans},
        stock={home: household_stock(own, cans, today=today)},
        told={},
        used=frozenset(),
        waiting={},
        paused=frozenset(),
    )


def _spoken_to(household: HouseholdRow) -> PhoneBundle:
    """Return a household as the only reader of a phone, since it is spoken to alone."""
    phone = PhoneRow(number="", typed="", language=household.language)
    return PhoneBundle(phone=phone, households=(household,), consents=())
