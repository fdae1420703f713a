"""Builds the pages' app. `PAGES` is the list of them: one line a page."""

from datetime import datetime

from flask import Flask, g, get_flashed_messages
from flask_wtf.csrf import CSRFProtect
from jinja2 import StrictUndefined
from typing_extensions import override
from werkzeug.routing import BaseConverter

from service.bootstrap import Services
from service.clock import Clock, system_clock
from service.sign_in.entry import Entrance
from service.sign_in.passwords import Passwords
from service.sign_in.secrets import Vault
from service.web import (
    account,
    area_holds,
    cautions,
    clock_box,
    collecting,
    containers,
    enrol,
    fertiliser,
    first_visit,
    gateways,
    handset,
    home_pages,
    households,
    local_values,
    localities,
    phones,
    plantings,
    plots,
    reading,
    routes,
    season,
    sign_in,
    style,
    tasks,
    today,
    try_reply,
    turns,
)
from service.web.failing import handle_failures
from service.web.guard import ask_who
from service.web.headers import add_headers
from service.web.here import EXTENSION, Here, Office, tongue
from service.web.menu import menu
from service.web.tongue import Tongue, load_tongues

PAGES = (
    style.page,
    sign_in.page,
    first_visit.page,
    gateways.page,
    account.page,
    phones.page,
    handset.page,
    households.page,
    home_pages.page,
    enrol.page,
    fertiliser.page,
    plantings.page,
    turns.page,
    plots.page,
    containers.page,
    localities.page,
    area_holds.page,
    local_values.page,
    routes.page,
    cautions.page,
    collecting.page,
    season.page,
    reading.page,
    try_reply.page,
    today.page,
    clock_box.page,
    tasks.page,
)
BODY_LIMIT = 1_000_000  # bytes; the largest form is a few thousand
COOKIE = "__Host-furrowbell"


class IdConverter(BaseConverter):
    """An id in an address: ASCII digits, no zero in front."""

    regex = "[1-9][0-9]{0,17}"

    @override
    def to_python(self, value: str) -> int:
        """Return the id."""
        return int(value)


def create_app(
    services: Services,
    *,
    wall: Clock = system_clock,
    passwords: Passwords | None = None,
    tongues: dict[str, Tongue] | None = None,
) -> Flask:
    """Return the app over running services; `wall` is the true time for sign-ins.

    Tests pass `passwords` that cost less work, and `tongues` that were loaded before.

    Raises:
        SettingsError: the settings lack the secret key, or a page catalogue cannot be read.
    """
    key = services.settings.needed_secret_key()
    app = Flask(__name__, static_folder=None)
    app.config.update(
        SECRET_KEY=key,
        SESSION_COOKIE_NAME=COOKIE,
        SESSION_COOKIE_SECURE=True,
        SESSION_COOKIE_HTTPONLY=True,
        SESSION_COOKIE_SAMESITE="Lax",
        SESSION_COOKIE_PATH="/",
        MAX_CONTENT_LENGTH=BODY_LIMIT,
        TRUSTED_HOSTS=list(services.settings.web_hosts),
        WTF_CSRF_TIME_LIMIT=None,  # a form filled in under a tree takes its time
    )
    app.extensions[EXTENSION] = Office(
        services=services,
        wall=wall,
        entrance=Entrance(
            sessions=services.sessions,
            vault=Vault(key.encode()),
            passwords=passwords or Passwords(),
        ),
        tongues=tongues or load_tongues(services.settings.texts),
    )
    app.url_map.converters["id"] = IdConverter
    app.before_request(ask_who)
    CSRFProtect(app).exempt(gateways.page)  # no browser and no session: the adapter asks for proof
    app.after_request(add_headers)
    _teach_templates(app)
    handle_failures(app)
    for page in PAGES:
        app.register_blueprint(page)
    return app


def _teach_templates(app: Flask) -> None:
    app.jinja_env.undefined = StrictUndefined
    app.jinja_env.trim_blocks = app.jinja_env.lstrip_blocks = True
    app.jinja_env.add_extension("jinja2.ext.i18n")
    app.jinja_env.install_gettext_callables(  # type: ignore[attr-defined]  # -- added by the extension
        lambda text: tongue().gettext(text),
        lambda one, many, count: tongue().ngettext(one, many, count),
        newstyle=True,
    )
    app.jinja_env.filters |= {
        "day": lambda on: tongue().day(on),
        "short_day": lambda on: tongue().short_day(on),
        "moment": _moment,
        "number": lambda value: tongue().number(value),
        "say": lambda said: tongue().say(said),
        "crop": crop_name,
    }

    @app.context_processor
    def _page_facts() -> dict[str, object]:
        signed: Here | None = g.get("here")
        return {
            "here": signed,
            "tongue": tongue(),
            "menu": menu(signed),
            "sheet": f"/furrow-{style.DIGEST}.css",
            "results": get_flashed_messages,
        }


def _moment(at: datetime) -> str:
    signed: Here = g.here
    return signed.tongue.moment(at, signed.zone)


def crop_name(crop_id: str) -> str:
    """Return a crop's short name in the page's language."""
    signed: Here = g.here
    languages = signed.services.catalogue.languages
    language = languages.get(signed.tongue.code, languages["en"])
    return language.texts.get(f"crop.{crop_id}", crop_id)
