"""Reads the texts that phones send. Pure."""

from dataclasses import dataclass

from gateway_adapters.events import Part
from gateway_adapters.smpp.addresses import readable_number
from gateway_adapters.smpp.alphabets import Alphabet, decode
from gateway_adapters.smpp.codec import Delivery
from gateway_adapters.smpp.headers import as_part, read_header
from gateway_adapters.smpp.long_texts import UDH_INDICATOR


@dataclass(frozen=True, slots=True, kw_only=True)
class PhoneText:
    """A text, or a piece of one, as it came in."""

    sender: str
    to: str
    text: str
    lossy: bool
    part: Part | None


def read_text(delivery: Delivery, alphabet: Alphabet, *, country_code: str) -> PhoneText:
    """Return the text; octets that cannot be read leave marks in it, and `lossy` says so."""
    octets, broken, part, before = delivery.text, False, None, 0
    if delivery.esm_class & UDH_INDICATOR:
        header = read_header(octets)
        if header is None:
            broken = True
        else:
            octets, before = octets[header.octets :], header.octets
            part, broken = header.part, header.shifted
    if part is None and delivery.sar is not None:
        reference, number, total = delivery.sar
        part = as_part(reference, number=number, total=total)
    read = decode(octets, delivery.data_coding, alphabet, header=before)
    return PhoneText(
        sender=readable_number(delivery.source, country_code=country_code),
        to=readable_number(delivery.destination),
        text=read.text,
        lossy=read.lossy or broken,
        part=part,
    )
