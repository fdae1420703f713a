"""Makes events of what the gateway delivers, and decides when one has to wait.

Not safe for threads by itself.
"""

from dataclasses import dataclass

from gateway_adapters.contract import Clock
from gateway_adapters.events import Inbound, LateAnswer, Receipt, ReceiptState
from gateway_adapters.smpp.addresses import bare_digits, readable_number
from gateway_adapters.smpp.codec import Delivery, Pdu
from gateway_adapters.smpp.commands import Status
from gateway_adapters.smpp.desk import Desk
from gateway_adapters.smpp.ids import TwoFitError
from gateway_adapters.smpp.inbound import read_text
from gateway_adapters.smpp.inbox import Inbox, Owed
from gateway_adapters.smpp.jobs import Job
from gateway_adapters.smpp.marks import Marks, digest
from gateway_adapters.smpp.matching import Matching
from gateway_adapters.smpp.receipts import News, is_receipt, read_receipt
from gateway_adapters.smpp.settings import SmppSettings

_HELD = 1000
NOT_MATCHED = "?"  # before the id of a receipt that fits two texts, so that it matches none


@dataclass(frozen=True, slots=True)
class _Held:
    news: News
    delivery: Delivery
    owed: Owed


class Deliveries:
    """What comes in on a route."""

    def __init__(
        self, settings: SmppSettings, clock: Clock, *, desk: Desk, matching: Matching
    ) -> None:
        self.inbox = Inbox()
        self._settings = settings
        self._clock = clock
        self._desk = desk
        self._matching = matching
        self._marks = Marks()
        self._held: list[_Held] = []

    def arrived(self, pdu: Pdu, owed: Owed, now: float) -> None:
        """Take in a deliver_sm. What cannot be read, or kept, is answered at once."""
        delivery = pdu.delivery
        if delivery is None:
            owed.give(Status.NEVER)
        elif self.inbox.full or len(self._held) >= _HELD:
            owed.give(Status.TRY_LATER)
        elif is_receipt(delivery, untyped=self._settings.untyped_receipts):
            self._receipt(delivery, owed)
        else:
            self._text(delivery, owed, now)

    def late(self, job: Job) -> None:
        """Tell of a text in doubt that the gateway had taken whole."""
        self.inbox.put(
            LateAnswer(
                event_id=f"late-{job.message.token}",
                token=job.message.token,
                gateway_ids=job.gateway_ids,
            ),
            None,
        )

    def look_again(self) -> None:
        """See whether receipts that came before their answers have one now."""
        held, self._held = self._held, []
        for item in held:
            self._match(item)

    def finish(self, event_id: str) -> None:
        """Acknowledge."""
        if self.inbox.finish(event_id):
            self._marks.finish(event_id)

    def give_all_back(self) -> None:
        """Let the gateway send everything again, as before an end."""
        for item in self._held:
            item.owed.give(Status.TRY_LATER)
        self._held.clear()
        self.inbox.give_all_back()

    def _text(self, delivery: Delivery, owed: Owed, now: float) -> None:
        read = read_text(
            delivery, self._settings.alphabet, country_code=self._settings.country_code
        )
        at = self._clock()
        event_id = self._marks.id_of(digest(delivery), at=at, now=now)
        self.inbox.put(
            Inbound(
                event_id=event_id,
                sender=read.sender,
                to=read.to,
                text=read.text,
                received_at=at,
                lossy=read.lossy,
                part=read.part,
            ),
            owed,
        )

    def _receipt(self, delivery: Delivery, owed: Owed) -> None:
        news = read_receipt(delivery)
        if news is not None:
            self._match(_Held(news, delivery, owed))
            return
        unread = News(message_id=digest(delivery), state=ReceiptState.UNKNOWN)
        self._tell(_Held(unread, delivery, owed), f"{NOT_MATCHED}{unread.message_id}", to=None)

    def _match(self, item: _Held) -> None:
        news, destination = item.news, item.delivery.source.digits
        try:
            sent = self._matching.find(news, destination)
        except TwoFitError:
            self._tell(item, f"{NOT_MATCHED}{news.message_id}", to=None)
            return
        if sent is not None:
            self._tell(item, sent.gateway_id, to=sent.to)
        elif self._desk.flies_to(bare_digits(destination)):
            self._held.append(item)  # its answer may be on its way
        elif (piece := self._matching.doubt(news, destination)) is not None:
            self._desk.identify(piece, news.message_id)
            self._tell(item, news.message_id, to=piece.job.message.to)
        else:
            self._tell(item, self._matching.unknown_id(news), to=None)

    def _tell(self, item: _Held, gateway_id: str, *, to: str | None) -> None:
        news = item.news
        number = to or readable_number(
            item.delivery.source, country_code=self._settings.country_code
        )
        content = digest(news.message_id, news.state, news.code, news.done_at, number)
        self.inbox.put(
            Receipt(
                event_id=f"dr-{content}",
                gateway_id=gateway_id,
                to=number,
                state=news.state,
                at=news.done_at or self._clock(),
                code=news.code,
            ),
            item.owed,
        )
