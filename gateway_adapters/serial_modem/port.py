"""The serial line itself: opened for us alone, read and written as octets."""

import errno

import serial

from gateway_adapters.serial_modem.faults import DeviceGoneError

_LOOK_S = 0.5  # a reader looks up this often, so that closing never hangs
_WRITE_S = 5.0
_CHUNK = 4096
_REASONS = {
    errno.ENOENT: "The modem is not plugged in, or its name in the settings is wrong.",
    errno.EACCES: "The service may not open the modem; add its user to the group of the device.",
    errno.EAGAIN: "Another program holds the modem; stop it.",
}


class Port:
    """An open line to a modem."""

    def __init__(self, path: str, *, baud: int) -> None:
        """Open the device, locked against other programs that lock it too.

        Raises:
            DeviceGoneError: it cannot be opened.
        """
        try:
            self._serial = serial.Serial(
                path, baudrate=baud, timeout=_LOOK_S, write_timeout=_WRITE_S, exclusive=True
            )
        except (OSError, ValueError) as error:
            reason = _REASONS.get(getattr(error, "errno", None) or 0)
            raise DeviceGoneError(reason or "The modem cannot be opened.") from error

    def read(self) -> bytes:
        """Return what has come, or nothing after half a second of silence.

        Raises:
            DeviceGoneError: the device is no longer there.
        """
        try:
            first = self._serial.read(1)
            waiting = min(self._serial.in_waiting, _CHUNK) if first else 0
            return bytes(first + self._serial.read(waiting)) if waiting else bytes(first)
        except OSError as error:
            raise DeviceGoneError("The modem was unplugged.") from error

    def write(self, octets: bytes) -> None:
        """Write all octets.

        Raises:
            DeviceGoneError: the device is no longer there, or takes nothing.
        """
        try:
            self._serial.write(octets)
        except OSError as error:
            raise DeviceGoneError("The modem was unplugged, or takes nothing.") from error

    def interrupt(self) -> None:
        """Wake a thread that reads."""
        self._serial.cancel_read()

    def close(self) -> None:
        """Give the device back."""
        self._serial.close()
