"""Any gateway with an HTTP interface, by settings: a form or JSON out, webhooks in, USSD screens.

All settings are one table; `settings.py` and the files that it names say what each means.
"""

from collections.abc import Mapping

from gateway_adapters.contract import Clock
from gateway_adapters.http_form.gateway import HttpFormGateway
from gateway_adapters.http_form.settings import read_settings
from gateway_adapters.http_form.target import reaches_beyond


def REACHES_PHONES(settings: Mapping[str, object]) -> bool:  # noqa: N802 -- the registry's name
    """Return whether real phones may get what is sent: not if its address is this computer."""
    return reaches_beyond(settings.get("address"))


def open_http_form(settings: Mapping[str, object], clock: Clock) -> HttpFormGateway:
    """Return a gateway by its settings.

    Raises:
        GatewayConfigError: A setting is missing, unknown or wrong; the sentences list all faults.
    """
    return HttpFormGateway(read_settings(settings), clock)
