"""deploy/compose.yaml and deploy/Dockerfile: what they name is there. They are not run here."""

import json
import re
import subprocess
import sys
from dataclasses import replace
from pathlib import Path
from typing import Any

import click
import pytest
import yaml  # type: ignore[import-untyped]  # -- ships no types

from service.cli.main import cli
from service.config import load_settings
from service.web.app import create_app
from service.web.serving import Server
from tests.house.repository import ROOT
from tests.web.staff import SECRET_KEY
from tests.world import World

COMPOSE, DOCKERFILE = ROOT / "deploy" / "compose.yaml", ROOT / "deploy" / "Dockerfile"
PLAN: dict[str, Any] = yaml.safe_load(COMPOSE.read_text(encoding="utf-8"))
SERVICES: dict[str, dict[str, Any]] = PLAN["services"]
OURS = sorted(name for name, service in SERVICES.items() if service["image"] == "furrowbell")
STEPS = [line.split(" ", 1) for line in re.sub(r"\\\n", "", DOCKERFILE.read_text()).splitlines()]
"""The Dockerfile's instructions, each with its words."""


def said(instruction: str) -> list[str]:
    return [words[1] for words in STEPS if words[0] == instruction]


def explained() -> dict[str, str]:
    """Return the environment file that the text above the services tells people to write."""
    return dict(
        re.findall(
            r"^#\s+(?:furrowbell\.env\s+)?([A-Z_]+)=(\S+)", COMPOSE.read_text(), re.MULTILINE
        )
    )


def test_there_are_two_at_work_one_for_the_pages_and_a_database() -> None:
    assert OURS == ["migrate", "web", "work"]
    assert SERVICES["work"]["deploy"]["replicas"] == 2
    assert "deploy" not in SERVICES["web"]
    assert SERVICES["database"]["image"].startswith("postgres:")


@pytest.mark.parametrize("name", OURS)
def test_each_command_is_one_of_ours_with_options_that_it_has(name: str) -> None:
    word, *options = SERVICES[name]["command"]

    command = cli.commands[word]

    # as on the command line: a word that is too many, or a value that is no port, is refused
    command.make_context(word, list(options))
    assert isinstance(command, click.Command)


def test_the_image_starts_the_command_as_another_user_than_root() -> None:
    assert [json.loads(words) for words in said("ENTRYPOINT")] == [["furrowbell"]]
    assert said("USER") == ["furrowbell"]
    assert any(
        words.startswith("useradd") and words.endswith(" furrowbell") for words in said("RUN")
    )


def test_what_the_image_is_made_of_is_in_the_clone() -> None:
    names = [name for words in said("COPY") for name in words.split()[:-1]]
    built = SERVICES["web"]["build"]

    assert [name for name in names if not (ROOT / name).exists()] == []
    # the packages of the wheel, what is forced into it, and what its description names
    assert {"service", "gateway_adapters", "locales", "README.md", "pyproject.toml"} <= set(names)
    assert (COMPOSE.parent / built["context"]).resolve() == ROOT
    assert ROOT / built["dockerfile"] == DOCKERFILE


def test_the_python_of_the_image_is_new_enough() -> None:
    (image,) = said("FROM")
    found = re.fullmatch(r"python:3\.(\d+)-slim", image)

    assert found is not None
    assert int(found[1]) >= 11  # requires-python in pyproject.toml


def test_the_settings_lie_where_the_image_looks_for_them(tmp_path: Path) -> None:
    """The service reads the names that the text tells people to write, and a file at that place."""
    (place,) = [words.partition("=")[2] for words in said("ENV") if "SETTINGS" in words]
    mounts = [SERVICES[name]["volumes"] for name in OURS]
    file = tmp_path / Path(place).name
    file.write_text('[route]\nadapter = "fake"\nsender = "15050"\n', encoding="utf-8")

    assert mounts == [[f"./settings:{Path(place).parent}:ro"] for _ in OURS]
    assert f"settings/{Path(place).name}" in COMPOSE.read_text()
    given = explained() | {"FURROWBELL_SECRET_KEY": SECRET_KEY, "FURROWBELL_SETTINGS": str(file)}
    settings = load_settings(given)
    assert settings.secret_key == SECRET_KEY
    assert settings.database_url == explained()["FURROWBELL_DATABASE_URL"]


def test_the_address_of_the_database_is_that_of_its_service() -> None:
    found = re.fullmatch(
        r"postgresql\+psycopg://(\w+):\.\.\.@(\w+)/(\w+)", explained()["FURROWBELL_DATABASE_URL"]
    )
    assert found is not None
    user, host, database = found.groups()
    service = SERVICES[host]

    assert service["environment"] == {"POSTGRES_USER": user, "POSTGRES_DB": database}
    assert "POSTGRES_PASSWORD" in explained()
    assert service["healthcheck"]["test"][1:] == [
        *("pg_isready", "--username", user, "--dbname", database)
    ]


def test_no_secret_stands_in_the_file() -> None:
    secret = re.compile("PASSWORD|SECRET|URL")

    for service in SERVICES.values():
        assert service["env_file"] == "furrowbell.env"
        assert not any(secret.search(name) for name in service.get("environment", {}))
    assert {value for name, value in explained().items() if name != "FURROWBELL_DATABASE_URL"} == {
        "..."
    }


def test_what_ends_is_started_again_and_what_is_kept_has_a_volume() -> None:
    again = {name: service["restart"] for name, service in SERVICES.items()}
    kept = [volume.split(":")[0] for volume in SERVICES["database"]["volumes"]]

    assert again == {
        "database": "unless-stopped",
        "migrate": "on-failure",
        "web": "unless-stopped",
        "work": "unless-stopped",
    }
    assert kept == list(PLAN["volumes"])


@pytest.mark.slow
@pytest.mark.parametrize(
    ("hosts", "status"),
    [
        pytest.param(("127.0.0.1",), 0, id="served"),
        pytest.param(("pages.example",), 0, id="another name alone"),
        pytest.param(None, 1, id="nobody there"),
    ],
)
def test_the_look_at_the_pages_says_whether_they_answer(
    tmp_path: Path, hosts: tuple[str, ...] | None, status: int
) -> None:
    """Its program is run as it stands, at a port that is free here."""
    *words, program = SERVICES["web"]["healthcheck"]["test"]
    world = World(folder=tmp_path)
    settings = replace(
        world.services.settings, secret_key=SECRET_KEY, web_hosts=hosts or ("127.0.0.1",)
    )
    app = create_app(replace(world.services, settings=settings))
    server = Server(app, host="127.0.0.1", port=0)
    port = server.address.rpartition(":")[2]
    if hosts is None:
        server.close()
    else:
        server.start()

    done = subprocess.run(  # noqa: S603 -- the program of this repository's own file
        [sys.executable, "-c", program.replace("8000", port)], check=False, capture_output=True
    )
    server.close()
    world.close()

    assert words == ["CMD", "python", "-c"]
    assert done.returncode == status, done.stderr


def test_the_pages_are_looked_at_where_they_are() -> None:
    web = SERVICES["web"]
    port = web["command"][-1]

    assert f'"127.0.0.1", {port}' in web["healthcheck"]["test"][-1]
    assert web["ports"] == [f"127.0.0.1:{port}:{port}"]
