"""Opens the SMPP gateway by its settings."""

from collections.abc import Mapping

from gateway_adapters.contract import Clock
from gateway_adapters.smpp.gateway import SmppGateway
from gateway_adapters.smpp.settings import reaches_phones, read_settings

REACHES_PHONES = reaches_phones


def open_smpp(settings: Mapping[str, object], clock: Clock) -> SmppGateway:
    """Return an SMPP gateway by its settings; nothing is connected before the first use.

    Raises:
        GatewayConfigError: A setting is missing, unknown or wrong; the sentences list all faults.
    """
    return SmppGateway(read_settings(settings), clock)
