"""The object graph is built once, by hand; every fault of it is told at once."""

from dataclasses import replace
from datetime import UTC, datetime
from pathlib import Path

import pytest

from gateway_adapters.contract import Gateway
from gateway_adapters.fake import FakeGateway
from service.bootstrap import Services, build
from service.clock import system_clock
from service.config import Profile, Settings
from service.dispatch.rendering import renderer
from service.errors import RefusedError, SettingsError
from service.jobs import STEP, start_ticker
from service.messages.printing import ValueRefusedError
from service.records.engine import Sessions, open_engine
from service.records.migrate import DatabaseVersionError
from service.records.pretend import move_pretend_clock
from service.records.traffic import InboundRow, MessageRow, RouteRow
from service.route_settings import RouteSettings
from tests.fresh import fresh_database, no_tables, shipped_texts
from tests.world import PHONE, World, an_association, enrol, settings_for
from tests.world_facts import other_association
from tests.world_looks import rows

LATER = datetime(2027, 3, 14, 15, 0, tzinfo=UTC)


@pytest.fixture
def settings(tmp_path: Path) -> Settings:
    """Settings with an up-to-date database and the fake gateway, in memory."""
    fresh_database(tmp_path)
    return settings_for(tmp_path)


def route(of: Settings, **changes: object) -> Settings:
    changed: RouteSettings = replace(of.route, **changes)  # type: ignore[arg-type]  # -- each test gives the field's own type
    return replace(of, routes=(changed,))


def another_association(world: World) -> None:
    with world.services.sessions.begin() as session:
        session.add(
            other_association(world.clock(), zone="Africa/Nairobi", country="KE", language="sw")
        )


def rerouted(world: World, association: str | None) -> Services:
    return replace(world.services, settings=route(world.services.settings, association=association))


def test_the_gateway_and_the_clock_of_the_settings_are_opened(settings: Settings) -> None:
    services = build(settings)

    assert isinstance(services.gateway, FakeGateway)
    assert services.clock is system_clock
    assert services.pretend_phones() is services.gateway
    services.sessions.engine.dispose()


def test_the_system_clock_is_aware_and_in_utc() -> None:
    assert system_clock().tzinfo is UTC


def test_every_fault_is_told_at_once(settings: Settings, tmp_path: Path) -> None:
    empty = tmp_path / "texts"
    empty.mkdir()
    wrong = replace(route(settings, adapter="pigeon"), texts=empty)

    with pytest.raises(SettingsError) as caught:
        build(wrong)

    assert len(caught.value.faults) >= 2
    assert any("pigeon" in fault for fault in caught.value.faults)


def test_wrong_settings_of_the_gateway_are_told(settings: Settings) -> None:
    with pytest.raises(SettingsError, match="is no setting of the fake gateway"):
        build(route(settings, settings={"colour": "green"}))


def installed(site: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """Install a gateway, `wire`, that does not say that it reaches no real phone."""
    information = site / "wire-1.0.dist-info"
    information.mkdir(parents=True)
    (information / "METADATA").write_text("Name: wire\nVersion: 1.0\n")
    (information / "entry_points.txt").write_text("[gateway_adapters]\nwire = real_wire:open_it\n")
    (site / "real_wire.py").write_text(
        "def open_it(settings, clock):\n    raise AssertionError('opened')\n"
    )
    monkeypatch.syspath_prepend(str(site))


def test_the_demo_does_not_even_open_a_gateway_that_reaches_phones(
    settings: Settings, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    installed(tmp_path / "site", monkeypatch)
    demo = replace(route(settings, adapter="wire"), profile=Profile.DEMO)

    with pytest.raises(SettingsError) as caught:
        build(demo)

    assert caught.value.faults == [
        (
            "The demo may only use a gateway that reaches no real phone; set the route 'main' to"
            " the adapter fake, or to a peer on this machine."
        )
    ]


def test_an_unknown_gateway_is_named_once_in_the_demo_too(settings: Settings) -> None:
    demo = replace(route(settings, adapter="pigeon"), profile=Profile.DEMO)

    with pytest.raises(SettingsError) as caught:
        build(demo)

    assert len(caught.value.faults) == 1
    assert "pigeon" in caught.value.faults[0]


def test_a_database_without_tables_is_not_run_on(tmp_path: Path) -> None:
    no_tables(tmp_path)

    with pytest.raises(DatabaseVersionError, match="furrowbell migrate"):
        build(settings_for(tmp_path))


def test_the_demo_takes_its_time_from_the_database(settings: Settings) -> None:
    services = build(replace(settings, profile=Profile.DEMO))
    before = services.clock()
    with services.sessions.begin() as session:
        move_pretend_clock(session, LATER)

    assert abs((system_clock() - before).total_seconds()) < 60
    assert services.clock() == LATER
    services.sessions.engine.dispose()


def test_before_an_association_there_is_no_lane_and_a_step_does_nothing(world: World) -> None:
    world.tick()

    assert world.services.lane() is None
    assert rows(world, RouteRow) == []


def test_a_lane_is_the_route_of_the_only_association(world: World) -> None:
    an_association(world)

    lanes = [world.services.lane() for _ in range(2)]

    assert lanes[0] is not None
    assert lanes[0] == lanes[1]
    assert (lanes[0].association_id, lanes[0].sender, lanes[0].language) == (1, "15050", "en")
    assert [row.name for row in rows(world, RouteRow)] == ["main"]


def test_of_several_associations_the_route_must_name_one(world: World) -> None:
    an_association(world)
    another_association(world)

    with pytest.raises(SettingsError, match="holds several associations"):
        world.services.lane()
    named = rerouted(world, "other").lane()

    assert named is not None
    assert (named.association_id, named.language) == (2, "sw")


def test_a_route_that_names_an_unknown_association_is_refused(world: World) -> None:
    before = rerouted(world, "nobody").lane()
    an_association(world)

    with pytest.raises(SettingsError, match="names no association"):
        rerouted(world, "nobody").lane()

    assert before is None


def test_a_step_of_one_association_leaves_the_other_alone(world: World) -> None:
    enrol(world)
    another_association(world)
    world.services = rerouted(world, "other")

    world.tick("2027-03-14T18:00")

    assert (rows(world, MessageRow), world.bodies()) == ([], [])


def test_only_the_fake_gateway_has_pretend_phones(world: World) -> None:
    class Other:
        """A gateway of another make."""

    other: Gateway = Other()  # type: ignore[assignment]  # -- it is only asked what it is
    services = replace(world.services, gateways={"main": other})

    with pytest.raises(RefusedError, match="Only the fake gateway") as caught:
        services.pretend_phones()

    assert caught.value.code == "text"


def test_a_row_without_values_is_not_rendered_but_refused() -> None:
    render = renderer(shipped_texts(), "en")
    row = MessageRow(kind="help", language="sw", fields={"values": None})

    with pytest.raises(ValueRefusedError):
        render(row)


def test_a_row_is_rendered_in_its_language_or_else_the_associations() -> None:
    render = renderer(shipped_texts(), "en")
    values = {"values": {"phone": "+255100000090"}}

    sw, other, en = (
        render(MessageRow(kind="help", language=language, fields=values))
        for language in ("sw", "am", "en")
    )

    assert sw != en
    assert other == en


def test_every_job_has_an_id_runs_alone_and_catches_up_once(world: World) -> None:
    ticker = start_ticker(world.services, [STEP])
    jobs = {job.id: job for job in ticker.get_jobs()}
    ticker.shutdown(wait=True)

    assert set(jobs) == {STEP.id}
    assert all((job.max_instances, job.coalesce) == (1, True) for job in jobs.values())
    assert all(job.misfire_grace_time is None for job in jobs.values())


def test_a_job_survives_a_database_that_is_away(
    settings: Settings, caplog: pytest.LogCaptureFixture
) -> None:
    away = Sessions(open_engine("sqlite:////nowhere/at/all.db"))
    services = replace(build(settings), sessions=away)
    ticker = start_ticker(services, [STEP])
    (job,) = ticker.get_jobs()

    job.func(*job.args)
    ticker.shutdown(wait=True)

    assert [
        record.getMessage() for record in caplog.records if record.name == "furrowbell.jobs"
    ] == ["job failed"]


def two_routes(world: World) -> dict[str, FakeGateway]:
    """Give the association a second route, for numbers that end the range of the first."""
    far = replace(world.services.settings.route, name="far", prefixes=("+2551000000",), cost=0.5)
    settings = replace(world.services.settings, routes=(world.services.settings.route, far))
    gateways = {"main": world.gateway, "far": FakeGateway(clock=world.clock)}
    world.services = replace(world.services, settings=settings, gateways=gateways)
    return gateways


def test_a_text_goes_by_the_route_that_serves_its_number(world: World) -> None:
    enrol(world)
    gateways = two_routes(world)

    world.tick("2027-03-14T18:00")

    assert [len(gateway.texts()) for gateway in gateways.values()] == [0, 1]
    assert {row.name for row in rows(world, RouteRow)} == {"main", "far"}


def test_what_comes_in_by_any_route_is_read_and_answered_by_the_same(world: World) -> None:
    enrol(world)
    gateways = two_routes(world)
    world.tick("2027-03-14T18:00")
    for gateway in gateways.values():
        gateway.answer(PHONE, "HELP")
        world.tick("2027-03-15T12:00")

    assert [len(gateway.texts()) for gateway in gateways.values()] == [1, 1]
    assert len(rows(world, InboundRow)) == 2


def test_a_route_taken_out_of_the_settings_is_retired(world: World) -> None:
    enrol(world)
    two_routes(world)
    world.services.lanes()

    world.services = replace(
        world.services,
        settings=replace(world.services.settings, routes=(world.services.settings.route,)),
    )
    world.services.lanes()

    assert {row.name: row.retired for row in rows(world, RouteRow)} == {"main": False, "far": True}
