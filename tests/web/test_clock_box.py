"""Today's question about the clock: who is asked, who may answer, and what waits meanwhile."""

from datetime import timedelta

import pytest
from flask.testing import FlaskClient
from playwright.sync_api import Browser

from service.jobs import watched
from service.records.people import AuditRow
from service.records.tasks import Task, open_task
from service.records.traffic import TaskKind
from service.web.serving import Server
from service.web.style import ICON, SHEET
from tests.web.browser import PHONE as SMALL
from tests.web.browser import Screen, audit, looking
from tests.web.neighbours import add_neighbour, dump_of
from tests.web.reading import buttons_of, form_of, headings_of, links_of, post, result_of, text_of
from tests.web.route_office import administrator
from tests.web.staff import Wall, browser_of, office_of, visit_token
from tests.world import World, enrol
from tests.world_looks import rows

HEAVIEST = 15_000  # bytes of a first visit, style sheet and all
QUESTION, YES = "Is this the right date and time?", "Yes, this is right"
NOON, WRONG = "2027-03-14T12:00", "2027-04-13T18:00"


@pytest.fixture
def admin(world: World) -> FlaskClient:
    """The browser of Juma Test, administrator, while the clock is a month ahead."""
    enrol(world)
    world.tick(NOON)
    world.services = watched(world.services)
    world.tick(WRONG)
    return administrator(world)


@pytest.fixture
def coordinator(world: World, admin: FlaskClient) -> FlaskClient:
    """The browser of Neema Test, coordinator, at the same time."""
    del admin  # the clock is in doubt by then
    return browser_of(office_of(world, Wall()), visit_token(world))


def about_clock(world: World) -> list[tuple[int, str, str]]:
    return [
        (row.association_id, row.what, row.who)
        for row in rows(world, AuditRow)
        if row.subject == "clock"
    ]


def test_a_right_clock_is_not_asked_about(world: World, admin: FlaskClient) -> None:
    world.tick("2027-03-14T13:00")
    shown = admin.get("/").text

    assert QUESTION not in text_of(shown)
    assert YES not in buttons_of(shown)
    assert "Sunday 14 March 2027" in text_of(shown)


def test_an_administrator_is_asked_with_the_day_the_year_and_the_hour_of_the_place(
    admin: FlaskClient,
) -> None:
    shown = admin.get("/").text

    assert headings_of(shown, "h2")[0] == QUESTION
    assert (
        f"{QUESTION} Tuesday 13 April 2027, 18:00 The service has not run since Sunday 14 March "
        "2027, 12:00, or the clock of its machine has jumped ahead. Until this is settled, nothing "
        "is sent and no form can be saved. What growers send is kept, and is read then. If it is "
        f"wrong, have the clock set right; then all goes on by itself. {YES}"
    ) in text_of(shown)


def test_a_clock_that_went_back_is_said_to_have(world: World, admin: FlaskClient) -> None:
    world.tick("2027-03-14T11:54")

    assert (
        "Sunday 14 March 2027, 11:54 The clock of the machine has gone back: the service has "
        "already seen Sunday 14 March 2027, 12:00."
    ) in text_of(admin.get("/").text)


def test_the_question_stands_in_the_language_of_the_pages(world: World, admin: FlaskClient) -> None:
    del admin
    shown = administrator(world, language="sw", name="juma-sw").get("/").text

    assert headings_of(shown, "h2")[0] == "Je, tarehe na saa hii ni sahihi?"
    assert "Jumanne 13 Aprili 2027, 18:00" in text_of(shown)


def test_a_yes_goes_on_and_is_written_down_with_who_and_when(
    world: World, admin: FlaskClient
) -> None:
    answered = post(admin, "/clock", "/")
    shown = admin.get(answered.location).text

    assert "Noted: the date and time are right. Sending goes on." in result_of(shown)
    assert QUESTION not in text_of(shown)
    assert about_clock(world) == [(1, "clock doubted", ""), (1, "clock confirmed", "Juma Test")]
    assert rows(world, AuditRow)[-1].at == world.clock()
    assert rows(world, AuditRow)[-1].detail == {
        "trusted_at": "2027-03-14T09:00:00+00:00",
        "shown_at": "2027-04-13T15:00:00+00:00",
    }


def test_a_yes_sent_twice_and_a_page_left_open_change_nothing_more(
    world: World, admin: FlaskClient
) -> None:
    page = admin.get("/").text
    other = form_of(admin.get("/").text, "/clock")
    post(admin, "/clock", page)
    said = result_of(admin.get(post(admin, "/clock", page).location).text)
    late = result_of(admin.get(admin.post("/clock", data=other).location).text)

    assert "Already saved at" in said
    assert "The date and time were settled before." in late
    assert [what for _, what, _ in about_clock(world)] == ["clock doubted", "clock confirmed"]


@pytest.mark.parametrize(
    "shown",
    [
        pytest.param("2027-04-10T15:00:00+00:00", id="another time"),
        pytest.param("2027-04-13T15:00:00", id="no offset"),
        pytest.param("now", id="no time"),
        pytest.param("", id="blank"),
    ],
)
def test_a_yes_to_anything_but_what_the_clock_shows_changes_nothing(
    world: World, admin: FlaskClient, shown: str
) -> None:
    answered = post(admin, "/clock", "/", shown=shown)
    said = admin.get(answered.location).text

    assert "Nothing was changed: look at the date and time once more." in result_of(said)
    assert QUESTION in text_of(said)
    assert about_clock(world) == [(1, "clock doubted", "")]


def test_a_yes_sent_again_after_a_sign_in_is_asked_anew(world: World, admin: FlaskClient) -> None:
    answered = post(admin, "/clock", "/", resume="yes")

    assert QUESTION in text_of(admin.get(answered.location).text)
    assert about_clock(world) == [(1, "clock doubted", "")]


def test_a_yes_without_its_token_changes_nothing(world: World, admin: FlaskClient) -> None:
    fields = form_of(admin.get("/").text, "/clock")
    fields.pop("csrf_token")

    assert admin.post("/clock", data=fields).status_code == 400
    assert about_clock(world) == [(1, "clock doubted", "")]


def test_a_coordinator_is_warned_and_may_not_answer(
    world: World, admin: FlaskClient, coordinator: FlaskClient
) -> None:
    shown = coordinator.get("/").text
    fields = form_of(admin.get("/").text, "/clock")
    token = form_of(coordinator.get("/account").text, "/account/sign-out")["csrf_token"]
    answer = coordinator.post("/clock", data=fields | {"csrf_token": token})

    assert headings_of(shown, "h2")[0] == QUESTION
    assert "Only an administrator can say that it is right." in text_of(shown)
    assert YES not in buttons_of(shown)
    assert answer.status_code == 403
    assert about_clock(world) == [(1, "clock doubted", "")]


def test_the_administrator_of_any_association_may_answer_and_stays_nameless_to_the_others(
    world: World,
) -> None:
    """The clock is the whole service's; what belongs to an association stays with it."""
    enrol(world)
    world.tick(NOON)
    add_neighbour(world)
    world.services = watched(world.services)
    world.tick(WRONG)
    own = dump_of(world, 1)
    other = administrator(world, association_id=2, name="asha")
    shown = other.get("/").text
    post(other, "/clock", shown)
    after = dump_of(world, 1)

    assert headings_of(shown, "h2")[0] == QUESTION
    assert about_clock(world)[-2:] == [
        (1, "clock confirmed", ""),
        (2, "clock confirmed", "Juma Test"),
    ]
    assert {table for table in own if own[table] != after[table]} == {"audit"}


def test_a_form_is_kept_and_not_saved_until_the_clock_is_settled(
    world: World, admin: FlaskClient, coordinator: FlaskClient
) -> None:
    with world.services.sessions.begin() as session:
        task = Task(kind=TaskKind.BURNT, key="made", household_id=1)
        task_id = open_task(session, 1, task, now=world.clock())
    path = f"/tasks/{task_id}"
    before = dump_of(world, 1)
    held = post(coordinator, path, path, said="spoken to")
    after = dump_of(world, 1)
    post(admin, "/clock", "/")
    on = post(coordinator, path, held.text)

    assert held.status_code == 503
    assert headings_of(held.text, "h1") == ["Nothing is lost"]
    assert "The date and time of the service are in doubt." in text_of(held.text)
    assert links_of(held.text)["Go to Today"] == "/"
    assert form_of(held.text, path)["said"] == "spoken to"
    assert after == before
    assert on.status_code == 200


def test_one_may_sign_out_and_choose_a_language_meanwhile(coordinator: FlaskClient) -> None:
    token = {
        "csrf_token": form_of(coordinator.get("/account").text, "/account/sign-out")["csrf_token"]
    }

    chosen = coordinator.post("/account/language", data=token | {"language": "sw"})
    out = coordinator.post("/account/sign-out", data=token)

    assert (chosen.status_code, out.status_code) == (303, 303)
    assert "/sign-in" in out.location


def test_looking_at_today_in_doubt_changes_nothing(world: World, admin: FlaskClient) -> None:
    before, clock = dump_of(world, 1), about_clock(world)
    admin.get("/")

    assert (dump_of(world, 1), about_clock(world)) == (before, clock)


@pytest.mark.parametrize("language", ["en", "sw"])
def test_a_full_day_with_the_question_stays_light(
    world: World, admin: FlaskClient, language: str
) -> None:
    del admin
    with world.services.sessions.begin() as session:
        for kind in (TaskKind.BURNT, TaskKind.NOT_TOLD, TaskKind.UNKNOWN, TaskKind.ENROL):
            for number in range(20):
                task = Task(kind=kind, key=f"made:{number}", household_id=1, planting_id=1)
                open_task(session, 1, task, now=world.clock() - timedelta(days=30))
    html = administrator(world, language=language, name=f"juma-{language}").get("/").text

    assert 'action="/clock"' in html
    assert len(html.encode()) + len((SHEET + ICON).encode()) <= HEAVIEST


@pytest.mark.browser
@pytest.mark.parametrize("who", ["admin", "coordinator"])
def test_everyone_can_use_the_question(
    world: World, who: str, chromium: Browser, request: pytest.FixtureRequest
) -> None:
    """WCAG 2.2, levels A and AA, as far as axe can tell."""
    client: FlaskClient = request.getfixturevalue(who)
    server = Server(office_of(world, Wall()), host="127.0.0.1", port=0)
    server.start()
    with looking(chromium, server.address, Screen(size=SMALL), signed_in=client) as window:
        status, wide, found = window.open("/"), window.sideways(), audit(window)
    server.close()

    assert (status, wide, found) == (200, 0, {"violations": {}, "unsure": {}})
