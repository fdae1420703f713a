"""A GSM modem on a serial line, in PDU mode (3GPP TS 27.005)."""
