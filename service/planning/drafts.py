"""From a planned text to a row for the queue: values, window, language, key."""

from collections.abc import Callable, Mapping, Sequence
from datetime import date, datetime

from service.agronomy.calendar import add_days
from service.messages.catalogue import Catalogue
from service.messages.filling import Wording
from service.messages.kinds import KINDS
from service.messages.render import Reader, digest_fits
from service.outbox.enqueue import DoseLink, Draft
from service.planning.corrections import CORRECTION_KINDS
from service.planning.planner import Job, PlannedText, digest_kind
from service.planning.send_window import daytime, evening, local_day, zone_of
from service.records.people import AssociationRow, HouseholdRow
from service.records.phones import PhoneBundle

AT_ONCE = ("consent", *CORRECTION_KINDS)  # by day at once, at night in the morning


def voice_fields(phone: PhoneBundle, household_id: int | None = None) -> dict[str, object]:
    """Return how a phone is written to: shared or not, discreet or not, the household's word."""
    household = _household(phone, household_id)
    return {
        "shared": phone.shared,
        "discreet": household is not None and household.discreet,
        "what": None if household is None else household.word,
    }


def reader_of(language: str, fallback: str, *, fields: Mapping[str, object]) -> Reader:
    """Return whom a queued text is for, from its row's fields."""
    what = fields.get("what")
    return Reader(
        language=language,
        fallback=fallback,
        wording=Wording(
            shared=fields.get("shared") is True,
            discreet=fields.get("discreet") is True,
            what=what if isinstance(what, str) else None,
        ),
    )


def language_of(phone: PhoneBundle) -> str:
    """Return a phone's language: the household's, or a shared phone's own."""
    if len(phone.households) == 1:
        return phone.households[0].language
    return phone.phone.language


def _household(phone: PhoneBundle, household_id: int | None) -> HouseholdRow | None:
    if household_id is None:
        return phone.households[0] if len(phone.households) == 1 else None
    return next((item for item in phone.households if item.id == household_id), None)


def fits_with(
    catalogue: Catalogue, phone: PhoneBundle, fallback: str, *, day: date
) -> Callable[[Sequence[Job]], int]:
    """Return the question: how many of these jobs can one digest to this phone hold for a day?"""

    def fits(jobs: Sequence[Job]) -> int:
        fields = voice_fields(phone, jobs[0].household_id)
        return digest_fits(
            catalogue,
            _digest_values(jobs, phone, day),
            reader=reader_of(language_of(phone), fallback, fields=fields),
            kind=digest_kind(jobs),
        )

    return fits


def _digest_values(jobs: Sequence[Job], phone: PhoneBundle, day: date) -> dict[str, object]:
    wet = digest_kind(jobs) == "digest"
    return {
        "day": day.isoformat(),
        "jobs": [job_values(job, phone, wet=wet) for job in jobs],
        "can": _common_can(jobs),
    }


def _common_can(jobs: Sequence[Job]) -> list[int] | None:
    cans = {job.cans for job in jobs}
    return can_value(cans.pop()) if len(cans) == 1 else None


def can_value(cans: Sequence[int]) -> list[int] | None:
    """Return the cans that a text names, None where it names none."""
    return list(cans) or None


def job_values(job: Job, phone: PhoneBundle, *, wet: bool) -> dict[str, object]:
    """Return one line of a digest."""
    return {
        "label": job.label if phone.shared else None,
        "code": job.code,
        "urine": job.urine_l,
        "water": job.water_l if wet else None,
        "unsure": job.assumed and job.number > 1,
    }


def draft_of(
    text: PlannedText, phone: PhoneBundle, row: AssociationRow, route_id: int, *, now: datetime
) -> Draft:
    """Return the queue's row for a planned text."""
    zone = zone_of(row.zone)
    if text.kind in AT_ONCE:
        window = daytime(now, zone)
        opens_at = max(window.opens_at, now)
    else:
        minute = min(household.remind_minute for household in phone.households)
        window = evening(text.evening, minute, zone)
        opens_at = window.opens_at
    return Draft(
        route_id=route_id,
        phone_id=phone.phone.id,
        number=phone.phone.number,
        kind=text.kind,
        language=language_of(phone),
        dedupe_key=text.key,
        due_at=opens_at,
        expires_at=window.closes_at,
        evening=text.evening,
        fields={
            "values": _values(text, phone, row),
            **voice_fields(phone, text.jobs[0].household_id if text.jobs else None),
        },
        doses=tuple(
            DoseLink(dose_id=job.dose_id, revision=job.revision, due_on=job.due_on)
            for job in text.jobs
        ),
    )


def _values(text: PlannedText, phone: PhoneBundle, row: AssociationRow) -> Mapping[str, object]:
    if not text.jobs:
        fields = dict(text.fields or {})
        fields.pop("planting_id", None)
        if "phone" in KINDS[text.kind].fields:
            fields["phone"] = row.phone
        return fields
    if text.kind.startswith("digest"):
        return _digest_values(text.jobs, phone, add_days(text.evening, 1))
    job = text.jobs[0]
    if text.kind.startswith("moved"):
        return {
            "code": job.code,
            "day": job.due_on.isoformat(),
            "plot": job.letter,
            "urine": job.urine_l,
            "water": job.water_l,
        }
    values: dict[str, object] = {
        "crop": job.crop,
        "plot": job.letter,
        "urine": job.urine_l,
        "water": job.water_l,
        "code": job.code,
        "can": can_value(job.cans),
    }
    if text.kind.startswith("repeat"):
        return values | {"k": job.number, "phone": row.phone}
    return values | {
        "day": add_days(text.evening, 1).isoformat(),
        "per": None if job.pace is None else dict(job.pace),
        "tip": job.number,
    }


def invitation(
    phone: PhoneBundle,
    row: AssociationRow,
    *,
    now: datetime,
    used: frozenset[tuple[int, date]],
    said: set[str],
) -> PlannedText | None:
    """Return the text that asks for the phone's own yes, where a spoken yes waits for it."""
    waiting = phone.uninvited()
    if waiting is None:
        return None
    zone = zone_of(row.zone)
    day = local_day(daytime(now, zone).opens_at, zone)
    key = f"consent:{phone.phone.id}:{waiting.id}"
    if key in said or (phone.phone.id, day) in used:
        return None
    return PlannedText(
        kind="consent", key=key, evening=day, fields={"group": row.name, "cost": row.cost}
    )
