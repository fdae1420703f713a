"""Where rules without a figure of their own come from."""

import pytest

from service.agronomy.cautions import cautions
from service.agronomy.reason_origins import NAMES, load_rule_origins, month_origin
from service.agronomy.tables import TableError, table_text


def test_the_month_before_a_harvest_has_the_source_of_its_caution() -> None:
    assert month_origin() == {caution.id: caution.origin for caution in cautions()}["one-month"]


def test_rules_that_are_missing_or_not_known_are_named_by_the_alphabet() -> None:
    text = table_text("reasons.toml")
    assert load_rule_origins(text).keys() == NAMES
    wrong = text.replace("[turn]", "[zeal]").replace("[hold]", "[awe]")

    with pytest.raises(TableError, match="not known: awe, hold, turn, zeal"):
        load_rule_origins(wrong)
