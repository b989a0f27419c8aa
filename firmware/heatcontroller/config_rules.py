# What a configuration may say, and what is wrong with one.

from heatcore.limits import BOARD_MAX_MC, RISE_MAX_MK_S, RUN_MAX_MS, SENSOR_MAX_MC

SENSORS = ("max31855", "max31856", "max6675", "max31865")

# "ssr": bursts of whole mains cycles. "slow": a contactor or a thermostat's relay, in windows.
OUTPUTS = ("none", "ssr", "slow")

MAINS_HZ = (50, 60)

# name: lowest, ceiling. The ceilings are those of any plan: a configuration may only lower them,
# and a plan may only lower what is left.
LIMITS = {
    "sensor_max_mc": (30000, SENSOR_MAX_MC),
    "board_max_mc": (30000, BOARD_MAX_MC),
    "run_max_ms": (1000, RUN_MAX_MS),
    "rise_max_mk_s": (100, RISE_MAX_MK_S),
}
CHOICES = {
    "sensor": SENSORS,
    "second": ("none",) + SENSORS,
    "mains_hz": MAINS_HZ,
    "outputs": OUTPUTS,
}


def faults(values: dict) -> list:
    found = []
    for key in values:
        fault = _fault(key, values[key])
        if fault:
            found.append(fault)
    return found


def _fault(key: str, value: int | str) -> str:
    if key in LIMITS:
        return _limit_fault(key, value)
    if key not in CHOICES:
        return "{}: no such key".format(key)
    if type(value) not in (int, str) or value not in CHOICES[key]:
        return "{}: {} found, one of {} expected".format(key, value, _list(CHOICES[key]))
    return ""


def _limit_fault(key: str, value: int | str) -> str:
    low, high = LIMITS[key]
    if type(value) is not int or not low <= value <= high:
        return "{}: {} found, {} to {} expected".format(key, value, low, high)
    return ""


def _list(choices: tuple) -> str:
    return ", ".join(str(choice) for choice in choices)
