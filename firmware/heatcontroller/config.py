# The controller's configuration: what was fitted, and limits that may only be tightened.
# With no file, or a broken one, the controller has no outputs: it can read, and cannot heat.

import json

from heatcore.limits import BOARD_MAX_MC, OVEN_RUN_MAX_MS, RISE_MAX_MK_S, SENSOR_MAX_MC

# In wire order, since a dict has none on MicroPython.
KEYS = (
    "sensor",
    "second",
    "mains_hz",
    "outputs",
    "sensor_max_mc",
    "board_max_mc",
    "run_max_ms",
    "rise_max_mk_s",
)
# Who runs sand or a hot plate raises run_max_ms to an hour.
DEFAULTS = (
    "max31855",
    "none",
    50,
    "none",
    SENSOR_MAX_MC,
    BOARD_MAX_MC,
    OVEN_RUN_MAX_MS,
    RISE_MAX_MK_S,
)


class Config:
    def __init__(self, values: dict | None = None) -> None:
        self.keys = KEYS
        self._values: dict = dict(zip(KEYS, DEFAULTS))
        self.faults = [] if values is None else faults(values)
        if values is not None and not self.faults:
            self._values.update(values)
        get = self._values.get
        self.sensor = get("sensor")
        self.second = get("second")
        self.mains_hz = get("mains_hz")
        self.outputs = get("outputs")
        self.sensor_max_mc = get("sensor_max_mc")
        self.board_max_mc = get("board_max_mc")
        self.run_max_ms = get("run_max_ms")
        self.rise_max_mk_s = get("rise_max_mk_s")

    def value(self, key: str) -> int | str | None:
        return self._values.get(key)

    def changed(self, key: str, value: int | str) -> "Config":
        values = dict(self._values)
        values[key] = value
        return Config(values)

    def text(self) -> bytes:
        return json.dumps(self._values).encode()


def read(data: bytes | None) -> Config:
    # A broken file must not stop the controller from saying so: no outputs, faults told.
    if data is None:
        return Config()
    try:
        values = json.loads(data)
    except ValueError:
        values = None
    if isinstance(values, dict):
        return Config(values)
    broken = Config()
    broken.faults.append("the configuration is not a JSON object")
    return broken


def faults(values: dict) -> list:
    # The rules are loaded when something is to be judged, and let go (on_demand.py).
    from . import config_rules

    return config_rules.faults(values)
