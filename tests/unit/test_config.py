"""Settings: one file, then the environment; every fault is told at once."""

from pathlib import Path

import pytest

from service.config import Profile, load_settings
from service.errors import SettingsError
from service.route_settings import RouteSettings
from tests.fresh import TEXTS

GOOD = """\
database_url = "sqlite:////srv/furrowbell/furrowbell.db"
test_numbers = ["+255100000001"]
allowed_countries = ["TZ", "KE"]

[route]
name = "north"
association = "mbelindo"
adapter = "fake"
sender = "+15050"
rate_per_s = 2.5

[route.settings]
folder = "network"
"""
LEAST = '[route]\nadapter = "fake"\nsender = "15050"\n'


def a_file(folder: Path, text: str) -> dict[str, str]:
    file = folder / "furrowbell.toml"
    file.write_text(text, encoding="utf-8")
    return {"FURROWBELL_SETTINGS": str(file)}


def faults(environment: dict[str, str]) -> list[str]:
    with pytest.raises(SettingsError) as caught:
        load_settings(environment)
    assert caught.value.sentence == "\n".join(caught.value.faults)
    return caught.value.faults


def test_a_file_says_it_all(tmp_path: Path) -> None:
    settings = load_settings(a_file(tmp_path, GOOD))

    assert settings.profile is Profile.LIVE
    assert settings.database_url == "sqlite:////srv/furrowbell/furrowbell.db"
    assert settings.test_numbers == {"+255100000001"}
    assert settings.allowed_countries == ("TZ", "KE")
    assert settings.route == RouteSettings(
        name="north",
        association="mbelindo",
        adapter="fake",
        sender="+15050",
        rate_per_s=2.5,
        settings={"folder": "network"},
    )


def test_what_is_left_out_has_its_usual_value(tmp_path: Path) -> None:
    environment = a_file(tmp_path, LEAST) | {"FURROWBELL_DATABASE_URL": "sqlite:///x.db"}

    settings = load_settings(environment)

    assert (settings.profile, settings.allowed_countries) == (Profile.LIVE, ("TZ",))
    assert (settings.test_numbers, settings.texts) == (frozenset(), TEXTS)
    assert (settings.route.name, settings.route.association) == ("main", None)
    assert (settings.route.rate_per_s, settings.route.settings) == (10.0, {})


def test_the_environment_goes_before_the_file(tmp_path: Path) -> None:
    texts = tmp_path / "texts"
    texts.mkdir()
    environment = a_file(tmp_path, 'profile = "live"\n' + GOOD) | {
        "FURROWBELL_PROFILE": "demo",
        "FURROWBELL_DATABASE_URL": "sqlite:///other.db",
        "FURROWBELL_TEXTS": str(texts),
    }

    settings = load_settings(environment)

    assert (settings.profile, settings.database_url) == (Profile.DEMO, "sqlite:///other.db")
    assert settings.texts == texts


def test_an_empty_variable_says_nothing(tmp_path: Path) -> None:
    settings = load_settings(a_file(tmp_path, GOOD) | {"FURROWBELL_DATABASE_URL": ""})

    assert settings.database_url == "sqlite:////srv/furrowbell/furrowbell.db"


def test_a_data_folder_holds_the_database(tmp_path: Path) -> None:
    settings = load_settings(a_file(tmp_path, LEAST) | {"FURROWBELL_DATA": "/srv/furrowbell"})

    assert settings.database_url == "sqlite:////srv/furrowbell/furrowbell.db"


def test_all_faults_are_told_at_once(tmp_path: Path) -> None:
    text = """\
profile = "trial"
database_url = "furrowbell.db"
texts = "/nowhere/at/all"
test_numbers = "+255100000001"
allowed_countries = [255]
colour = "green"

[route]
adapter = ""
sender = "FARMERS"
rate_per_s = 0
settings = "none"
speed = 3
"""
    found = faults(a_file(tmp_path, text))

    assert found == [
        "colour is not a setting; take it out.",
        "profile must be live or demo.",
        "database_url must be an address such as sqlite:////srv/furrowbell/furrowbell.db.",
        "The folder of texts is missing; set texts to the folder with one a language.",
        'test_numbers must be a list of texts, such as ["TZ"].',
        'allowed_countries must be a list of texts, such as ["TZ"].',
        "route.speed is not a setting; take it out.",
        "route.rate_per_s must be a number of texts a second, above 0, at most 1000.",
        "route.adapter must name a gateway, such as fake.",
        "route.sender must be a number that growers can answer to: digits, with or without +.",
        "route.settings must be a table.",
    ]


def test_a_secret_key_comes_from_the_environment_and_shows_in_no_log(tmp_path: Path) -> None:
    key = "a secret key of the tests, made up"
    environment = a_file(tmp_path, GOOD) | {"FURROWBELL_SECRET_KEY": key}

    settings = load_settings(environment)

    assert settings.needed_secret_key() == key
    assert key not in repr(settings)


def test_without_a_secret_key_only_what_needs_one_asks_for_it(tmp_path: Path) -> None:
    settings = load_settings(a_file(tmp_path, GOOD))

    with pytest.raises(SettingsError, match="token_urlsafe"):
        settings.needed_secret_key()


@pytest.mark.parametrize("line", ['secret_key = "short"', "secret_key = 12345", 'secret_key = ""'])
def test_a_short_secret_key_is_refused_and_not_repeated(tmp_path: Path, line: str) -> None:
    (fault,) = faults(a_file(tmp_path, f"{line}\n{GOOD}"))

    assert fault.startswith("secret_key must have 32 characters or more; make one with")
    assert "12345" not in fault


def test_without_anything_the_database_and_the_route_are_asked_for() -> None:
    found = faults({})

    assert [line.split()[0] for line in found] == ["No", "route.adapter", "route.sender"]


@pytest.mark.parametrize(
    ("rate", "taken"),
    [
        ("0.01", True),
        ("1000", True),
        ("0", False),
        ("-1", False),
        ("1000.5", False),
        ("true", False),
        ('"10"', False),
        ("nan", False),
    ],
)
def test_a_rate_is_a_number_above_nought(tmp_path: Path, rate: str, *, taken: bool) -> None:
    environment = a_file(tmp_path, f"{LEAST}rate_per_s = {rate}\n") | {"FURROWBELL_DATA": "/srv"}

    if taken:
        assert load_settings(environment).route.rate_per_s == float(rate)
    else:
        assert [line.split()[0] for line in faults(environment)] == ["route.rate_per_s"]


def test_a_route_that_is_no_table_is_named_with_what_it_lacks(tmp_path: Path) -> None:
    found = faults(a_file(tmp_path, 'data = "/srv"\nroute = "fake"\n'))

    assert found[0] == "route must be a table: [route] with adapter and sender."
    assert len(found) == 3


def test_a_file_that_is_not_there_or_not_toml_is_said(tmp_path: Path) -> None:
    missing = faults({"FURROWBELL_SETTINGS": str(tmp_path / "none.toml")})
    broken = faults(a_file(tmp_path, "profile = live"))

    assert missing[0] == "The settings file that FURROWBELL_SETTINGS names cannot be read."
    assert broken[0].startswith("The settings file is not TOML: ")
    assert str(tmp_path) not in missing[0]
