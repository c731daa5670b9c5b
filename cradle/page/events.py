"""What all open windows are told at once: a stream of server-sent events (WHATWG HTML, section 9.2)."""

from __future__ import annotations

import asyncio
import json
from collections.abc import AsyncIterator, Mapping
from typing import Final

_MOST_WAITING: Final = 200
_BEAT_S: Final = 15.0
"""So often something is sent, so that a window that is gone is noticed."""


class Events:
    """Tells every window that listens."""

    def __init__(self) -> None:
        self._queues: set[asyncio.Queue[str | None]] = set()

    def tell(self, kind: str, data: Mapping[str, object]) -> None:
        """Send one event; a window that does not keep up is let go, and asks anew."""
        message = f"event: {kind}\ndata: {json.dumps(data, ensure_ascii=False)}\n\n"
        for queue in tuple(self._queues):
            if queue.qsize() >= _MOST_WAITING:
                self._queues.discard(queue)
                queue.put_nowait(None)
            else:
                queue.put_nowait(message)

    def close(self) -> None:
        """End all streams."""
        for queue in self._queues:
            queue.put_nowait(None)
        self._queues.clear()

    async def stream(self) -> AsyncIterator[str]:
        """The events from now on, as they are sent; the first says that none will be missed."""
        queue: asyncio.Queue[str | None] = asyncio.Queue()
        self._queues.add(queue)
        try:
            yield "event: here\ndata: {}\n\n"
            while True:
                try:
                    message = await asyncio.wait_for(queue.get(), _BEAT_S)
                except TimeoutError:
                    message = ": still here\n\n"
                if message is None:
                    return
                yield message
        finally:
            self._queues.discard(queue)
