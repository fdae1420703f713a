"""Whatever is added in whatever order, those who share a phone are told apart.

The judge is the check that an import makes of the records, written apart from this code.
"""

from collections import defaultdict
from functools import partial
from pathlib import Path
from tempfile import TemporaryDirectory

from hypothesis import example, given, settings
from hypothesis import strategies as st

from service.confirmations.outcomes import Desk
from service.enrolment.enrol import enrol
from service.enrolment.entries import CanEntry, Enrolment, HouseholdEntry, PhoneEntry, Share
from service.enrolment.results import Enrolled
from service.enrolment.steps import add_can, add_phone, add_plot
from service.intake.clashes import Mark, clashes
from service.records.engine import Session
from service.records.intake import find_containers, find_households, find_links, find_plots
from tests.unit.enrolment.table import PLOT, at_table, rules
from tests.world import World

ALIASES = st.sampled_from(["Asha", "asha", "Mango corner", "Mango court", "小屋"])
PHONES = st.integers(1, 3)
HOMES = st.integers(0, 9)
STEPS = st.lists(
    st.one_of(
        st.tuples(st.just("home"), ALIASES),
        st.tuples(st.just("phone"), st.tuples(HOMES, PHONES)),
        st.tuples(st.just("plot"), HOMES),
        st.tuples(st.just("can"), HOMES),
    ),
    max_size=30,
)


def take(world: World, homes: list[int], step: tuple[str, object], desk: Desk) -> None:
    """Do one step at the table; one about a home before there is any does nothing."""
    match step:
        case ("home", str(alias)):
            entry = Enrolment(household=HouseholdEntry(alias=alias, area_id=1), plot=PLOT)
            outcome = enrol(desk, entry, rules(world))
            assert isinstance(outcome, Enrolled)
            homes.append(outcome.household_id)
        case ("phone", (int(home), int(phone))) if homes:
            shared = PhoneEntry(number=f"+25510000000{phone}", share=Share.SHARE)
            add_phone(desk, homes[home % len(homes)], shared, rules(world))
        case ("plot", int(home)) if homes:
            add_plot(desk, homes[home % len(homes)], PLOT)
        case ("can", int(home)) if homes:
            add_can(desk, homes[home % len(homes)], CanEntry(litres=20))
        case _:
            pass


def told_twice(session: Session) -> list[object]:
    """Return every letter, number and label that two on one phone have, by the import's check."""
    homes = {row.id: code for code, row in find_households(session, 1).items()}
    sharing: dict[int, list[str]] = defaultdict(list)
    for phone_id, household_id in find_links(session, 1):
        sharing[phone_id].append(homes[household_id])
    marks = (
        [
            Mark(household=homes[home], sign=plot.letter, row=plot.id)
            for (home, _), plot in find_plots(session, 1).items()
            if plot.letter is not None
        ],
        [
            Mark(household=homes[home], sign=number, row=can.id)
            for (home, number), can in find_containers(session, 1).items()
        ],
        [
            Mark(household=code, sign=row.label.casefold(), row=row.id)
            for code, row in find_households(session, 1).items()
        ],
    )
    return [clash for kind in marks for clash in clashes(kind, sharing.values())]


@settings(max_examples=40)
@given(steps=STEPS)
@example(steps=[("home", "Asha"), ("home", "asha"), ("phone", (0, 1)), ("phone", (1, 1))])
@example(
    steps=[
        *[("home", "Asha")] * 3,
        *[("can", home) for home in (0, 1, 2)],
        ("phone", (0, 1)),
        ("phone", (1, 2)),
        ("phone", (2, 1)),
        ("phone", (2, 2)),
        *[("plot", 2)] * 8,
    ]
)
def test_letters_numbers_and_labels_never_clash_on_a_phone(
    steps: list[tuple[str, object]],
) -> None:
    with TemporaryDirectory() as folder:
        world = World(folder=Path(folder))
        homes: list[int] = []
        for step in steps:
            at_table(world, partial(take, world, homes, step))
        with world.services.sessions.read() as session:
            found = told_twice(session)
        world.close()

    assert found == []
