"""The commands of SMPP 3.4 that this adapter speaks, by their numbers (SMPP 3.4, 5.1.2.1)."""

from enum import IntEnum

RESPONSE = 0x80000000  # set in the number of every answer


class Command(IntEnum):
    """A PDU's kind."""

    BIND_RECEIVER = 0x01
    BIND_TRANSMITTER = 0x02
    QUERY_SM = 0x03
    SUBMIT_SM = 0x04
    DELIVER_SM = 0x05
    UNBIND = 0x06
    BIND_TRANSCEIVER = 0x09
    OUTBIND = 0x0B
    ENQUIRE_LINK = 0x15
    ALERT_NOTIFICATION = 0x102
    GENERIC_NACK = RESPONSE
    BIND_RECEIVER_RESP = RESPONSE | 0x01
    BIND_TRANSMITTER_RESP = RESPONSE | 0x02
    QUERY_SM_RESP = RESPONSE | 0x03
    SUBMIT_SM_RESP = RESPONSE | 0x04
    DELIVER_SM_RESP = RESPONSE | 0x05
    UNBIND_RESP = RESPONSE | 0x06
    BIND_TRANSCEIVER_RESP = RESPONSE | 0x09
    ENQUIRE_LINK_RESP = RESPONSE | 0x15


class Status(IntEnum):
    """The statuses that this adapter gives or looks at by name (SMPP 3.4, 5.1.3)."""

    OK = 0x00
    BAD_LENGTH = 0x02
    BAD_COMMAND = 0x03
    BAD_PASSWORD = 0x0E
    BAD_SYSTEM_ID = 0x0F
    TRY_LATER = 0x64  # ESME_RX_T_APPN
    NEVER = 0x65  # ESME_RX_P_APPN


BIND_ANSWERS = frozenset(
    {
        Command.BIND_RECEIVER_RESP,
        Command.BIND_TRANSMITTER_RESP,
        Command.BIND_TRANSCEIVER_RESP,
    }
)
