# Which pins must not be used, chip by chip, and why. Levels on a boot-strapping pin decide how the
# chip starts, and the chip itself may drive it: a heater there could come on during a reset.

STRAPPING = "decides how the chip boots"
FLASH = "belongs to the chip's own flash memory"
CONSOLE = "is the serial console"
ON_BOARD = "is used by the microcontroller board itself"
INPUT_ONLY = "can only be an input"
NOT_ANALOGUE = "has no analogue input"

_ANY = "any"
OUTPUT = "output"
INPUT = "input"
ANALOGUE = "analogue"

# (chip, what it may not be used for, pins, reason): from the chips' data sheets.
_RULES = (
    ("rp2", _ANY, (23, 24, 25, 29), ON_BOARD),
    ("esp32", _ANY, (0, 2, 5, 12, 15), STRAPPING),
    ("esp32", _ANY, (6, 7, 8, 9, 10, 11), FLASH),
    ("esp32", _ANY, (1, 3), CONSOLE),
    ("esp32", OUTPUT, (34, 35, 36, 37, 38, 39), INPUT_ONLY),
    ("esp32s2", _ANY, (0, 45, 46), STRAPPING),
    ("esp32s2", _ANY, (26, 27, 28, 29, 30, 31, 32), FLASH),
    ("esp32s2", _ANY, (19, 20, 43, 44), CONSOLE),
    ("esp32s3", _ANY, (0, 3, 45, 46), STRAPPING),
    ("esp32s3", _ANY, (26, 27, 28, 29, 30, 31, 32), FLASH),
    ("esp32s3", _ANY, (19, 20, 43, 44), CONSOLE),
    ("esp32c3", _ANY, (2, 8, 9), STRAPPING),
    ("esp32c3", _ANY, (11, 12, 13, 14, 15, 16, 17), FLASH),
    ("esp32c3", _ANY, (18, 19, 20, 21), CONSOLE),
    ("esp32c6", _ANY, (4, 5, 8, 9, 15), STRAPPING),
    ("esp32c6", _ANY, (24, 25, 26, 27, 28, 29, 30), FLASH),
    ("esp32c6", _ANY, (12, 13, 16, 17), CONSOLE),
)

# ADC2 of the ESP32 is taken by its radio: ADC1 only.
_ANALOGUE_PINS = {
    "rp2": (26, 27, 28),
    "esp32": (32, 33, 34, 35, 36, 37, 38, 39),
    "esp32s2": (1, 2, 3, 4, 5, 6, 7, 8, 9, 10),
    "esp32s3": (1, 2, 4, 5, 6, 7, 8, 9, 10),
    "esp32c3": (0, 1, 3, 4),
    "esp32c6": (0, 1, 2, 3, 6),
}
_PINS = {"rp2": 30, "esp32": 40, "esp32s2": 47, "esp32s3": 49, "esp32c3": 22, "esp32c6": 31}


def fault(chip: str, pin: int, wanted: str) -> str:
    # Why this pin will not do as OUTPUT, INPUT or ANALOGUE; "" when it will.
    if chip not in _PINS:
        return "chip " + chip + " is not known"
    if not 0 <= pin < _PINS[chip]:
        return "does not exist"
    for name, use, pins, reason in _RULES:
        if name == chip and pin in pins and use in (_ANY, wanted):
            return reason
    if wanted == ANALOGUE and pin not in _ANALOGUE_PINS[chip]:
        return NOT_ANALOGUE
    return ""


def faults(chip: str, outputs, inputs, analogue) -> list[str]:
    # One line for each bad pin: (name, pin or None) pairs in, all faults at once out.
    found = []
    used = {}
    for pairs, wanted in ((outputs, OUTPUT), (inputs, INPUT), (analogue, ANALOGUE)):
        for name, pin in pairs:
            if pin is None:
                continue
            reason = fault(chip, pin, wanted)
            if pin in used:
                reason = "is already " + used[pin]
            if reason:
                found.append("%s = %d: pin %d of the %s %s" % (name, pin, pin, chip, reason))
            used[pin] = name
    return found
