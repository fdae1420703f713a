"""What a household lives by, and what is never asked of it."""

from datetime import date

from flask.testing import FlaskClient

from service.records.base import Base
from tests.web.reading import text_of
from tests.web.tree import parse
from tests.web.ward_forms import by_the_rules, dose_row, sent
from tests.world import World, dose_days, enrol


def test_a_dose_on_the_day_to_avoid_moves_by_a_day_with_the_reason(
    world: World, client: FlaskClient
) -> None:
    """E14: no work on Sundays: the dose of Sunday 11 April goes to Monday 12 April."""
    home = by_the_rules(world)
    people = f"/households/{home.household_id}/add/people"
    before = dose_row(client, home, 4).text

    sent(client, people, people, avoid_weekday="6")

    why = text_of(client.get(f"/plantings/{home.planting_id}/why").text)
    assert "Sun 11 Apr" in before
    assert "Mon 12 Apr" in dose_row(client, home, 4).text
    assert "Its day is now Mon 12 Apr." in why
    assert "does no dose work on the weekday of Sun 11 Apr." in why


def test_avoiding_friday_moves_the_dose_due_on_friday(world: World, client: FlaskClient) -> None:
    """E14: avoid Friday: a dose due on Friday moves within the day before or after."""
    home = enrol(world, planted_on=date(2027, 3, 13))
    world.tick("2027-03-10T12:00")
    people = f"/households/{home.household_id}/add/people"
    before = dose_days(world, home)

    sent(client, people, people, avoid_weekday="4")
    after = dose_days(world, home)

    assert before[2] == date(2027, 3, 26)
    assert after[2] == date(2027, 3, 27)
    assert {number for number in after if after[number] != before[number]} == {
        number for number, on in before.items() if on.weekday() == 4
    }


def test_the_schema_has_no_place_for_an_illness() -> None:
    """S3: no column of any table could hold why a can rests longer."""
    words = ("health", "ill", "sick", "disease", "pregnan", "medic", "diagnos")
    columns = {
        f"{table.name}.{column.name}"
        for table in Base.metadata.sorted_tables
        for column in table.columns
    }

    assert "container.longer_rest" in columns
    assert [name for name in columns if any(part in words for part in name.split("_"))] == []
    assert [name for name in columns if any(word in name for word in words if word != "ill")] == []


def test_a_can_with_longer_rest_says_so_and_nothing_else(world: World, client: FlaskClient) -> None:
    """S3: the flag shows "longer rest"; the form says that no reason is written down."""
    home = enrol(world)
    form = f"/households/{home.household_id}/add/container"
    asked = client.get(form).text

    sent(client, form, form, litres="20", longer_rest="yes", sealed_on="10/1/2027")

    labels = [label.text for label in parse(asked).every("label", "legend")]
    assert [label for label in labels if "reason" in label] == [
        "Longer rest (6 months); no reason is written down"
    ]
    assert "longer rest" in text_of(client.get("/containers/2").text)
