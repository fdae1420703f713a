"""A GSM modem on a serial line, in PDU mode (3GPP TS 27.005)."""

from collections.abc import Mapping

from gateway_adapters.contract import Clock
from gateway_adapters.serial_modem.gateway import SerialModemGateway
from gateway_adapters.serial_modem.settings import read_settings

# Also for a pseudo-terminal: a program behind it may well hand on to a modem.
REACHES_PHONES = True


def open_serial_modem(settings: Mapping[str, object], clock: Clock) -> SerialModemGateway:
    """Return the modem that the settings name; it is opened at the first use.

    Raises:
        GatewayConfigError: a setting is missing, unknown or wrong; the sentences list all faults.
    """
    return SerialModemGateway(read_settings(settings), clock)
