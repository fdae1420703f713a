"""Which text a receipt is about: by its id, else as the only text in doubt that it fits.

Pure, but for what it remembers. A text in doubt has left without an answer, so it has no id. A
receipt with an id that nobody knows, for the same number and with the beginning of the same text,
can only be about it, if no other is in doubt there.
"""

from collections import OrderedDict

from gateway_adapters.smpp.addresses import bare_digits
from gateway_adapters.smpp.ids import IdForm, Sent, SentIds, as_answered
from gateway_adapters.smpp.jobs import Piece, PieceState
from gateway_adapters.smpp.receipts import News

_REMEMBERED = 10_000  # texts in doubt
_TELLING = 10  # letters that a receipt has to give of a text, or all of a shorter one


class Matching:
    """The texts that receipts may come for."""

    def __init__(self, form: IdForm) -> None:
        self._sent = SentIds(form)
        self._doubts: OrderedDict[int, Piece] = OrderedDict()

    def taken(self, piece: Piece) -> None:
        """Remember the id of a piece."""
        self._doubts.pop(id(piece), None)
        message = piece.job.message
        self._sent.add(
            Sent(
                gateway_id=piece.gateway_id,
                to=message.to,
                destination=_destination(piece),
                sender=message.sender,
            )
        )

    def lost(self, piece: Piece) -> None:
        """Remember a piece that has left without an answer."""
        self._doubts[id(piece)] = piece
        if len(self._doubts) > _REMEMBERED:
            self._doubts.popitem(last=False)

    def find(self, news: News, destination: str) -> Sent | None:
        """Return the text that has the receipt's id.

        Raises:
            TwoFitError: Two texts fit.
        """
        return self._sent.find(news.message_id, bare_digits(destination))

    def doubt(self, news: News, destination: str) -> Piece | None:
        """Return the one piece in doubt that the receipt can be about."""
        fitting = [
            piece
            for piece in self._doubts.values()
            if piece.state is PieceState.LOST
            and _destination(piece) == bare_digits(destination)
            and _begins(piece.body.text, news.text)
        ]
        return fitting[0] if len(fitting) == 1 else None

    def unknown_id(self, news: News) -> str:
        """Return the id of a receipt for a text that is not remembered, as its answer had it."""
        return as_answered(news.message_id, self._sent.form)

    def sent(self, gateway_id: str, to: str) -> Sent | None:
        """Return what the gateway took under exactly this id for this number."""
        return self._sent.exact(gateway_id, bare_digits(to))


def _destination(piece: Piece) -> str:
    return bare_digits(piece.job.destination.digits)


def _begins(text: str, told: str) -> bool:
    told = told.strip("\0\r\n")
    return len(told) >= min(_TELLING, len(text)) and text.startswith(told)
