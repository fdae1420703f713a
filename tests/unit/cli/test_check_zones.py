"""Zones that nothing knows, and machines without any time-zone data."""

import sys
import zoneinfo
from collections.abc import Iterator

import pytest

from service.cli.check_zones import zone_findings
from service.records.store_facts import AssociationZone
from tests.unit.cli.asking import faults

KNOWN = AssociationZone(name="Near Growers", zone="Africa/Dar_es_Salaam")


@pytest.fixture
def no_system_data() -> Iterator[None]:
    """A machine whose system has no package tzdata."""
    before = zoneinfo.TZPATH
    zoneinfo.reset_tzpath(to=[])
    yield
    zoneinfo.reset_tzpath(to=before)


@pytest.fixture
def no_package(monkeypatch: pytest.MonkeyPatch) -> None:
    """An environment without the Python package tzdata."""
    for name in {"tzdata", *(each for each in sys.modules if each.startswith("tzdata."))}:
        monkeypatch.setitem(sys.modules, name, None)


@pytest.mark.parametrize(
    "zone",
    [
        pytest.param("Africa/Nowhere", id="invented"),
        pytest.param("Africa", id="a folder of zones"),
        pytest.param("../etc/passwd", id="outside"),
        pytest.param("", id="none"),
    ],
)
def test_a_zone_that_nothing_knows_is_named_with_its_association(zone: str) -> None:
    found = zone_findings([KNOWN, AssociationZone(name="Far Growers", zone=zone)])

    assert faults(found) == [
        (
            f"Far Growers: nothing here knows its time zone {zone}. Mend the name, or install a"
            " newer tzdata; until then the service stands still."
        )
    ]
    assert len(found) == 1


@pytest.mark.usefixtures("no_system_data")
def test_without_data_of_the_system_the_python_package_serves() -> None:
    (found,) = zone_findings([KNOWN])

    assert (found.is_well, found.sentence) == (
        True,
        "Every time zone is known, from the Python package tzdata.",
    )


@pytest.mark.usefixtures("no_system_data", "no_package")
def test_without_any_data_that_is_named_once() -> None:
    found = zone_findings([KNOWN])

    (said,) = faults(found)
    assert said.startswith("There is no time-zone data: install the Python package tzdata")
