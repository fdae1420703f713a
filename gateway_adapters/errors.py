"""What may cross the adapters' boundary as an exception; all else is an outcome."""


class GatewayError(Exception):
    """Root of the adapters' errors."""


class GatewayConfigError(GatewayError):
    """An adapter was given settings it cannot use."""


class GatewayClosedError(GatewayError):
    """An adapter was used after `close`."""


class MalformedPduError(GatewayError):
    """Octets from the wire break their protocol."""


class NotEncodableError(GatewayError):
    """A character has no place in the alphabet asked for."""

    def __init__(self, character: str, position: int) -> None:
        super().__init__(f"The character at position {position} is not in the alphabet.")
        self.character = character
        self.position = position
