"""Where the rules come from that refuse a plan."""

from service.agronomy.crops import Crop
from service.agronomy.reason_origins import rule_origin
from service.agronomy.rules import rules
from service.agronomy.tables import Origin

_BY_RULE = {
    "area": "area",
    "nitrogen": "measured",
    "over-ceiling": "ceiling",
    "water": "water",
    "cold-store": "store",
}
_BY_CROP = frozenset({"legume", "perennial", "waterlogged"})


def refusal_origin(code: str, crop: Crop) -> Origin | None:
    """Return where the rule behind a refusal comes from; None where it is no rule of the trade.

    Args:
        code: a code of `service.agronomy.refusals`.
        crop: the crop that was asked for.
    """
    if code in _BY_CROP:
        return crop.origins["nature"]
    if code == "dates":
        return rule_origin("follows")
    name = _BY_RULE.get(code)
    return None if name is None else rules().origins[name]
