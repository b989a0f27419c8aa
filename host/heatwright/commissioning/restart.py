"""Waits for a controller that restarts: its port goes away, comes back, and answers again."""

from __future__ import annotations

import time
from contextlib import suppress

from heatwright.errors import NoController
from heatwright.running.link_client import RESTART_S, LinkClient
from heatwright.running.ports import open_port

PAUSE_S = 0.1


def restarted(client: LinkClient, state: str | None = None) -> LinkClient:
    """A new client of the same port, once the controller says hello (in this state, if given).

    Closes the old one. Raises `NoController` where it does not come back.
    """
    client.close()
    return await_controller(client.port, state)


def await_controller(port: str, state: str | None = None) -> LinkClient:
    """A client of the controller that is starting at this port. Raises `NoController`."""
    end_s = time.monotonic() + RESTART_S
    while True:
        with suppress(NoController):
            found = _answering(port, state)
            if found:
                return found
        if time.monotonic() > end_s:
            client = LinkClient(open_port(port), port)
            client.close()
            raise client.unanswered()
        time.sleep(PAUSE_S)


def _answering(port: str, state: str | None) -> LinkClient | None:
    client = LinkClient(open_port(port), port)
    try:
        if client.hello(tries=2)["state"] == state or state is None:
            return client
    except BaseException:
        client.close()
        raise
    client.close()
    return None
