"""A thread with an event loop, begun at the first use and ended by `close`."""

import asyncio
from collections.abc import Callable, Coroutine
from concurrent.futures import CancelledError
from threading import Lock, Thread
from typing import TypeVar

T = TypeVar("T")


class LoopClosedError(Exception):
    """The loop has ended, or does so now."""


class LoopThread:
    """Runs coroutines for callers in other threads."""

    def __init__(self) -> None:
        self._lock = Lock()
        self._loop: asyncio.AbstractEventLoop | None = None
        self._thread: Thread | None = None
        self._closed = False

    @property
    def begun(self) -> bool:
        """Whether anything was ever run, and not closed since."""
        return self._loop is not None

    def run(self, make: Callable[[], Coroutine[object, object, T]]) -> T:
        """Run what `make` returns and wait for its result.

        Raises:
            LoopClosedError: It was closed before, or under the coroutine.
        """
        with self._lock:
            # Under the lock, so that what is taken on is in the loop before its end is.
            if self._closed:
                raise LoopClosedError
            future = asyncio.run_coroutine_threadsafe(make(), self._running())
        try:
            return future.result()
        except CancelledError as error:
            raise LoopClosedError from error

    def close(self) -> None:
        """End the loop and its thread; what still ran there is cancelled."""
        with self._lock:
            self._closed = True
            loop, thread = self._loop, self._thread
            self._loop = self._thread = None
            if loop is None or thread is None:
                return
            loop.call_soon_threadsafe(loop.stop)
        thread.join()

    def _running(self) -> asyncio.AbstractEventLoop:
        if self._loop is None:
            self._loop = asyncio.new_event_loop()
            self._thread = Thread(target=_turn, args=(self._loop,), name="http-form", daemon=True)
            self._thread.start()
        return self._loop


def _turn(loop: asyncio.AbstractEventLoop) -> None:
    asyncio.set_event_loop(loop)
    try:
        loop.run_forever()
        rest = asyncio.all_tasks(loop)
        for task in rest:
            task.cancel()
        loop.run_until_complete(asyncio.gather(*rest, return_exceptions=True))
        loop.run_until_complete(loop.shutdown_asyncgens())
    finally:
        loop.close()
