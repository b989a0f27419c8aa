"""Everybody who looks gets the same news, each through a queue of their own that never grows."""

from __future__ import annotations

import asyncio
import json
from collections.abc import Callable
from typing import Any

News = dict[str, Any]
# Ten pictures a second for six seconds: whoever is further behind gets the whole state anew.
QUEUE = 64


class Client:
    """One open page."""

    def __init__(self, whole: Callable[[], News]) -> None:
        self._whole = whole
        self._queue: asyncio.Queue[str] = asyncio.Queue(QUEUE)
        self.give(_text(whole()))

    def give(self, text: str) -> None:
        if not self._queue.full():
            self._queue.put_nowait(text)
            return
        while not self._queue.empty():
            self._queue.get_nowait()
        self._queue.put_nowait(_text(self._whole()))

    async def next(self) -> str:
        """The next piece of news, as JSON."""
        return await self._queue.get()


class Feed:
    """All open pages."""

    def __init__(self, whole: Callable[[], News]) -> None:
        self._whole = whole
        self._clients: set[Client] = set()

    def __len__(self) -> int:
        return len(self._clients)

    def join(self) -> Client:
        client = Client(self._whole)
        self._clients.add(client)
        return client

    def leave(self, client: Client) -> None:
        self._clients.discard(client)

    def tell(self, news: News) -> None:
        # made once for all of them: with twenty open, a stop must not wait for their texts
        text = _text(news)
        for client in self._clients:
            client.give(text)


def _text(news: News) -> str:
    return json.dumps(news, ensure_ascii=False, separators=(",", ":"))
