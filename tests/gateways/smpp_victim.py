"""Submits one text to a port of this machine and says nothing; made to be killed meanwhile."""

import sys

from gateway_adapters.smpp.opening import open_smpp
from tests.gateways.smpp_line import send, smpp_settings
from tests.outgoing import StoppedClock, an_outgoing

if __name__ == "__main__":
    send(open_smpp(smpp_settings(int(sys.argv[1])), StoppedClock()), an_outgoing())
