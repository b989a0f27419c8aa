"""A coached run on the wall's clock: readings in, advice out, a person's keys taken in between."""

from __future__ import annotations

import os
import select
import sys
import time
from collections.abc import Callable, Iterator
from contextlib import closing
from pathlib import Path
from typing import Literal, Protocol

from heatwright import sentences
from heatwright.coaching.advice import Advice
from heatwright.coaching.coach import Coach, Seen
from heatwright.coaching.knob import OFF
from heatwright.coaching.outfit import Outfit
from heatwright.coaching.practice import Coached
from heatwright.coaching.readings import ASK_S, Readings, Typed
from heatwright.coaching.recording import Recorder
from heatwright.coaching.screen import Now, Screen
from heatwright.coaching.timed import Timed
from heatwright.running.execute import Tell, judged

STEP_S = 1.0
STOP, MARK, UNMARK = ("s", "stop", "q"), ("", "m", "mark"), ("u", "unmark")
Ending = Literal["finished", "stopped", "interrupted"]


class Keys(Protocol):
    """Lines that the person has typed since the last look; never waits."""

    def lines(self) -> Iterator[str]: ...


class Keyboard:
    """Lines from a terminal or a pipe."""

    def __init__(self, stdin: int | None = None) -> None:
        self._stdin = sys.stdin.fileno() if stdin is None else stdin
        self._rest = ""
        self._is_open = True

    def lines(self) -> Iterator[str]:
        if self._is_open and select.select([self._stdin], [], [], 0)[0]:
            typed = os.read(self._stdin, 1000).decode(errors="replace")
            # a terminal that has gone would say "ready" for ever
            self._is_open = bool(typed)
            *whole, self._rest = (self._rest + typed).split("\n")
            yield from (line.strip().casefold() for line in whole)


class Live:
    """One run; `run` returns how it ended. Whatever happens, the record is whole."""

    def __init__(
        self,
        coach: Coach,
        readings: Readings,
        recorder: Recorder,
        screen: Screen,
        keys: Keys,
        clock: Callable[[], float] = time.monotonic,
        sleep: Callable[[float], None] = time.sleep,
    ) -> None:
        self._coach, self._readings, self._recorder = coach, readings, recorder
        self._screen, self._keys = screen, keys
        self._clock, self._sleep = clock, sleep
        self._asked = OFF
        self._ask_at_s = 0.0
        self._marks = 0
        self.advice: list[Advice] = []

    def run(self) -> Ending:
        try:
            return self._run()
        except KeyboardInterrupt:
            self._recorder.stop()
            return "interrupted"

    def _run(self) -> Ending:
        begun_s = self._clock()
        while not self._coach.is_done:
            now_s = self._clock() - begun_s
            if self._take_keys(now_s):
                self._recorder.stop()
                return "stopped"
            self._moment(now_s)
            self._sleep(max(0.0, STEP_S - (self._clock() - begun_s - now_s)))
        return "finished"

    def _take_keys(self, now_s: float) -> bool:
        """Marks and typed temperatures; whether the person wants to stop."""
        for line in self._keys.lines():
            if line in STOP:
                return True
            if line in MARK:
                self._mark(now_s)
            elif line in UNMARK:
                self._unmark(now_s)
            elif isinstance(self._readings, Typed) and not self._readings.put(line):
                self._screen.say(Advice(now_s, "type", sentences.COACH_NOT_TYPED))
        return False

    def _mark(self, now_s: float) -> None:
        self._marks += 1
        self._recorder.mark()
        self._coach.mark(now_s)
        self._screen.answer(now_s, sentences.COACH_MARKED)

    def _unmark(self, now_s: float) -> None:
        """Take the last mark back; the coach goes by the first, for as long as one stands."""
        if not self._marks:
            self._screen.answer(now_s, sentences.COACH_NO_MARK)
            return
        self._marks -= 1
        self._recorder.unmark()
        if not self._marks:
            self._coach.unmark()
        self._screen.answer(now_s, sentences.COACH_UNMARKED)

    def _moment(self, now_s: float) -> None:
        value_c, is_unplugged = self._readings.take()
        advice = self._coach.tell(Seen(now_s, value_c, is_unplugged))
        if advice:
            self._heard(advice)
        elif self._wants_typing(now_s, value_c):
            self._screen.say(Advice(now_s, "type", sentences.COACH_ASK))
        coach = self._coach
        hand = coach.hand.effect(self._asked, coach.is_lifted)
        self._recorder.sample(now_s, value_c, hand, coach.is_lifted, coach.stage)
        self._screen.show(Now(now_s, coach.board_c, coach.standing, value_c, self._marks))

    def _wants_typing(self, now_s: float, value_c: float | None) -> bool:
        """Whether it is time to ask the person for a number."""
        if value_c is not None:
            self._ask_at_s = now_s + ASK_S
        types = isinstance(self._readings, Typed) and not isinstance(self._coach, Timed)
        if not types or now_s < self._ask_at_s:
            return False
        self._ask_at_s = now_s + ASK_S
        return True

    def _heard(self, advice: Advice) -> None:
        self._screen.say(advice)
        self.advice.append(advice)
        self._asked = self._asked if advice.setting is None else advice.setting


def coach_live(
    outfit: Outfit,
    coach: Coach,
    readings: Readings,
    screen: Screen,
    keys: Keys,
    out: Path,
    on: str,
    tell: Tell,
    clock: Callable[[], float] = time.monotonic,
    sleep: Callable[[float], None] = time.sleep,
) -> tuple[Coached, Ending]:
    """Coach, record and judge one real run; the record is whole however it ends."""
    with closing(Recorder(outfit, coach, out, on, None, tell)) as recorder, closing(screen):
        live = Live(coach, readings, recorder, screen, keys, clock, sleep)
        ending = live.run()
    report = judged(recorder.place, ending == "interrupted", tell)
    return Coached(report, tuple(live.advice)), ending
