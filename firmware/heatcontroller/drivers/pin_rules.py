# Which pins must not be used, chip by chip, and why. Levels on a boot-strapping pin decide how the
# chip starts, and the chip itself may drive it: a heater there could come on during a reset.

STRAPPING = "decides how the chip boots"
FLASH = "belongs to the chip's own flash memory"
CONSOLE = "is the serial console"
ON_BOARD = "is used by the microcontroller board itself"
INPUT_ONLY = "can only be an input"

_ANY = "any"
_OUTPUT = "output"

# (chip, what it may not be used for, pins, reason): from the chips' data sheets.
_RULES = (
    ("rp2", _ANY, (23, 24, 25, 29), ON_BOARD),
    ("esp32", _ANY, (0, 2, 5, 12, 15), STRAPPING),
    ("esp32", _ANY, (6, 7, 8, 9, 10, 11), FLASH),
    ("esp32", _ANY, (1, 3), CONSOLE),
    ("esp32", _OUTPUT, (34, 35, 36, 37, 38, 39), INPUT_ONLY),
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

_PINS = {"rp2": 30, "esp32": 40, "esp32s2": 47, "esp32s3": 49, "esp32c3": 22, "esp32c6": 31}


def variant(chip: str, machine_name: str) -> str:
    # "esp32" and "Generic ESP32S3 module with ESP32S3" make esp32s3.
    if chip == "esp32":
        for name in ("esp32s2", "esp32s3", "esp32c3", "esp32c6"):
            if name in machine_name.lower():
                return name
    return chip


def fault(chip: str, pin: int, is_output: bool) -> str:
    # Why this pin will not do; "" when it will.
    if chip not in _PINS:
        return "chip " + chip + " is not known"
    if not 0 <= pin < _PINS[chip]:
        return "does not exist"
    for name, use, pins, reason in _RULES:
        if name == chip and pin in pins and (use == _ANY or is_output):
            return reason
    return ""


def faults(chip: str, outputs, inputs) -> list[str]:
    # One line for each bad pin: (name, pin or None) pairs in, all faults at once out.
    found = []
    used = {}
    for pairs, is_output in ((outputs, True), (inputs, False)):
        for name, pin in pairs:
            if pin is None:
                continue
            reason = fault(chip, pin, is_output)
            if pin in used:
                reason = "is already " + used[pin]
            if reason:
                found.append("%s = %d: pin %d of the %s %s" % (name, pin, pin, chip, reason))
            used[pin] = name
    return found
