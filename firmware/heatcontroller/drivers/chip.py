# What the chip itself does: restart, say why it started, and watch over the main loop.

import sys

import machine

# Two leases of the cut-off; an RP2040's cannot be stopped once started.
WATCHDOG_MS = 2000

CAUSES = (
    ("PWRON_RESET", "power_on"),
    ("HARD_RESET", "hard"),
    ("WDT_RESET", "watchdog"),
    ("DEEPSLEEP_RESET", "deep_sleep"),
    ("SOFT_RESET", "soft"),
)


def reset() -> None:
    machine.reset()


def reset_cause() -> str:
    # Ports lack some of these names.
    found = machine.reset_cause()
    for constant, name in CAUSES:
        if getattr(machine, constant, None) == found:
            return name
    return "unknown"


def start_watchdog():
    return machine.WDT(timeout=WATCHDOG_MS)


def name() -> str:
    return getattr(sys.implementation, "_machine", sys.platform)
