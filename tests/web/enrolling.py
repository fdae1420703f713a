"""The enrolment form filled in, for tests of what follows."""

from flask.testing import FlaskClient
from werkzeug.test import TestResponse

from tests.web.reading import post

HOUSE = {"alias": "Mti Test", "area_id": "1", "after": "stay"}
PHONE = {"number": "0100 000 007"}
YES = {"said": "yes"}
PLOT = {"area_m2": "100"}
MAIZE = {"crop": "maize-grain", "planted_on": "15 March 2027", "season": "rains"}
CAN = {"litres": "20", "sealed_on": "10/1/2027"}
WHOLE = HOUSE | PHONE | YES | PLOT | MAIZE | CAN


def send_enrolment(client: FlaskClient, **fields: str) -> TestResponse:
    """Send the enrolment form with these fields; the rest stays as the page has it."""
    return post(client, "/enrol", "/enrol", **fields)


def household_of(answer: TestResponse) -> int:
    """Return the id of the household that an enrolment led to."""
    assert answer.status_code == 303, answer.text
    assert answer.location is not None
    return int(answer.location.rsplit("/", maxsplit=1)[1])
