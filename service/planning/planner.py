"""Which text goes to a phone on an evening. Pure.

One service-started text a phone and evening. Doses and repeats come first, together in one
digest; then the emergence question; then a notice; what finds no place waits for the next evening.
"""

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass
from datetime import date

from service.agronomy.calendar import add_days

MAX_TEXTS_A_DOSE = 3
REPEAT_AFTER_DAYS = 2  # evenings between the reminder and its repeat (project choice)


@dataclass(frozen=True, slots=True, kw_only=True)
class Job:
    """A dose that is still open, with what its text says. Litres are rounded for the grower.

    `cans` are the numbers to name, none where there is no doubt; `late`: they became ready only
    after its day, and it may be told on an evening up to `late_until`.
    """

    dose_id: int
    household_id: int
    planting_id: int
    number: int
    code: str
    letter: str
    label: str
    crop: str
    due_on: date
    closes_on: date
    urine_l: float
    water_l: float
    revision: int
    cans: tuple[int, ...]
    pace: Mapping[str, int] | None
    assumed: bool
    texts: int
    told_days: frozenset[date]
    late: bool
    late_until: date


@dataclass(frozen=True, slots=True, kw_only=True)
class Notice:
    """Something to say once, on the first free evening of a span."""

    kind: str
    key: str
    first_on: date
    last_on: date
    fields: Mapping[str, object]


@dataclass(frozen=True, slots=True, kw_only=True)
class PhoneFacts:
    """All that decides what one phone is sent."""

    phone_id: int
    used: frozenset[date]
    jobs: tuple[Job, ...]
    notices: tuple[Notice, ...]  # in the order of their importance


@dataclass(frozen=True, slots=True, kw_only=True)
class PlannedText:
    """A text for an evening, not queued yet."""

    kind: str
    key: str
    evening: date
    jobs: tuple[Job, ...] = ()
    fields: Mapping[str, object] | None = None
    no_room: tuple[Job, ...] = ()


Fits = Callable[[Sequence[Job]], int]


def is_first(job: Job, evening: date) -> bool:
    """Say whether this is the evening before the dose's day, and that day is not told yet."""
    return job.due_on == add_days(evening, 1) and job.due_on not in job.told_days


def is_first_late(job: Job, evening: date) -> bool:
    """Say whether a dose whose can became ready late can be told of now, for the day after."""
    return job.late and not job.texts and job.due_on <= evening <= job.late_until


def is_repeat(job: Job, evening: date) -> bool:
    """Say whether this is the evening of the one repeat, and the work could still be done."""
    asked = add_days(job.due_on, REPEAT_AFTER_DAYS - 1)
    return evening == asked and job.closes_on > evening and not is_first_late(job, evening)


_WHEN = (is_first, is_first_late, is_repeat)


def jobs_of(facts: PhoneFacts, evening: date) -> tuple[Job, ...]:
    """Return the doses to speak of on an evening, the earliest due first."""
    wanted = [
        job
        for job in facts.jobs
        if job.texts < MAX_TEXTS_A_DOSE and any(is_due(job, evening) for is_due in _WHEN)
    ]
    return tuple(sorted(wanted, key=lambda job: (job.due_on, job.letter)))


def plan_evening(
    facts: PhoneFacts, evening: date, *, said: frozenset[str], fits: Fits
) -> PlannedText | None:
    """Return the one text for a phone on an evening, or None.

    Args:
        facts: the phone's open doses and notices.
        evening: the local day of the evening.
        said: keys of notices that left already or are planned for an earlier evening.
        fits: how many of the given jobs one digest can hold.
    """
    if evening in facts.used:
        return None
    jobs = jobs_of(facts, evening)
    if jobs:
        return _of_jobs(facts, evening, jobs, fits)
    for notice in facts.notices:
        if notice.first_on <= evening <= notice.last_on and notice.key not in said:
            return PlannedText(
                kind=notice.kind, key=notice.key, evening=evening, fields=notice.fields
            )
    return None


def _of_jobs(facts: PhoneFacts, evening: date, jobs: tuple[Job, ...], fits: Fits) -> PlannedText:
    # one job alone always has a text of its own
    room = 1 if len(jobs) == 1 else max(1, fits(jobs))
    told = jobs[:room]
    parts = ",".join(
        f"{job.dose_id}.{job.revision}{'r' if is_repeat(job, evening) else ''}" for job in told
    )
    return PlannedText(
        kind=_kind(told, evening),
        key=f"jobs:{facts.phone_id}:{evening.isoformat()}:{parts}",
        evening=evening,
        jobs=told,
        no_room=jobs[room:],
    )


def _kind(jobs: tuple[Job, ...], evening: date) -> str:
    if len(jobs) > 1:
        return digest_kind(jobs)
    job = jobs[0]
    plain = "repeat" if is_repeat(job, evening) else "dose"
    rain = "" if job.water_l > 0 else "_rain"
    unsure = "_assumed" if plain == "dose" and job.assumed and job.number > 1 else ""
    if plain == "dose" and job.told_days and not unsure:  # it was told for another day
        plain = "moved"
    return f"{plain}{rain}{unsure}"


def digest_kind(jobs: Sequence[Job]) -> str:
    """Return the digest for these jobs: one that speaks of water, or one for the rains."""
    return "digest" if any(job.water_l > 0 for job in jobs) else "digest_rain"
