"""What a coordinator sends from the pages of areas and figures, and reads on a planting's page."""

import re

from flask.testing import FlaskClient

from service.records.fields import PlantingRow
from tests.web.reading import post
from tests.web.tree import Element, parse
from tests.world import Enrolled, World, enrol


def by_the_rules(world: World, *, water_ratio: float = 0) -> Enrolled:
    """Enrol a household whose planting has neither an amount nor water of its own."""
    home = enrol(world, water_ratio=water_ratio)
    with world.services.sessions.begin() as session:
        row = session.get_one(PlantingRow, home.planting_id)
        row.litres_per_m2 = row.water_ratio = None
    world.tick("2027-03-10T12:00")
    return home


def sent(client: FlaskClient, path: str, page: str, **fields: str) -> str:
    """Fill in a form, and return the page that follows."""
    answer = post(client, path, page, **fields)
    assert answer.status_code == 303, answer.text
    return client.get(answer.location).text


def hold(client: FlaskClient, first: str, last: str, area: str = "/areas/1") -> str:
    """Hold the doses of an area, or of all, and return the page that follows."""
    path = area if area == "/areas" else f"{area}/hold"
    return sent(client, path, area, hold_first=first, hold_last=last)


def dose_row(client: FlaskClient, home: Enrolled, number: int) -> Element:
    """Return the line of one dose on the page of its planting."""
    page = parse(client.get(f"/plantings/{home.planting_id}").text)
    (found,) = [row for row in page.every("tr") if row.text.startswith(f"A{number} ")]
    return found


def litres(line: str) -> tuple[float, float]:
    """Return the litres of urine and of water that a dose's line tells."""
    urine = re.search(r"Litres of urine: ([0-9.]+)", line)
    water = re.search(r"Litres of water: ([0-9.]+)", line)
    assert urine is not None
    return float(urine[1]), 0.0 if water is None else float(water[1])
