"""How routes are put in words: their gateways, why they rest, and what Today says of them."""

from collections.abc import Mapping

from gateway_adapters.contract import HealthState, RejectKind
from service.outbox.retry import MOST_REFUSALS
from service.web.sentence import Sentence, sentence

_GATEWAYS: Mapping[str, Sentence] = {
    "fake": sentence("pretend phones; nothing leaves this computer"),
    "http_form": sentence("a sending service on the web (HTTP)"),
    "serial_modem": sentence("a modem with a SIM card, beside this computer"),
    "smpp": sentence("a line to the operator's message centre (SMPP)"),
}
_REASONS: Mapping[str, Sentence] = {
    "refused too often": sentence(
        "it refused %(count)s texts one after another", count=MOST_REFUSALS
    ),
    "not-sent": sentence("the gateway could not be reached"),
    RejectKind.THROTTLED.value: sentence("it asked for fewer texts at once"),
    RejectKind.TRANSIENT.value: sentence("it could take no texts just then"),
    RejectKind.PERMANENT.value: sentence("it takes no texts from this account"),
}
HEALTH: Mapping[HealthState, Sentence] = {
    HealthState.UP: sentence("up"),
    HealthState.DEGRADED: sentence("not fully ready"),
    HealthState.DOWN: sentence("down"),
}
NO_GATEWAY = sentence("no gateway is open for it here")
LABELS: Mapping[str, Sentence] = {"segments": sentence("The month's ceiling")}


def gateway_words(adapter: str) -> Sentence:
    """Return what sort of gateway an adapter is for."""
    return _GATEWAYS.get(adapter, sentence("another kind, called %(name)s", name=adapter))


def rest_words(paused_for: str | None) -> Sentence:
    """Return why a route rests; a code that only the gateway's operator knows stands as it came."""
    if not paused_for:
        return sentence("no reason was given")
    known = _REASONS.get(paused_for)
    return known or sentence("the gateway gave the code %(code)s", code=paused_for)
