"""What the person sees and hears: one sentence, large, and a bell when it changes."""

from __future__ import annotations

import sys
from collections.abc import Callable
from typing import Any, NamedTuple, Protocol

from heatwright import sentences
from heatwright.coaching.advice import Advice

BELL = "\a"
# A question that was answered, or was not, goes from the screen after this.
ASKS_S = 12.0


class Now(NamedTuple):
    """This moment: the board as the coach estimates it, what stands, what was read, if any, and
    how many marks of the melt stand."""

    now_s: float
    board_c: float | None
    standing: Advice | None
    reading_c: float | None
    marks: int = 0


class Screen(Protocol):
    """Shows a coached run."""

    def show(self, now: Now) -> None: ...

    def say(self, advice: Advice) -> None: ...

    def answer(self, at_s: float, text: str) -> None:
        """What became of a key that was pressed."""

    def close(self) -> None: ...


class Lines:
    """Without a terminal: a line for each advice."""

    def __init__(self, tell: Callable[[str], None]) -> None:
        self._tell = tell

    def show(self, now: Now) -> None:
        return

    def say(self, advice: Advice) -> None:
        self.answer(advice.at_s, advice.text)

    def answer(self, at_s: float, text: str) -> None:
        self._tell(f"{clock(at_s)}  {text}")

    def close(self) -> None:
        return


class Large:
    """On a terminal: the sentence fills it; danger calls are red and ring three times."""

    def __init__(self) -> None:
        from rich.console import Console
        from rich.live import Live

        self._console = Console(stderr=True, highlight=False)
        self._live = Live(console=self._console, auto_refresh=False, screen=False)
        self._live.start()
        self._asks, self._asked_s = "", 0.0

    def close(self) -> None:
        self._live.stop()

    def show(self, now: Now) -> None:
        asks = self._asks if now.now_s < self._asked_s + ASKS_S else ""
        self._live.update(_panel(now, asks), refresh=True)

    def say(self, advice: Advice) -> None:
        self.answer(advice.at_s, advice.text if advice.kind == "type" else "")
        self._console.file.write(BELL * (3 if advice.is_danger else 1))
        self._console.file.flush()

    def answer(self, at_s: float, text: str) -> None:
        self._asks, self._asked_s = text, at_s


def _panel(now: Now, asks: str) -> Any:
    from rich.align import Align
    from rich.panel import Panel
    from rich.text import Text

    standing = now.standing
    danger = standing is not None and standing.is_danger
    text = Text((standing.text if standing else "").upper(), style="bold white on red" if danger
                else "bold", justify="center")  # fmt: skip
    if asks:
        text.append(f"\n\n{asks}", style="not bold")
    board = (
        sentences.COACH_NOT_KNOWN
        if now.board_c is None
        else sentences.COACH_ESTIMATED.format(board_c=now.board_c)
    )
    below = sentences.COACH_STATUS.format(at=clock(now.now_s), board=board)
    return Panel(
        Align.center(text, vertical="middle"), height=9, padding=(2, 4), title=below,
        subtitle=sentences.COACH_KEYS, border_style="red" if danger else "green",
    )  # fmt: skip


def clock(time_s: float) -> str:
    return f"{int(time_s) // 60}:{int(time_s) % 60:02d}"


def screen_for(tell: Callable[[str], None]) -> Screen:
    """Large type on a terminal, else a line for each advice."""
    return Large() if sys.stderr.isatty() else Lines(tell)
