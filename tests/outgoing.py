"""Messages to pretend phones, for tests of gateways."""

from dataclasses import dataclass
from datetime import UTC, datetime

from gateway_adapters.contract import Outgoing
from gateway_adapters.segments import split

EVENING = datetime(2027, 3, 15, 15, 0, tzinfo=UTC)  # 18:00 in East Africa
HALF_MINUTE_LATER = datetime(2027, 3, 15, 15, 0, 30, tzinfo=UTC)
NEXT_EVENING = datetime(2027, 3, 16, 15, 0, tzinfo=UTC)
PHONE = "+255100000001"  # possible by its length, in no assigned range
OTHER_PHONE = "+255100000002"


@dataclass(slots=True)
class StoppedClock:
    """A clock that shows `at` until a test moves it."""

    at: datetime = EVENING

    def __call__(self) -> datetime:
        """Return the instant it was set to."""
        return self.at


def an_outgoing(
    message_id: str = "m1", *, to: str = PHONE, text: str = "Kesho: shamba A."
) -> Outgoing:
    """Return a valid message, for a day."""
    return Outgoing(
        token=message_id,
        to=to,
        sender="15050",
        text=text,
        segments=split(text),
        valid_until=NEXT_EVENING,
    )
