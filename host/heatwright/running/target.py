"""What a run needs of a controller: the same five calls, simulated, virtual or real.

The run does not know which of them it talks to. ``running.simulated`` and ``running.link_client``
each follow this protocol.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator
from typing import Any, Protocol

from heatwright.errors import EXIT_TRIPPED, HeatwrightError

Line = list[Any]


def nothing() -> None:
    """What is done while nothing comes, where nobody gives orders."""


class Refused(HeatwrightError):
    """The controller answered "no": its short code and its sentence for the person."""

    exit_code = EXIT_TRIPPED

    def __init__(self, verb: str, code: str, text: str) -> None:
        self.verb, self.code, self.text = verb, code, text
        super().__init__(f"The controller refused to {verb}: {text} [{code}]")


class Target(Protocol):
    """A controller, as one run sees it."""

    @property
    def is_real(self) -> bool:
        """True where something gets hot: cautions come first, and the clock is the wall's."""
        ...

    def hello(self) -> dict[str, Any]:
        """Versions and names of the controller, for the head of the record (JSON values only)."""
        ...

    def runs_kept(self) -> int:
        """How many runs stand in its own log; a new controller has none. Raises `Refused`."""
        ...

    def put(self, plan: bytes) -> None:
        """Load the plan file's bytes, unchanged. Raises `Refused`."""
        ...

    def ask(self, verb: str, *words: str | int) -> None:
        """Do one verb of the link (arm, start, stop, mark, unmark, clear). Raises `Refused`.

        Safe to call between two lines of `lines`, from the same thread.
        """
        ...

    def lines(self, idle: Callable[[], None] = nothing) -> Iterator[Line]:
        """Yield record lines ("s", "e", and "t" where the plant is simulated) as they come.

        ``idle`` is called again and again while none comes: an order need not wait for the next.
        Keeps the controller's host lease alive meanwhile. Ends when the controller is neither
        armed, running nor cooling any more: the heater is off and the run is over.
        """
        ...

    def close(self) -> None:
        """Heater off if a run is still going, then let go of the port. Never raises."""
        ...
