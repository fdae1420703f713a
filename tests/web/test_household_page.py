"""The page of one household: what is known of it, its numbers, its texts and answers."""

from datetime import date

from flask.testing import FlaskClient

from service.confirmations.crop_news import confirm_harvest
from service.records.fields import PlotRow, Texture
from service.records.people import AuditRow, HouseholdRow
from tests.web.homes import bare_home
from tests.web.reading import (
    addresses_of,
    buttons_of,
    form_of,
    headings_of,
    links_of,
    post,
    text_of,
    title_of,
)
from tests.world import PHONE, World, enrol
from tests.world_facts import another_can, another_phone, another_plot, by_call
from tests.world_looks import rows

HTML_MOST = 10_000  # bytes; with the style sheet the page stays under 15 kB


def test_the_page_tells_what_is_known_of_a_home(world: World, client: FlaskClient) -> None:
    home = enrol(world)
    world.tick("2027-03-14T18:00")

    shown = text_of(client.get(f"/households/{home.household_id}").text)

    assert "H01 H01 Area: North" in shown
    assert "2 adults, 1 child" in shown
    assert "Only the own household; cans rest 30 days" in shown
    assert "Language of the texts English" in shown
    assert "Texts go at 18:00" in shown
    assert "Plot A: 100 m², usual soil" in shown
    assert "Can 1, 200 L: ready since Tuesday 9 February 2027" in shown
    assert "test asked on Saturday 20 February 2027: yes." in shown
    assert "The phone said yes on Saturday 20 February 2027." in shown
    assert "Still missing" not in shown


def test_a_planting_leads_to_its_page_with_the_next_dose(world: World, client: FlaskClient) -> None:
    """150 L in seven doses: the next is a seventh, cut to what can be measured."""
    home = enrol(world)
    world.tick("2027-03-14T18:00")

    html = client.get(f"/households/{home.household_id}").text

    assert links_of(html)["maize, Plot A"] == f"/plantings/{home.planting_id}"
    assert "to be sown on Monday 15 March 2027." in text_of(html)
    assert "Next dose: Monday 15 March 2027, 21 L." in text_of(html)


def test_a_day_that_hangs_on_emergence_is_shown_as_assumed(
    world: World, client: FlaskClient
) -> None:
    home = enrol(world)
    world.tick("2027-03-14T18:00")
    world.text("A1", at="2027-03-15T12:00")
    page = f"/households/{home.household_id}"
    before = text_of(client.get(page).text)
    world.text("A UP", at="2027-03-21T12:00")

    assert "The day is assumed until the plants are up." in before
    assert "assumed" not in text_of(client.get(page).text)


def test_a_harvested_planting_says_when(world: World, client: FlaskClient) -> None:
    home = enrol(world)
    world.tick("2027-08-02T12:00")
    by_call(world, lambda desk: confirm_harvest(desk, home.planting_id, on=date(2027, 8, 1)))

    shown = text_of(client.get(f"/households/{home.household_id}").text)

    assert "maize, Plot A: harvested on Sunday 1 August 2027." in shown


def test_a_plot_near_water_says_how_far_to_stay_away(world: World, client: FlaskClient) -> None:
    """Not knowing what water it is, the widest strip that a home meets holds: of a well."""
    home = enrol(world)
    with world.services.sessions.begin() as session:
        plot = session.get_one(PlotRow, home.plot_id)
        plot.water_m, plot.texture, plot.measured = 12, Texture.LOAM, "20 x 12"
    page = f"/households/{home.household_id}"
    near = text_of(client.get(page).text)
    with world.services.sessions.begin() as session:
        session.get_one(PlotRow, home.plot_id).water_m = 60
    far = text_of(client.get(page).text)

    assert "Plot A: 100 m² (20 x 12), usual soil, loam, water 12 m away." in near
    assert "Take care: pour nothing within 25 m of it" in near
    assert "water 60 m away" in far
    assert "Take care" not in far


def test_links_lead_to_what_adds_more(world: World, client: FlaskClient) -> None:
    home = enrol(world)
    page = f"/households/{home.household_id}"

    links = addresses_of(client.get(page).text)

    assert [link.rsplit("/", 1)[1] for link in links if link.startswith(f"{page}/add/")] == [
        "people",
        "phone",
        "plot",
        "planting",
        "container",
    ]


def test_open_calls_lead_to_their_pages(world: World, client: FlaskClient) -> None:
    home = enrol(world, needs_call=True)
    world.tick("2027-03-14T18:00")

    html = client.get(f"/households/{home.household_id}").text

    assert "To do" in headings_of(html, "h2")
    assert "/tasks/1" in addresses_of(html)


def test_the_number_is_masked_until_somebody_asks(world: World, client: FlaskClient) -> None:
    home = enrol(world)
    page = f"/households/{home.household_id}"
    before = client.get(page).text

    after = post(client, f"{page}/numbers", before)

    assert PHONE not in _closed_up(before)
    assert PHONE in _closed_up(after.text)
    assert PHONE[-3:] in text_of(before)


def _closed_up(html: str) -> str:
    return "".join(text_of(html).split())


def test_a_look_at_a_number_is_written_down_without_it(world: World, client: FlaskClient) -> None:
    home = enrol(world)
    page = f"/households/{home.household_id}"

    post(client, f"{page}/numbers", page)

    written = rows(world, AuditRow)[-1]
    assert (written.who, written.what) == ("Neema Test", "number shown")
    assert (written.subject, written.subject_id) == ("household", home.household_id)
    assert written.detail == {}


def test_after_a_new_sign_in_the_number_is_not_shown_by_itself(
    world: World, client: FlaskClient
) -> None:
    home = enrol(world)
    page = f"/households/{home.household_id}"
    looks = len(rows(world, AuditRow))

    answer = post(client, f"{page}/numbers", page, resume="yes")

    assert (answer.status_code, answer.location) == (303, page)
    assert len(rows(world, AuditRow)) == looks


def test_a_shared_phone_names_the_other_home(world: World, client: FlaskClient) -> None:
    home = enrol(world, code="H01")
    other = enrol(world, code="H02", letter="D", can=2)

    html = client.get(f"/households/{home.household_id}").text

    assert links_of(html)["H02 H02"] == f"/households/{other.household_id}"
    assert "The phone is shared" in text_of(html)


def test_the_title_of_a_discreet_home_gives_nothing_away(world: World, client: FlaskClient) -> None:
    home = enrol(world, code="H77", discreet=True)
    page = f"/households/{home.household_id}"

    titles = [title_of(client.get(path).text) for path in (page, f"{page}/stop")]
    titles.append(title_of(post(client, f"{page}/numbers", page).text))

    assert [title.split()[:2] for title in titles] == [
        ["Household", "\N{EN DASH}"],
        ["Stop", "the"],
        ["A", "household's"],
    ]
    assert "H77" not in " ".join(titles)
    assert not {"urine", "dose", "crop"} & set(" ".join(titles).lower().split())


def test_a_home_that_does_not_exist_is_not_there(client: FlaskClient) -> None:
    assert client.get("/households/4711").status_code == 404


def test_a_home_without_anything_says_what_comes_next(world: World, client: FlaskClient) -> None:
    html = client.get(f"/households/{bare_home(world)}").text

    shown = text_of(html)
    assert "Not said yet" in shown
    assert "No phone. A day before each job, Today asks you to call or visit." in shown
    assert "No text yet." in shown
    assert "Show the number" not in buttons_of(html)


def test_a_large_home_still_fits_a_slow_line(world: World, client: FlaskClient) -> None:
    home = enrol(world, language="sw")
    for letter in "DGJ":
        another_plot(world, home, letter=letter)
    for number in range(2, 6):
        another_can(world, home, number=number, sealed_on=date(2027, 1, 10))
    another_phone(world, home, number="+255100000003")
    for day in range(14, 24):
        world.tick(f"2027-03-{day}T18:00")
        world.text("perhaps A2 or so?", at=f"2027-03-{day}T19:00")

    answer = client.get(f"/households/{home.household_id}")

    assert len(answer.data) <= HTML_MOST


def test_the_hour_of_texts_has_two_digits_each(world: World, client: FlaskClient) -> None:
    home = enrol(world)
    with world.services.sessions.begin() as session:
        session.get_one(HouseholdRow, home.household_id).remind_minute = 17 * 60 + 5

    assert "Texts go at 17:05" in text_of(client.get(f"/households/{home.household_id}").text)


def test_the_show_button_carries_no_number(world: World, client: FlaskClient) -> None:
    home = enrol(world)
    page = f"/households/{home.household_id}"

    fields = form_of(client.get(page).text, f"{page}/numbers")

    assert fields.keys() == {"csrf_token", "form_key"}
