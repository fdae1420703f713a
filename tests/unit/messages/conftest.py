"""The catalogue that is shipped, read once."""

from pathlib import Path

import pytest

from service.messages.catalogue import Catalogue

LOCALES = Path(__file__).resolve().parents[3] / "locales"


@pytest.fixture(scope="session")
def catalogue() -> Catalogue:
    return Catalogue.load(LOCALES)


@pytest.fixture(scope="session")
def locales() -> Path:
    return LOCALES
