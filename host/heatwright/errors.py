"""Every error that a person can cause, in one tree; each carries the exit code it ends with."""

from __future__ import annotations

from dataclasses import dataclass

EXIT_DONE = 0
EXIT_UNEXPECTED = 1
EXIT_BAD_INPUT = 2
EXIT_VERDICT = 3
EXIT_NO_CONTROLLER = 4
EXIT_TRIPPED = 5
EXIT_STOPPED = 6
EXIT_INTERRUPTED = 130


@dataclass(frozen=True)
class Fault:
    """One thing that is wrong: what, where, what was found, what would be right, the cure."""

    what: str
    where: str = ""
    found: str = ""
    expected: str = ""
    cure: str = ""

    def __str__(self) -> str:
        head = f"{self.where}: {self.what}" if self.where else self.what
        details = (("found", self.found), ("expected", self.expected), ("cure", self.cure))
        return "\n".join([head, *(f"  {name}: {text}" for name, text in details if text)])


class HeatwrightError(Exception):
    """The root: an error with a sentence for a person and the exit code of the command."""

    exit_code = EXIT_UNEXPECTED

    def as_faults(self) -> tuple[Fault, ...]:
        """What is wrong, apart: the whole sentence where an error has no parts."""
        return (Fault(str(self)),)


class BadInput(HeatwrightError):
    """A file, an option or a value is not as it must be; all faults found are carried at once."""

    exit_code = EXIT_BAD_INPUT

    def __init__(self, *faults: Fault) -> None:
        self.faults = faults
        super().__init__("\n".join(str(fault) for fault in faults))

    def as_faults(self) -> tuple[Fault, ...]:
        return self.faults


class NoController(HeatwrightError):
    """No controller answers at this port, or the port may not be opened."""

    exit_code = EXIT_NO_CONTROLLER

    def __init__(self, fault: Fault) -> None:
        self.fault = fault
        super().__init__(str(fault))

    def as_faults(self) -> tuple[Fault, ...]:
        return (self.fault,)
