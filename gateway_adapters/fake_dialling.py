"""Pretend handsets in the menu: what each was shown last, and whether it waits for a screen."""

from dataclasses import dataclass, replace

from gateway_adapters.events import Screen, UssdBegin, UssdEnd, UssdEvent


@dataclass(frozen=True, slots=True, kw_only=True)
class Dialling:
    """One session of a handset; `screens` are those that it was shown, oldest first.

    It is `waiting` from a begin or an input on until that is answered; once it is `over`, nothing
    more can be shown.
    """

    session: str
    phone: str
    screens: tuple[Screen, ...] = ()
    waiting: bool = True
    over: bool = False


class Diallings:
    """Every session there was, each handset's last one first at hand."""

    def __init__(self) -> None:
        self.events = 0
        self._by_session: dict[str, Dialling] = {}
        self._last_of: dict[str, str] = {}

    def of_phone(self, phone: str) -> Dialling | None:
        """Return the last session of a handset."""
        return self._by_session.get(self._last_of.get(phone, ""))

    def takes_a_screen(self, session: str) -> bool:
        """Say whether a screen can be shown: once for each begin and input, until the end."""
        known = self._by_session.get(session)
        return known is not None and known.waiting and not known.over

    def keyed(self, event: UssdEvent) -> None:
        """Note what a handset did."""
        self.events += 1
        if isinstance(event, UssdBegin):
            self._by_session[event.session] = Dialling(session=event.session, phone=event.phone)
            self._last_of[event.phone] = event.session
            return
        known = self._by_session[event.session]
        ended = isinstance(event, UssdEnd)
        self._by_session[event.session] = replace(known, waiting=not ended, over=ended)

    def shown(self, session: str, screen: Screen) -> None:
        """Note a screen that a handset was shown."""
        known = self._by_session[session]
        self._by_session[session] = replace(
            known, screens=(*known.screens, screen), waiting=False, over=screen.finish
        )
