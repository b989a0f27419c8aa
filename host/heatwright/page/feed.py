"""Everybody who looks gets the same news, each through a queue of their own that never grows."""

from __future__ import annotations

import asyncio
from collections.abc import Callable
from typing import Any

News = dict[str, Any]
# Ten pictures a second for six seconds: whoever is further behind gets the whole state anew.
QUEUE = 64


class Client:
    """One open page."""

    def __init__(self, whole: Callable[[], News]) -> None:
        self._whole = whole
        self._queue: asyncio.Queue[News] = asyncio.Queue(QUEUE)
        self.give(whole())

    def give(self, news: News) -> None:
        if not self._queue.full():
            self._queue.put_nowait(news)
            return
        while not self._queue.empty():
            self._queue.get_nowait()
        self._queue.put_nowait(self._whole())

    async def next(self) -> News:
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
        for client in self._clients:
            client.give(news)
