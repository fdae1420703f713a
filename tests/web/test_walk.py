"""The whole loop in a real browser, without a shell: enrol, reminder, answer, confirmed."""

import re
from collections.abc import Iterator
from dataclasses import replace
from datetime import datetime
from pathlib import Path

import pytest
from playwright.sync_api import Browser, Page, expect

from gateway_adapters.fake import FakeGateway
from service.config import Profile
from service.records.pretend import move_pretend_clock, pretend_now
from service.sign_in.links import make_link
from service.sign_in.staff import add_staff
from service.web.app import create_app
from service.web.serving import Server
from tests.web.browser import DESK, PHONE, Screen, looking
from tests.web.staff import BY, NEEMA, SECRET_KEY, Wall
from tests.world import START, World, an_association

pytestmark = [pytest.mark.browser, pytest.mark.slow]

NUMBER = "+255100000007"


@pytest.fixture
def door(tmp_path: Path) -> Iterator[str]:
    """The one-time link of a demo with an empty association, answered on this machine."""
    world = World(folder=tmp_path)
    an_association(world)
    services = world.services
    with services.sessions.begin() as session:
        move_pretend_clock(session, START)
        staff_id = add_staff(session, 1, NEEMA, by=BY, now=START)
        token = make_link(session, 1, staff_id, by=BY, now=START)

    def pretended() -> datetime:
        with services.sessions.read() as session:
            return pretend_now(session) or START

    settings = replace(services.settings, secret_key=SECRET_KEY, profile=Profile.DEMO)
    phones = FakeGateway(clock=pretended, folder=tmp_path / "network")
    demo = replace(services, settings=settings, clock=pretended, gateways={"main": phones})
    server = Server(create_app(demo, wall=Wall().clock), host="127.0.0.1", port=0)
    server.start()
    yield f"{server.address}/first-visit/{token}"
    server.close()
    world.close()


@pytest.mark.parametrize(
    "screen",
    [
        pytest.param(Screen(size=PHONE), id="phone, scripts on"),
        pytest.param(Screen(size=PHONE, scripts=False), id="phone, scripts off"),
        pytest.param(Screen(size=DESK), id="desk, scripts on"),
        pytest.param(Screen(size=DESK, scripts=False), id="desk, scripts off"),
    ],
)
def test_from_the_first_link_to_a_confirmed_dose(
    chromium: Browser, door: str, screen: Screen
) -> None:
    address, path = re.fullmatch(r"(http://[^/]+)(/.*)", door).groups()  # type: ignore[union-attr]  # -- it is one
    with looking(chromium, address, screen) as window:
        page = window.page
        window.open(path)
        expect(page.get_by_role("heading", name="Today")).to_be_visible()
        enrol(page)
        expect(page.get_by_text("waiting for START")).to_be_visible()

        open_phone(page)
        next_evening(page)
        expect(page.get_by_text("Reply YES to start")).to_be_visible()
        answer(page, "YES")
        expect(page.get_by_text("welcome")).to_be_visible()
        next_evening(page)
        expect(page.get_by_text("Reply A1")).to_be_visible()
        next_evening(page)
        answer(page, "A1")
        expect(page.get_by_text("A1 done Mon 22 Feb")).to_be_visible()

        page.get_by_role("link", name="Households").click()
        page.get_by_role("link", name=re.compile("Mti Test")).click()
        page.get_by_role("link", name=re.compile("^maize")).click()
        expect(page.get_by_role("row").filter(has_text="A1")).to_contain_text("done")
        assert window.complaints == []


def enrol(page: Page) -> None:
    """Fill in the form from the top, as one reads it."""
    page.get_by_role("link", name="Enrol", exact=True).click()
    page.get_by_label("Name, or a name they chose").fill("Mti Test")
    page.get_by_label("North").check()
    page.get_by_label("English", exact=True).check()
    page.get_by_label("Only this household").check()
    page.get_by_label("Phone number").fill("0100 000 007")
    page.get_by_label("Yes", exact=True).check()
    page.get_by_label("Or steps along").fill("20")
    page.get_by_label("Steps across").fill("12")
    page.get_by_label("Crop", exact=True).select_option("maize-grain")
    page.get_by_label("Sown or planted on").fill("22 February 2027")
    page.get_by_label("Rains").check()
    page.get_by_label("20 L").check()
    page.get_by_label("Sealed on").fill("1/2/2027")
    page.get_by_role("button", name="Save", exact=True).click()


def open_phone(page: Page) -> None:
    """Go to the grower's pretend phone."""
    page.get_by_role("link", name="Pretend phones", exact=True).click()
    page.get_by_role("link", name=NUMBER).click()


def next_evening(page: Page) -> None:
    """Let the demo's time go on; the phone stays open."""
    with page.expect_navigation():  # the same page comes back, with the same button
        page.get_by_role("button", name="Go to the next evening").click()


def answer(page: Page, text: str) -> None:
    """Answer as the grower."""
    page.get_by_label("Text to send").fill(text)
    with page.expect_navigation():
        page.get_by_role("button", name="Send this text").click()
