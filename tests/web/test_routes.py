"""The page of routes: how each stands, what the month costs, and who may change what."""

from collections.abc import Mapping
from datetime import UTC, date, datetime

import pytest
from flask.testing import FlaskClient
from playwright.sync_api import Browser

from gateway_adapters.contract import RejectKind
from service.records.people import AuditRow
from service.web.route_words import gateway_words, rest_words
from service.web.serving import Server
from service.web.style import ICON, SHEET
from tests.web.browser import PHONE as SMALL
from tests.web.browser import Screen, audit, looking
from tests.web.neighbours import AWAY, MARK, add_neighbour, dump_of
from tests.web.reading import (
    buttons_of,
    faults_of,
    form_of,
    headings_of,
    links_of,
    post,
    result_of,
    text_of,
)
from tests.web.route_office import (
    administrator,
    ceiling_of,
    route_rows,
    second_route,
    set_route,
    spent,
    with_ceiling,
)
from tests.web.staff import Wall, office_of
from tests.world import OTHER_PHONE, World, enrol
from tests.world_looks import messages, rows

HEAVIEST = 15_000  # bytes of a first visit, style sheet and all
NOON = "2027-03-27T12:00"
TODAY = date(2027, 3, 27)
SWITCH, CEILING, LIFT = "/routes/1/switch", "/routes/ceiling", "/routes/ceiling/lift"
Columns = Mapping[str, object]
LATER = datetime(2027, 3, 27, 15, 30, tzinfo=UTC)  # 18:30 there


@pytest.fixture
def admin(world: World) -> FlaskClient:
    """The browser of Juma Test, administrator, on the day before a dose."""
    enrol(world)
    world.tick(NOON)
    return administrator(world)


def page(client: FlaskClient) -> str:
    """Return the words of the page of routes."""
    return text_of(client.get("/routes").text)


def audited(world: World, *whats: str) -> list[AuditRow]:
    """Return the audit's rows about these acts."""
    return [row for row in rows(world, AuditRow) if row.what in whats]


def test_a_route_is_listed_with_all_that_is_known_of_it(world: World, admin: FlaskClient) -> None:
    second_route(world, prefixes=("+25571", "+25575"), cost=0.0125, daily_segments=2000)
    second = administrator(world, name="asha")
    said = page(second)

    assert headings_of(second.get("/routes").text, "h3") == ["main", "spare"]
    assert "main Sends. Gateway: pretend phones; nothing leaves this computer." in said
    assert "It says of itself: up Growers answer to 15050. It serves all numbers." in said
    assert "Cost of a segment, as routes are compared: 0." in said
    assert "Segments today: 0, without a limit. Texts that wait: 1." in said
    assert "Growers answer to 15051. It serves numbers that begin with: +25571, +25575" in said
    assert "Cost of a segment, as routes are compared: 0.0125." in said
    assert "Segments today: 0 of 2,000. Texts that wait: 0." in said
    assert page(admin).count("Sends.") == 2


def test_before_the_service_began_there_is_no_route(world: World) -> None:
    assert "No route is known yet" in page(administrator(world))


@pytest.mark.parametrize(
    ("columns", "words", "today"),
    [
        pytest.param(
            {"stopped_at": LATER, "stopped_by": "Asha Test", "paused_until": LATER},
            "Stopped by Asha Test, Sat 27 Mar 18:30.",
            "Route main is stopped, by Asha Test, Sat 27 Mar 18:30.",
            id="stopped",
        ),
        pytest.param(
            {"paused_until": LATER, "paused_for": "refused too often"},
            "Rests until Sat 27 Mar 18:30: it refused 5 texts one after another.",
            "Route main rests until Sat 27 Mar 18:30: it refused 5 texts one after another.",
            id="rests",
        ),
        pytest.param(
            {"daily_segments": 7, "paused_until": LATER},
            "Sends nothing more today: its segments of the day are spent.",
            "Route main has sent all that it may today.",
            id="day spent",
        ),
        pytest.param(
            {"retired": True, "stopped_at": LATER, "stopped_by": "Asha Test"},
            "Sends nothing: the settings no longer name it.",
            None,
            id="no longer named",
        ),
        pytest.param(
            {"paused_until": datetime(2027, 3, 27, 9, tzinfo=UTC), "daily_segments": 8},
            "Sends.",
            None,
            id="the rest is over, and one segment is left",
        ),
    ],
)
def test_what_keeps_a_route_is_said_there_and_on_today(
    world: World, admin: FlaskClient, columns: Columns, words: str, today: str | None
) -> None:
    spent(world, 7, TODAY)
    set_route(world, 1, **columns)
    html = admin.get("/").text

    assert f"main {words}" in page(admin)
    if today is None:
        assert "/routes" not in links_of(html).values()
    else:
        assert today in text_of(html)
        assert links_of(html)["Look at the routes"] == "/routes"


def test_a_gateway_that_is_down_is_said_with_its_reason(world: World, admin: FlaskClient) -> None:
    before = text_of(admin.get("/").text)
    world.gateway.close(drain_s=0)

    assert "It says of itself: down, The gateway was closed." in page(admin)
    assert "The gateway of route main is down." in text_of(admin.get("/").text)
    assert "is down" not in before


def test_today_names_three_faults_and_counts_the_others(world: World, admin: FlaskClient) -> None:
    for number in range(4):
        second_route(world, f"way-{number}")
    for row in route_rows(world).values():
        set_route(world, row.id, stopped_at=LATER, stopped_by="Asha Test")
    said = text_of(admin.get("/").text)

    assert said.count("is stopped") == 3
    assert "2 more routes need a look." in said


def test_stopping_asks_first_and_says_how_many_texts_wait(world: World, admin: FlaskClient) -> None:
    link = links_of(admin.get("/routes").text)["Stop it: main"]
    html = admin.get(link).text

    assert headings_of(html, "h1") == ["Stop a route?"]
    assert "1 text waits at it now." in text_of(html)
    assert "1 of them has no other way out and waits." in text_of(html)
    assert "may miss doses" in text_of(html)
    assert links_of(html)["Leave it as it is"] == "/routes"
    assert route_rows(world)["main"].stopped_at is None


def test_what_another_route_takes_over_is_told_apart(world: World, admin: FlaskClient) -> None:
    enrol(world, code="H02", number=OTHER_PHONE, letter="D", can=2)
    world.tick()  # a dose's text and a question wait for the second phone, one text for the first
    second_route(world, prefixes=("+255100000001",))
    set_route(world, prefixes=["+2551000000"], cost=0.0)
    elsewhere = text_of(admin.get("/routes/1/switch").text)
    set_route(world, 2, stopped_at=LATER, stopped_by="Asha Test")
    nowhere = text_of(admin.get("/routes/1/switch").text)

    assert "3 texts wait at it now. 1 of them goes by another route." in elsewhere
    assert "2 of them have no other way out and wait." in elsewhere
    assert "3 texts wait at it now. 3 of them have no other way out and wait." in nowhere


def test_a_route_is_stopped_and_goes_on_and_both_are_audited(
    world: World, admin: FlaskClient
) -> None:
    stopped = post(admin, SWITCH, SWITCH)
    said = admin.get(stopped.location).text
    world.tick("2027-03-27T18:00")
    quiet = world.bodies()
    check = admin.get(links_of(said)["Let it go on: main"]).text
    on = admin.get(post(admin, SWITCH, check).location).text
    world.tick("2027-03-27T18:10")

    assert "Route main is stopped." in result_of(said)
    assert "Stopped by Juma Test, Sat 27 Mar 12:00." in text_of(said)
    assert "Stopped by Juma Test" in text_of(check)
    assert quiet == []
    assert "Route main goes on." in result_of(on)
    assert len(world.bodies()) == 1
    assert [
        (row.who, row.what, row.subject, row.subject_id, row.association_id, row.detail)
        for row in audited(world, "stopped", "let go on")
    ] == [
        (
            "Juma Test",
            what,
            "route",
            1,
            1,
            {"before": {"stopped": before}, "after": {"stopped": not before}, "waiting": 1},
        )
        for what, before in (("stopped", False), ("let go on", True))
    ]


def test_the_same_form_twice_and_a_page_left_open_change_nothing_more(
    world: World, admin: FlaskClient
) -> None:
    form = form_of(admin.get(SWITCH).text, SWITCH)
    other = form_of(admin.get(SWITCH).text, SWITCH)
    admin.post(SWITCH, data=form)
    again = admin.get(admin.post(SWITCH, data=form).location).text
    late = admin.get(admin.post(SWITCH, data=other).location).text

    assert "Already saved at" in result_of(again)
    assert "Route main was stopped before." in result_of(late)
    assert len(audited(world, "stopped")) == 1


def test_going_on_twice_says_that_it_was_not_stopped(world: World, admin: FlaskClient) -> None:
    form = form_of(admin.get(SWITCH).text, SWITCH) | {"turn": "go-on"}

    assert "Route main was not stopped." in result_of(
        admin.get(admin.post(SWITCH, data=form).location).text
    )
    assert audited(world, "let go on") == []


def test_a_turn_that_is_none_changes_nothing(world: World, admin: FlaskClient) -> None:
    answer = post(admin, SWITCH, SWITCH, turn="sideways")

    assert answer.status_code == 422
    assert "Nothing was changed." in faults_of(answer.text)
    assert route_rows(world)["main"].stopped_at is None


def test_a_route_that_the_settings_forgot_has_no_switch(world: World, admin: FlaskClient) -> None:
    set_route(world, retired=True)
    gone = links_of(admin.get("/routes").text)
    set_route(world, stopped_at=LATER, stopped_by="Asha Test")

    assert "Stop it: main" not in gone
    assert links_of(admin.get("/routes").text)["Let it go on: main"] == SWITCH


def test_a_form_without_its_token_changes_nothing(world: World, admin: FlaskClient) -> None:
    answer = admin.post(SWITCH, data={"turn": "stop"})

    assert answer.status_code == 400
    assert route_rows(world)["main"].stopped_at is None


@pytest.mark.parametrize("path", [SWITCH, CEILING, LIFT])
def test_a_form_sent_again_after_a_sign_in_is_shown_and_not_saved(
    world: World, admin: FlaskClient, path: str
) -> None:
    with_ceiling(world, 500)
    shown = SWITCH if path == SWITCH else "/routes"
    answer = post(admin, path, shown, resume="yes", segments="700")

    assert answer.status_code == 200
    assert ceiling_of(world) == 500
    assert route_rows(world)["main"].stopped_at is None
    assert audited(world, "stopped", "ceiling set", "ceiling lifted") == []


def test_a_coordinator_looks_and_changes_nothing(
    world: World, admin: FlaskClient, client: FlaskClient
) -> None:
    """Security, section 6: routes and ceilings are the administrator's."""
    with_ceiling(world, 500)
    before = dump_of(world, 1)
    shown = client.get("/routes").text
    check = client.get(SWITCH).text
    token = {"csrf_token": form_of(client.get("/account").text, "/account/sign-out")["csrf_token"]}
    turned = [
        client.post(path, data=token | {"turn": "stop", "segments": "9"}).status_code
        for path in (SWITCH, CEILING, LIFT)
    ]
    after = dump_of(world, 1)

    assert "Only an administrator stops a route or sets the ceiling." in text_of(shown)
    assert "Only an administrator" in text_of(check)
    assert buttons_of(shown) + buttons_of(check) == []
    assert SWITCH not in links_of(shown).values()
    assert turned == [403, 403, 403]
    assert {table for table in before if before[table] != after[table]} == set()
    assert "Only an administrator" not in page(admin)


@pytest.mark.parametrize(
    ("typed", "advice"),
    [
        pytest.param(typed, advice, id=typed or "blank")
        for advice, wrong in (
            ("Write a whole number from 1 to 9,999,999.", ("", "2.5")),
            (
                "Write a number from 1 to 9,999,999.",
                ("0", "-5", "many", "1e3", "10000000", "\uff11\uff10", "1 000"),
            ),
            ("Write it without a comma between thousands, like 2500.", ("2,500",)),
        )
        for typed in wrong
    ],
)
def test_a_ceiling_that_cannot_be_meant_is_refused_and_kept_as_typed(
    world: World, admin: FlaskClient, typed: str, advice: str
) -> None:
    answer = post(admin, CEILING, "/routes", segments=typed)

    assert answer.status_code == 422
    assert f"The month's ceiling: {advice}" in faults_of(answer.text)
    assert form_of(answer.text, CEILING)["segments"] == typed
    assert ceiling_of(world) is None
    assert audited(world, "ceiling set") == []


def test_the_ceiling_is_set_changed_and_lifted_and_each_is_audited(
    world: World, admin: FlaskClient
) -> None:
    first = admin.get(post(admin, CEILING, "/routes", segments="2500").location).text
    second = admin.get(post(admin, CEILING, "/routes", segments="3000").location).text
    post(admin, CEILING, "/routes", segments="3000")
    lifted = admin.get(post(admin, LIFT, "/routes").location).text

    assert "The month's ceiling is 2,500 segments." in result_of(first)
    assert "Before" not in result_of(first)
    assert "The month's ceiling is 3,000 segments. Before: 2,500." in result_of(second)
    assert "Segments spent: 0 of 3,000." in text_of(second)
    assert "The month has no ceiling. Before: 3,000." in result_of(lifted)
    assert "Segments spent: 0. No ceiling is set." in text_of(lifted)
    assert "Lift the ceiling" not in buttons_of(lifted)
    assert [
        (row.what, row.subject, row.detail["before"], row.detail["after"])
        for row in audited(world, "ceiling set", "ceiling lifted")
    ] == [
        (what, "association", {"monthly_segments": before}, {"monthly_segments": after})
        for what, before, after in (
            ("ceiling set", None, 2500),
            ("ceiling set", 2500, 3000),
            ("ceiling lifted", 3000, None),
        )
    ]


NEAR = "This month's segments run out: {} of 100 are spent."
OVER = "This month's segments are spent ({} of 100): only answers to growers and safety texts go."


@pytest.mark.parametrize(
    ("used", "words"), [(79, None), (80, NEAR), (99, NEAR), (100, OVER), (103, OVER)]
)
def test_the_month_warns_at_four_fifths_and_when_it_is_spent(
    world: World, admin: FlaskClient, used: int, words: str | None
) -> None:
    with_ceiling(world, 100)
    spent(world, 500, date(2027, 2, 28))
    spent(world, used - 20, date(2027, 3, 1))
    spent(world, 20, TODAY)
    said, today = page(admin), text_of(admin.get("/").text)

    assert f"Segments spent: {used} of 100." in said
    if words is None:
        assert "This month's segments" not in said + today
    else:
        assert words.format(used) in said
        assert words.format(used) in today
    sends = "Sends only answers and safety texts: the month is spent." in said
    assert sends is (used >= 100)


def evenings(client: FlaskClient) -> list[str]:
    """Return the rows of the preview, and its total."""
    words = page(client).partition("take at most: ")[2].partition(" Reckoned")[0]
    total, _, table = words.partition(" Evening Segments, at most ")
    return [total, table]


def test_the_preview_counts_each_reminder_and_its_repeat_once(
    world: World, admin: FlaskClient
) -> None:
    """Dose 2 is on 28 March: told on the 27th, repeated on the 29th. Dose 3 is on 4 April."""
    noon = evenings(admin)
    world.tick("2027-03-27T18:00")
    told = evenings(admin)
    world.tick("2027-03-27T20:00")
    late = evenings(admin)

    rest = "Sun 28 Mar 0 Mon 29 Mar 1 Tue 30 Mar 0 Wed 31 Mar 0 Thu 1 Apr 0 Fri 2 Apr 0"
    assert noon == ["2", f"Sat 27 Mar 1 {rest}"]
    assert told == ["1", f"Sat 27 Mar 0 {rest}"]
    assert late == ["2", f"{rest} Sat 3 Apr 1"]


def test_no_more_is_sent_than_the_preview_said(world: World) -> None:
    """Two share a phone and its digest; the third has no can that is ready."""
    enrol(world)
    enrol(world, code="H02", letter="D", can=2, planted_on=date(2027, 3, 17))
    enrol(world, code="H03", number=OTHER_PHONE, letter="G", can=3, sealed_on=None)
    world.tick("2027-03-26T21:00")
    most = evenings(administrator(world))[0]
    for day in range(7):
        for hour in ("06:00", "18:00", "19:30"):
            on = date(2027, 3, 27 + day) if day < 5 else date(2027, 4, day - 4)
            world.tick(f"{on}T{hour}")

    told = [row for row in messages(world, "dose", "repeat", "digest", "moved") if row.token]
    assert (sum(row.segments or 0 for row in told), most) == (3, "6")


def test_a_week_that_the_month_cannot_bear_is_said(world: World, admin: FlaskClient) -> None:
    with_ceiling(world, 10)
    spent(world, 8, TODAY)
    enough = page(admin)
    spent(world, 1, TODAY)

    assert "These evenings may take" not in enough
    assert "These evenings may take 2 segments this month; left: 1." in page(admin)


def test_homes_that_get_no_texts_are_not_counted(world: World, admin: FlaskClient) -> None:
    enrol(world, code="H02", number=OTHER_PHONE, letter="D", can=2, needs_call=True)
    enrol(world, code="H03", number=OTHER_PHONE, letter=None, can=3)
    world.tick()

    assert evenings(admin)[0] == "2"


def test_the_others_routes_gateways_and_ceiling_stay_theirs(
    world: World, admin: FlaskClient
) -> None:
    """A route of the same name is no way to another association's gateway."""
    with_ceiling(world, 500)
    add_neighbour(world)
    set_route(world, 1 + AWAY, name="main")
    theirs = administrator(world, association_id=2, name="baraka")
    world.gateway.close(drain_s=0)
    said, foreign = page(admin), page(theirs)
    path = f"/routes/{1 + AWAY}/switch"
    token = form_of(admin.get(SWITCH).text, SWITCH)
    before = dump_of(world, 2)
    statuses = admin.get(path).status_code, admin.post(path, data=token).status_code
    post(admin, CEILING, "/routes", segments="900")

    assert "It says of itself: down" in said
    assert MARK not in said
    assert "main Sends. Gateway:" in foreign
    assert "It says of itself: no gateway is open for it here" in foreign
    assert "is down" not in text_of(theirs.get("/").text)
    assert statuses == (404, 404)
    assert dump_of(world, 2) == before
    assert (ceiling_of(world), ceiling_of(world, 2)) == (900, 500)


def test_the_account_leads_to_the_routes(client: FlaskClient) -> None:
    assert links_of(client.get("/account").text)["Routes and cost"] == "/routes"


@pytest.mark.parametrize("language", ["en", "sw"])
def test_the_administrators_page_is_light_however_many_routes_there_are(
    world: World, language: str
) -> None:
    enrol(world)
    for number in range(9):
        second_route(world, f"way-{number}", prefixes=tuple(f"+25571{each}" for each in range(10)))
    for row in route_rows(world).values():
        set_route(world, row.id, paused_until=LATER, paused_for="x" * 80, daily_segments=9_000)
    with_ceiling(world, 1)
    spent(world, 1, world.now.date())
    client = administrator(world, language=language)
    pages = [client.get(path) for path in ("/routes", "/routes?page=2", SWITCH, "/")]

    assert [len(headings_of(each.text, "h3")) for each in pages[:2]] == [6, 4]
    assert max(len(each.data) + len((SHEET + ICON).encode()) for each in pages) <= HEAVIEST


@pytest.mark.browser
@pytest.mark.parametrize("path", ["/routes", SWITCH, "/"])
def test_everyone_can_use_what_an_administrator_sees(
    world: World, admin: FlaskClient, chromium: Browser, path: str
) -> None:
    """WCAG 2.2, levels A and AA, as far as axe can tell; the walks see a coordinator's pages."""
    set_route(world, paused_until=LATER, paused_for="refused too often")
    with_ceiling(world, 100)
    spent(world, 90, TODAY)
    server = Server(office_of(world, Wall()), host="127.0.0.1", port=0)
    server.start()
    with looking(chromium, server.address, Screen(size=SMALL), signed_in=admin) as window:
        status, wide, found = window.open(path), window.sideways(), audit(window)
    server.close()

    assert (status, wide, found) == (200, 0, {"violations": {}, "unsure": {}})


@pytest.mark.parametrize(
    ("paused_for", "words"),
    [
        (None, "no reason was given"),
        ("refused too often", "it refused %(count)s texts one after another"),
        ("not-sent", "the gateway could not be reached"),
        (RejectKind.THROTTLED.value, "it asked for fewer texts at once"),
        (RejectKind.TRANSIENT.value, "it could take no texts just then"),
        (RejectKind.PERMANENT.value, "it takes no texts from this account"),
        ("0x58", "the gateway gave the code %(code)s"),
    ],
)
def test_why_a_route_rests(paused_for: str | None, words: str) -> None:
    assert rest_words(paused_for).text == words


def test_a_gateway_that_nobody_foresaw_is_called_by_its_name() -> None:
    assert gateway_words("pigeon").values == {"name": "pigeon"}
    assert len({gateway_words(name).text for name in ("fake", "smpp", "http_form")}) == 3
