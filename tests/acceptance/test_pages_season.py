"""Done, not done and not known, on the season's page and in the table to take away."""

import csv
from datetime import date
from io import StringIO

from flask.testing import FlaskClient

from tests.web.reading import text_of
from tests.web.tree import parse
from tests.world import World, enrol, tick_through


def test_done_not_done_and_not_known_stay_three_things(world: World, client: FlaskClient) -> None:
    """R6: one dose done, one not done, one in silence; the share not known is a third."""
    enrol(world)
    world.tick("2027-03-14T18:00")
    world.text("A1", at="2027-03-15T12:00")
    world.tick("2027-03-27T18:00")
    world.text("A2 NO", at="2027-03-28T12:00")
    tick_through(world, date(2027, 4, 3), date(2027, 4, 11), hours=("18:00",))

    html = client.get("/season").text
    (heads,) = [row for row in parse(html).every("tr") if not list(row.every("td"))]
    (cells,) = [row for row in parse(html).every("tr") if row.text.startswith("North")]
    numbers = dict(
        zip(
            [head.text for head in heads.every("th")][1:],
            [cell.text.partition(": ")[2] for cell in cells.every("td")],
            strict=True,
        )
    )
    taken = list(csv.DictReader(StringIO(client.get("/season.csv").text, newline="")))

    assert numbers["Done on time"] == "1 (33 %)"
    assert numbers["Not done"] == "1 (33 %)"
    assert numbers["Not known"] == "1 (33 %)"
    assert "1 done, 1 not done, 1 not known (33 %)." in text_of(html)
    assert [row["state"] for row in taken][:3] == ["done", "not-done", "not-known"]
