"""What the contract suite needs to know of a gateway's far end."""

from collections.abc import Callable
from dataclasses import dataclass

from gateway_adapters.contract import Gateway


@dataclass(frozen=True, slots=True, kw_only=True)
class Line:
    """An open gateway and its far end.

    `arrived` gives (number, text) of each text at the far end, in order; `say` sends a text from
    a number; `restart` opens the gateway anew, as after a crash, on the same far end.
    """

    gateway: Gateway
    arrived: Callable[[], list[tuple[str, str]]]
    say: Callable[[str, str], object]
    restart: Callable[[], Gateway]
