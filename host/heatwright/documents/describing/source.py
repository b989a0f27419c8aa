"""The heat source before anybody measured it: its type plate, its places, the model of its kind."""

from __future__ import annotations

from typing import Any

from heatwright import sentences
from heatwright.documents import library
from heatwright.documents.describing.building import document, nested
from heatwright.documents.describing.interview import Answers
from heatwright.documents.describing.questions import Default, Values, fixed, of
from heatwright.documents.source import Source


def _by_kind(key: str) -> Default:
    """What the shipped source of the same kind has at this key."""

    def default(values: Values) -> Any:
        found: Any = library.load_source(values["kind"])
        for name in key.split("."):
            found = getattr(found, name)
        return found

    return default


QUESTIONS = (
    of(Source, "kind", sentences.ASK_KIND, needed=True),
    of(Source, "name", sentences.ASK_SOURCE_NAME, fixed("")),
    of(Source, "ratings.power_w", sentences.ASK_POWER, _by_kind("ratings.power_w")),
    of(Source, "ratings.mains_v", sentences.ASK_MAINS, fixed(230.0)),
    of(Source, "ratings.max_c", sentences.ASK_MAX, _by_kind("ratings.max_c")),
    of(Source, "ratings.cut_out", sentences.ASK_CUT_OUT, fixed(False)),
    of(Source, "rack", sentences.ASK_RACK, _by_kind("rack")),
    of(Source, "board_place", sentences.ASK_BOARD_PLACE, _by_kind("board_place")),
    of(
        Source,
        "board_moves_with_door",
        sentences.ASK_MOVES,
        _by_kind("board_moves_with_door"),
    ),
    of(Source, "sensor.kind", sentences.ASK_SENSOR, _by_kind("sensor.kind")),
    of(Source, "sensor.placing", sentences.ASK_PLACING, _by_kind("sensor.placing")),
    of(Source, "sensor_mount", sentences.ASK_MOUNT, _by_kind("sensor_mount")),
)
# the range in which a fit may put the power, as a share of the type plate's (see the document)
MODEL_POWER = "power_w"


def build(answers: Answers, name: str) -> Source:
    """The source of these answers, with the model of its kind until it is measured."""
    values = answers.values
    kind = library.load_source(values["kind"])
    model = kind.model.model_dump(exclude_none=True)
    model[MODEL_POWER] = values["ratings.power_w"]
    assumed = {
        key.rpartition(".")[2]: {"status": "assumed", "source": sentences.DEFAULT_OF_KIND}
        for key in answers.assumed & {"ratings.power_w", "ratings.max_c", "ratings.mains_v"}
    }
    data = nested(values) | {
        "generation": 0,
        "model": model,
        "spread": kind.spread.model_dump(exclude_none=True),
        "notes": sentences.MODEL_OF_KIND,
        "origin": assumed,
    }
    return document(Source, data, name)
