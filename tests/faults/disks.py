"""A small disk in memory, one that is full, and one that can only be read.

Mounting needs an administrator on a machine that allows it; what was mounted here is unmounted.
"""

import os
import shutil
import subprocess
from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import dataclass
from pathlib import Path

import pytest

LIMIT_S = 20


@dataclass(frozen=True, slots=True, kw_only=True)
class Disk:
    """A mounted disk."""

    folder: Path

    def fill(self, *, but: int) -> None:
        """Leave so many bytes free, and no more."""
        ballast = self.folder / "ballast"
        block = os.statvfs(self.folder).f_frsize
        with ballast.open("ab") as file:
            spare = shutil.disk_usage(self.folder).free - but
            file.write(bytes(max(0, spare // block * block)))

    def make_room(self) -> None:
        """Take away what fills it."""
        (self.folder / "ballast").unlink(missing_ok=True)


@contextmanager
def small_disk(folder: Path, *, megabytes: int) -> Iterator[Disk]:
    """Give a disk of that size at a folder, or skip the test where none can be mounted."""
    folder.mkdir(parents=True, exist_ok=True)
    _mount("-t", "tmpfs", "-o", f"size={megabytes}m,mode=755", "tmpfs", str(folder))
    try:
        yield Disk(folder=folder)
    finally:
        _run("umount", str(folder))


@contextmanager
def read_only(folder: Path) -> Iterator[None]:
    """Let nothing be written to a folder within a block, by whomever."""
    if os.geteuid() != 0:
        kept = {path: path.stat().st_mode for path in (folder, *folder.iterdir())}
        for path in reversed(kept):
            path.chmod(0o555 if path.is_dir() else 0o444)
        try:
            yield
        finally:
            for path, mode in kept.items():
                path.chmod(mode)
        return
    _mount("--bind", str(folder), str(folder))
    try:
        _mount("-o", "remount,ro,bind", str(folder))
        yield
    finally:
        _run("umount", str(folder))


def _mount(*words: str) -> None:
    if os.geteuid() != 0 or shutil.which("mount") is None or not _run("mount", *words):
        pytest.skip("mounting a small disk needs an administrator, and a machine that allows it")


def _run(*words: str) -> bool:
    done = subprocess.run(  # noqa: S603 -- `mount` and `umount` of what a test has made
        words, check=False, stdout=subprocess.DEVNULL, stderr=subprocess.PIPE, timeout=LIMIT_S
    )
    return done.returncode == 0
