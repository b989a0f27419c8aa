"""A rehearsal kept like a run: simulated source, sensor and person, recorded and judged."""

from __future__ import annotations

import time
from collections.abc import Callable
from contextlib import closing
from dataclasses import dataclass
from pathlib import Path
from typing import Any

from heatwright.coaching.advice import Advice
from heatwright.coaching.coach import Coach
from heatwright.coaching.outfit import Outfit
from heatwright.coaching.readings import ASK_S
from heatwright.coaching.recording import Recorder
from heatwright.coaching.rehearsal import (
    STEP_S,
    Moment,
    eyes_of_seed,
    person_of_seed,
    rehearse,
    source_of_seed,
)
from heatwright.coaching.screen import Now, Screen
from heatwright.coaching.set_up import NONE, TYPED, coach_for
from heatwright.documents import load_source
from heatwright.running.execute import Report, Tell, judged, named_if_left

READ_EVERY_S = {TYPED: ASK_S, NONE: None}


@dataclass(frozen=True)
class Coached:
    """What a coached run came to, and all that was said in it."""

    report: Report
    advice: tuple[Advice, ...]

    def as_json(self) -> dict[str, Any]:
        """The document of ``coach --json``."""
        said = [
            {"at_s": round(one.at_s, 1), "kind": one.kind, "text": one.text} for one in self.advice
        ]
        return self.report.as_json() | {"advice": said}


def _said(advice: Advice) -> dict[str, Any]:
    return {"at_s": round(advice.at_s, 1), "kind": advice.kind, "text": advice.text}


def practise(
    outfit: Outfit,
    out: Path,
    seed: int,
    screen: Screen,
    tell: Tell,
    simulated: str | None = None,
    speed: float | None = None,
    sleep: Callable[[float], None] = time.sleep,
    sensor: str = "",
) -> Coached:
    """Rehearse; ``simulated`` names the source that is really there, ``speed`` None: no waiting.

    ``sensor`` typed: read as seldom as a person types; none: by the clock and by eye.
    """
    true = outfit.with_board(load_source(simulated)) if simulated else outfit.source
    coach = coach_for(outfit, sensor)
    on = f"sim:{true.kind}"
    recorder = Recorder(outfit, coach, out, on, seed, tell)

    def watch(moment: Moment, advice: Advice | None) -> None:
        _keep(recorder, coach, moment)
        if advice:
            screen.say(advice)
        screen.show(Now(moment.now_s, coach.board_c, coach.standing, moment.reading_c))
        if speed:
            sleep(STEP_S / speed)

    params = source_of_seed(true.plant_params(), seed)
    person, eyes = person_of_seed(seed), eyes_of_seed(seed, outfit.paste)
    every_s = READ_EVERY_S.get(sensor, STEP_S)
    with named_if_left(recorder.place, tell):
        with closing(recorder), closing(screen):
            run = rehearse(coach, params, person, seed, outfit.bead, watch, eyes, every_s)
        return Coached(judged(recorder.place, False, tell), tuple(run.advice))


def _keep(recorder: Recorder, coach: Coach, moment: Moment) -> None:
    recorder.sample(moment.now_s, moment.reading_c, moment.setting, moment.is_lifted, coach.stage)
    if moment.is_marked:
        recorder.mark()
    recorder.truth(moment.truth)
