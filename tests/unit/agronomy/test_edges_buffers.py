"""The table of waters where more than one kind is wrong."""

import pytest

from service.agronomy.buffers import load_buffers
from service.agronomy.tables import TableError, table_text


def test_kinds_of_water_that_are_missing_or_not_known_are_named_by_the_alphabet() -> None:
    text = table_text("buffers.toml").replace("[well]", "[bog]").replace("[stream]", "[tarn]")

    with pytest.raises(TableError, match="not known: bog, stream, tarn, well"):
        load_buffers(text)
