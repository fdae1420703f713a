"""Today: what waits, in the order of need, in a page that stays light however much waits."""

from collections.abc import Iterator
from contextlib import contextmanager
from datetime import date

import pytest
from flask.testing import FlaskClient
from sqlalchemy import event

from service.records.fields import HoldRow, Source
from service.records.tasks import Task, open_task
from service.records.traffic import TaskKind
from service.web.style import SHEET
from tests.web.reading import headings_of, links_of, post, text_of
from tests.world import OTHER_PHONE, Enrolled, World, an_association, enrol, tick_through
from tests.world_facts import another_plot
from tests.world_looks import calls, dose

LIMIT = 15_000  # bytes of a page with its style sheet
MANY, FEW = 1_000, 10


def opened(world: World, kind: TaskKind, home: Enrolled, *, count: int = 1) -> None:
    """Open tasks of a kind about a household's planting."""
    with world.services.sessions.begin() as session:
        for number in range(count):
            task = Task(
                kind=kind,
                key=f"{home.planting_id}:{number}",
                household_id=home.household_id,
                planting_id=home.planting_id,
            )
            open_task(session, 1, task, now=world.clock())


def about_dose(world: World, home: Enrolled, number: int) -> int:
    """Open a call about a silent dose; return its id."""
    row = dose(world, home, number)
    task = Task(
        kind=TaskKind.SILENT,
        key=f"made:{row.id}",
        household_id=home.household_id,
        planting_id=home.planting_id,
        dose_id=row.id,
    )
    with world.services.sessions.begin() as session:
        made = open_task(session, 1, task, now=world.clock())
    assert made is not None
    return made


def held(world: World, home: Enrolled, first_on: date, last_on: date) -> None:
    """Hold a planting from a day to another."""
    with world.services.sessions.begin() as session:
        session.add(
            HoldRow(
                association_id=1,
                planting_id=home.planting_id,
                first_on=first_on,
                last_on=last_on,
                source=Source.CALL,
                noted_by=None,
                recorded_at=world.clock(),
            )
        )


def filled(world: World, count: int) -> None:
    """Let so many of everything wait."""
    home = enrol(world)
    world.tick("2027-03-14T18:00")
    for kind in (TaskKind.BURNT, TaskKind.NOT_TOLD, TaskKind.UNKNOWN, TaskKind.ENROL):
        opened(world, kind, home, count=count)
    for day in range(1, 29):
        held(world, home, date(2027, 2, day), date(2027, 5, 1))
    for number in range(6):
        world.text(f"what about it {number} " + "x" * 400, at=f"2027-03-15T1{number}:00")


@contextmanager
def counted(world: World) -> Iterator[list[str]]:
    """Give the statements that the database is asked meanwhile."""
    asked: list[str] = []

    def note(*told: object) -> None:
        asked.append(str(told[2]))

    engine = world.services.sessions.engine
    event.listen(engine, "before_cursor_execute", note)
    try:
        yield asked
    finally:
        event.remove(engine, "before_cursor_execute", note)


def test_an_association_in_which_nothing_waits_says_what_to_do_next(
    world: World, client: FlaskClient
) -> None:
    an_association(world)
    html = client.get("/").text

    assert headings_of(html, "h2") == ["Call now", "Texts to read", "Going out by itself"]
    assert "Nobody to call. No text waits to go out." in text_of(html)
    assert links_of(html)["See what each household still lacks"] == "/households"


def test_the_earliest_last_day_comes_first_and_then_the_youngest_plot(
    world: World, client: FlaskClient
) -> None:
    """Design: nearest cut-off, then youngest plot; a dose that can still be given before others."""
    old = enrol(world)
    young = enrol(world, code="H02", number=OTHER_PHONE, letter="D", planted_on=date(2027, 3, 29))
    world.tick("2027-03-31T12:00")
    opened(world, TaskKind.BURNT, old)
    wanted = [
        about_dose(world, young, 1),  # closes on 4 April
        about_dose(world, old, 2),  # due on 28 March, closes on 3 April, the day before dose 3
        about_dose(world, old, 3),  # closes on 10 April
        about_dose(world, old, 1),  # closed on 21 March
    ]
    order = [
        int(path.rpartition("/")[2]) for path in links_of_tasks(client.get("/tasks?kind=call").text)
    ]

    placed = [task_id for task_id in order if task_id in wanted]
    assert placed == [wanted[1], wanted[0], wanted[2], wanted[3]]


def links_of_tasks(html: str) -> list[str]:
    """Return the addresses of the tasks in a list."""
    return [
        part.partition('"')[0] for part in html.split('href="')[1:] if part.startswith("/tasks/")
    ]


@pytest.mark.parametrize(("litres", "first"), [(150, 1), (50, 0)], ids=["larger", "smaller"])
def test_of_two_doses_alike_the_one_with_more_litres_comes_first(
    world: World, client: FlaskClient, litres: int, first: int
) -> None:
    one = enrol(world, area_m2=100)
    two = another_plot(world, one, letter="D", area_m2=litres)
    world.tick("2027-03-15T12:00")
    tasks = [about_dose(world, one, 1), about_dose(world, two, 1)]

    order = links_of_tasks(client.get("/tasks?kind=call").text)

    assert next(path for path in order if int(path.rpartition("/")[2]) in tasks) == (
        f"/tasks/{tasks[first]}"
    )


def test_texts_to_read_stand_as_typed_with_their_homes(world: World, client: FlaskClient) -> None:
    enrol(world)
    world.tick("2027-03-14T18:00")
    world.text("perhaps <i>A1", at="2027-03-15T12:00")
    html = client.get("/").text

    assert "Texts to read (1)" in headings_of(html, "h2")
    assert '<blockquote lang="en">perhaps &lt;i&gt;A1</blockquote>' in html
    assert links_of(html)["Read them"] == "/reading"


def test_holds_of_today_stand_with_their_plot_and_days(world: World, client: FlaskClient) -> None:
    home = enrol(world)
    world.tick("2027-03-20T12:00")
    held(world, home, date(2027, 3, 19), date(2027, 3, 22))
    held(world, home, date(2027, 3, 21), date(2027, 3, 23))
    html = client.get("/").text

    assert "Doses on hold (1)" in headings_of(html, "h2")
    assert "H01 H01 Plot A: no dose from Fri 19 Mar to Mon 22 Mar" in text_of(html)
    assert "See all" not in text_of(html)


def test_what_goes_out_tonight_is_counted_by_kind(world: World, client: FlaskClient) -> None:
    enrol(world)
    enrol(world, code="H02", number=OTHER_PHONE, letter="D")
    world.tick("2027-03-14T12:00")
    before = text_of(client.get("/").text)
    world.tick("2027-03-14T18:00")
    after = text_of(client.get("/").text)

    assert "Next texts go out today, from Sun 14 Mar 18:00: 2. Reminder: 2" in before
    assert "from Sun 14 Mar" not in after


def test_after_the_evening_the_next_one_is_named(world: World, client: FlaskClient) -> None:
    enrol(world)
    world.tick("2027-03-26T21:00")

    shown = text_of(client.get("/").text)

    assert "Next texts go out later, from Sat 27 Mar 18:00: 1." in shown


def test_what_i_settled_today_stands_with_its_outcome(world: World, client: FlaskClient) -> None:
    home = enrol(world)
    opened(world, TaskKind.BURNT, home)
    (task,) = calls(world)
    post(client, f"/tasks/{task.id}", f"/tasks/{task.id}", said="spoken to")
    html = client.get("/").text
    world.tick("2027-02-21T09:00")
    tomorrow = client.get("/").text

    assert "Done by me today (1)" in headings_of(html, "h2")
    assert "North spoken to. Sat 20 Feb 09:00" in text_of(html)
    assert "Done by me today" not in text_of(tomorrow)


def test_today_stays_light_when_a_thousand_things_wait(world: World, client: FlaskClient) -> None:
    filled(world, MANY)

    html = client.get("/").text

    assert len(html.encode()) + len(SHEET.encode()) <= LIMIT
    assert links_of(html)["See all 1,000"] == "/tasks?kind=call"
    assert "Not told (1,000)" in headings_of(html, "h2")
    assert links_of(html)["See all 28"] == "/holds"


@pytest.mark.parametrize("path", ["/", "/tasks", "/tasks?kind=enrol", "/holds"])
def test_no_page_asks_more_when_more_waits(world: World, client: FlaskClient, path: str) -> None:
    filled(world, FEW)
    with counted(world) as few:
        client.get(path)
    opened(world, TaskKind.BURNT, enrol(world, code="H02", number=OTHER_PHONE), count=MANY)
    with counted(world) as many:
        client.get(path)

    assert len(many) == len(few)


def test_holds_have_a_list_of_their_own(world: World, client: FlaskClient) -> None:
    filled(world, 1)
    first = client.get("/holds").text
    second = client.get(links_of(first)["Next"]).text

    assert headings_of(first, "h1") == ["Doses on hold (28)"]
    assert first.count("no dose from") == 25
    assert second.count("no dose from") == 3


def test_a_day_without_holds_says_so(world: World, client: FlaskClient) -> None:
    an_association(world)

    assert "No dose is on hold today." in text_of(client.get("/holds").text)


def test_a_home_of_neutral_words_keeps_them_on_today(world: World, client: FlaskClient) -> None:
    enrol(world, discreet=True)
    tick_through(world, date(2027, 3, 14), date(2027, 3, 18), hours=("06:00", "18:00"))
    html = client.get("/").text

    assert "No answer about dose A1" in text_of(html)
    assert "urine" not in text_of(html).lower()
