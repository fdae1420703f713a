"""The settings of this gateway, one table, all faults told at once."""

from collections.abc import Mapping
from dataclasses import dataclass

from gateway_adapters.errors import GatewayConfigError
from gateway_adapters.http_form.sending_settings import SendingSettings, read_sending
from gateway_adapters.http_form.table import Table
from gateway_adapters.http_form.webhook_settings import read_webhooks
from gateway_adapters.http_form.webhooks import WebhookSettings


@dataclass(frozen=True, slots=True, kw_only=True)
class HttpFormSettings:
    """How to send, and how to read what the gateway sends; None: it sends nothing."""

    sending: SendingSettings
    webhooks: WebhookSettings | None


def read_settings(settings: Mapping[str, object]) -> HttpFormSettings:
    """Return the settings.

    Raises:
        GatewayConfigError: Some are missing, unknown or wrong; the sentences list all faults.
    """
    faults: list[str] = []
    table = Table(settings, where="", faults=faults)
    webhooks = read_webhooks(table.table("webhooks")) if "webhooks" in table else None
    sending = read_sending(table)
    table.finish()
    if faults:
        raise GatewayConfigError(" ".join(faults))
    return HttpFormSettings(sending=sending, webhooks=webhooks)
