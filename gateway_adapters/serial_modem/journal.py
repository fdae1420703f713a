"""Keeps on disk what a restart must not forget: parts that left, and a PIN that was refused.

The folder is for the service's own eyes (mode 0700); its files hold numbers, as the database does.
Only the process that holds the modem may use it.
"""

import hashlib
import hmac
import os
import secrets
from contextlib import suppress
from pathlib import Path

from gateway_adapters.serial_modem.records import Record, read_record, record_line

_SENT, _TRIED_PINS = "sent.jsonl", "pins-tried"
_SALT_OCTETS = 16


class Journal:
    """Writes records behind each other; without a folder it remembers nothing."""

    def __init__(self, folder: Path | None) -> None:
        self.is_writable = True
        self._folder = folder

    def read(self) -> list[Record]:
        """Return what was written before, oldest first; torn lines are left out."""
        if self._folder is None:
            return []
        try:
            lines = (self._folder / _SENT).read_text(encoding="utf-8").splitlines()
        except FileNotFoundError:
            return []
        except (OSError, ValueError):
            self.is_writable = False
            return []
        return [record for line in lines if (record := read_record(line)) is not None]

    def rewrite(self, records: list[Record]) -> None:
        """Replace all that was written by these records."""
        self._write_whole(_SENT, "".join(map(record_line, records)).encode())

    def add(self, record: Record) -> None:
        """Write one more record. If it cannot be written, sending goes on, and health says so."""
        if self._folder is None:
            return
        try:
            self._folder.mkdir(mode=0o700, parents=True, exist_ok=True)
            descriptor = os.open(
                self._folder / _SENT, os.O_WRONLY | os.O_APPEND | os.O_CREAT, 0o600
            )
            with os.fdopen(descriptor, "a", encoding="utf-8") as file:
                file.write(record_line(record))
        except OSError:
            self.is_writable = False
        else:
            self.is_writable = True

    def may_try(self, pin: str) -> bool:
        """Note that a PIN is about to be tried; False where it was tried before, or on failure.

        A SIM locks itself after three wrong tries, and a service may be restarted more often.
        """
        if self._folder is None:
            return False
        try:
            tried = (self._folder / _TRIED_PINS).read_bytes()
        except FileNotFoundError:
            tried = b""
        except OSError:
            return False
        for line in tried.splitlines():
            salt, _, digest = line.partition(b" ")
            if hmac.compare_digest(digest, _pin_digest(pin, salt)):
                return False
        salt = secrets.token_hex(_SALT_OCTETS).encode()
        return self._write_whole(_TRIED_PINS, tried + salt + b" " + _pin_digest(pin, salt) + b"\n")

    def pin_was_right(self) -> None:
        """Forget all PINs that were tried: a right one sets the SIM's count back."""
        if self._folder is not None:
            with suppress(OSError):  # then the right PIN is not tried again, and health says so
                (self._folder / _TRIED_PINS).unlink(missing_ok=True)

    def _write_whole(self, name: str, octets: bytes) -> bool:
        """Put a file in its place at once, on the disk before we go on."""
        if self._folder is None:
            return False
        try:
            self._folder.mkdir(mode=0o700, parents=True, exist_ok=True)
            new = self._folder / f"{name}.new"
            descriptor = os.open(new, os.O_WRONLY | os.O_TRUNC | os.O_CREAT, 0o600)
            with os.fdopen(descriptor, "wb") as file:
                file.write(octets)
                file.flush()
                os.fsync(file.fileno())
            new.replace(self._folder / name)
        except OSError:
            self.is_writable = False
            return False
        return True


def _pin_digest(pin: str, salt: bytes) -> bytes:
    return hashlib.scrypt(pin.encode(), salt=salt, n=1 << 14, r=8, p=1).hex().encode()
