"""Pretend handsets that dial a menu, for tests and the demo."""

from gateway_adapters.events import Screen, UssdBegin, UssdEnd, UssdEndReason, UssdEvent, UssdInput
from gateway_adapters.fake_dialling import Dialling
from gateway_adapters.fake_network import FakeNetwork

CODE = "*150#"


class Handsets:
    """The handsets of a pretend network; each has one session at a time."""

    def __init__(self, network: FakeNetwork) -> None:
        self._network = network

    def dial(self, phone: str, *, text: str = "", session: str | None = None) -> UssdBegin:
        """Dial the code, with `text` behind it; a session that was open ends first.

        Raises:
            OSError: The folder cannot be written.
        """

        def events(before: int) -> tuple[UssdEvent, ...]:
            ending = _ending(self._open(phone), before, UssdEndReason.USER)
            number = before + len(ending) + 1
            begin = UssdBegin(
                event_id=f"ussd-{number}",
                session=f"session-{number}" if session is None else session,
                phone=phone,
                code=CODE,
                text=text,
            )
            return (*ending, begin)

        begun = self._network.key(events)[-1]
        if not isinstance(begun, UssdBegin):
            raise TypeError("dialling begins a session")
        return begun

    def press(self, phone: str, text: str) -> UssdInput:
        """Answer the screen that is shown.

        Raises:
            OSError: The folder cannot be written.
            LookupError: The handset shows no screen that could be answered.
        """
        opened = self._open(phone)
        if opened is None or opened.waiting:
            raise LookupError("The handset shows no screen that could be answered.")
        session = opened.session
        typed = self._network.key(
            lambda before: (
                UssdInput(event_id=f"ussd-{before + 1}", session=session, phone=phone, text=text),
            )
        )[-1]
        if not isinstance(typed, UssdInput):
            raise TypeError("what was typed is an input")
        return typed

    def hang_up(self, phone: str, *, reason: UssdEndReason = UssdEndReason.USER) -> None:
        """End the session, if one is open; `reason` may say that the line dropped.

        Raises:
            OSError: The folder cannot be written.
        """
        opened = self._open(phone)
        if opened is not None:
            self._network.key(lambda before: _ending(opened, before, reason))

    def on(self, phone: str) -> Dialling | None:
        """Return the last session of a handset, None where it never dialled."""
        return self._network.dialling(phone)

    def screen(self, phone: str) -> Screen | None:
        """Return what a handset was shown last in its last session."""
        dialled = self.on(phone)
        return dialled.screens[-1] if dialled is not None and dialled.screens else None

    def _open(self, phone: str) -> Dialling | None:
        dialled = self.on(phone)
        return None if dialled is None or dialled.over else dialled


def _ending(opened: Dialling | None, before: int, reason: UssdEndReason) -> tuple[UssdEvent, ...]:
    if opened is None:
        return ()
    return (
        UssdEnd(
            event_id=f"ussd-{before + 1}",
            session=opened.session,
            phone=opened.phone,
            reason=reason,
        ),
    )
