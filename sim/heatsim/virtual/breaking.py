"""How something is broken on a virtual board from outside: a socket, known by the port's name."""

from __future__ import annotations

import os
import socket
import tempfile
from contextlib import suppress
from pathlib import Path

LONGEST = 64


def _place(port: str) -> Path:
    """Where the board at this port listens; a second name of a port leads to the same place."""
    folder = Path(tempfile.gettempdir()) / f"heatwright-virtual-{os.getuid()}"
    return folder / str(Path(port).resolve()).strip("/").replace("/", "-")


def _socket() -> socket.socket:
    return socket.socket(socket.AF_UNIX, socket.SOCK_DGRAM)


class Listener:
    """The board's end: one name at a time of what is to break."""

    def __init__(self, port: str) -> None:
        self._place = _place(port)
        self._place.parent.mkdir(mode=0o700, exist_ok=True)
        self._place.unlink(missing_ok=True)
        self._socket = _socket()
        self._socket.bind(str(self._place))

    def fileno(self) -> int:
        return self._socket.fileno()

    def take(self) -> str:
        """The name that came; waits for it."""
        return self._socket.recv(LONGEST).decode()

    def close(self) -> None:
        self._socket.close()
        self._place.unlink(missing_ok=True)


def is_virtual(port: str) -> bool:
    """Whether a virtual board serves this port now."""
    with suppress(OSError), _socket() as caller:
        caller.connect(str(_place(port)))
        return True
    return False


def ask(port: str, name: str) -> None:
    """Break this on the virtual board at this port. Raises OSError where there is none."""
    with _socket() as caller:
        caller.sendto(name.encode(), str(_place(port)))
