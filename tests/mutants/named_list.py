"""All faults with a name."""

from tests.mutants.named import Named
from tests.mutants.named_amounts import NAMED_AMOUNTS
from tests.mutants.named_cans_and_texts import NAMED_CANS_AND_TEXTS
from tests.mutants.named_days import NAMED_DAYS
from tests.mutants.named_protocol import NAMED_PROTOCOL

NAMED: tuple[Named, ...] = (
    *NAMED_DAYS,
    *NAMED_AMOUNTS,
    *NAMED_CANS_AND_TEXTS,
    *NAMED_PROTOCOL,
)
