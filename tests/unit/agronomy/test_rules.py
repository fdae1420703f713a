"""The general figures and their loader."""

from fractions import Fraction

import pytest

from service.agronomy.rules import load_rules, rules
from service.agronomy.tables import TableError, table_text


def test_the_full_pattern_has_seven_doses() -> None:
    """Common practice, no source: one at planting, four weekly, two fortnightly."""
    assert rules().after_emergence_days == (7, 14, 21, 28, 42, 56)
    assert rules().doses_in_pattern == 7


def test_the_share_of_the_season_is_exact() -> None:
    """Joensson et al. 2004 (EcoSanRes 2004-2): urine until 2/3 to 3/4 of the season."""
    assert (rules().least_share, rules().most_share) == (Fraction(2, 3), Fraction(3, 4))


def test_every_table_names_its_source() -> None:
    assert len(rules().origins) == 12
    assert all(origin.source for origin in rules().origins.values())


@pytest.mark.parametrize(
    ("old", "new", "sentence"),
    [
        pytest.param(
            "[water]", "[wine]", "these tables are missing or not known: water, wine.", id="table"
        ),
        pytest.param(
            "window_days = 6", "", "rules.toml, timing: add window_days.", id="missing key"
        ),
        pytest.param('least = "2/3"', 'least = "2/0"', 'write least like "2/3".', id="no fraction"),
        pytest.param('most = "3/4"', 'most = "much"', 'write most like "2/3".', id="a word"),
    ],
)
def test_a_wrong_figure_stops_the_load(old: str, new: str, sentence: str) -> None:
    with pytest.raises(TableError) as refused:
        load_rules(table_text("rules.toml").replace(old, new))

    assert refused.value.sentence.endswith(sentence)
