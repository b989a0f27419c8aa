"""One simulated chip: the unix port of MicroPython as a child process."""

from __future__ import annotations

import os
import socket
import struct
import subprocess
import sys
from dataclasses import dataclass, field
from pathlib import Path

from heatsim.virtual import shadow_files

# 96 kB of a 32-bit chip's heap (an RP2040 has some 190), in this port's wider words.
HEAP_WORDS = 24 * 1024
# The simulated modules live on the chip's heap as well; the firmware must not pay for them. Some
# 200 names, most of them in a real chip's ROM, double the table of names a step too early: 14.3 kB.
SHADOW_BYTES = 22_800 + 14_300


def heap(words: int) -> str:
    """The size to ask for, so that the firmware alone has this many words."""
    return str(words * struct.calcsize("P") + SHADOW_BYTES)


HEAP = heap(HEAP_WORDS)


@dataclass(frozen=True)
class ChipSetup:
    """What a chip is made of: its file system's folder, its heap, where its ticks begin."""

    root: Path
    heap: str = HEAP
    ticks_start_us: int = 0
    extra_env: dict[str, str] = field(default_factory=dict)

    def environment(self, wire_number: int, prompt_only: bool) -> dict[str, str]:
        """Nothing of the laptop's own environment but what a process needs to start."""
        made = {
            "PATH": os.environ.get("PATH", ""),
            "HOME": "/nonexistent",
            "MICROPYPATH": f"{shadow_files.compiled()}:.frozen",
            "HEATWRIGHT_ROOT": str(self.root.resolve()),
            "HEATWRIGHT_WIRE": str(wire_number),
            "HEATWRIGHT_TICKS_US": str(self.ticks_start_us),
        }
        if prompt_only:
            made["HEATWRIGHT_PROMPT"] = "1"
        return made | self.extra_env


class Chip:
    """A running chip. `wire` is the simulator's end; stdin and stdout are the USB port's."""

    def __init__(
        self,
        setup: ChipSetup,
        stdin: int,
        stdout: int,
        *,
        is_terminal: bool = False,
        prompt_only: bool = False,
    ) -> None:
        self.wire, theirs = socket.socketpair()
        with theirs:
            self.process = subprocess.Popen(
                _command(setup.heap, is_terminal),
                stdin=stdin,
                stdout=stdout,
                stderr=stdout,
                cwd=setup.root,
                env=setup.environment(theirs.fileno(), prompt_only),
                pass_fds=[theirs.fileno()],
            )

    def catches_interrupts(self) -> bool:
        """Whether a Ctrl-C is a signal for it now, not a byte: only while a program runs."""
        try:
            status = Path(f"/proc/{self.process.pid}/status").read_text()
        except OSError:
            return False
        caught = next(line for line in status.splitlines() if line.startswith("SigCgt:"))
        return bool(int(caught.split()[1], 16) & 2)

    def computed_s(self) -> float:
        """Processor time since its start: how a hang is told from a laptop that is busy."""
        stat = Path(f"/proc/{self.process.pid}/stat").read_text()
        ticks = stat.rpartition(")")[2].split()[11:13]
        return sum(map(int, ticks)) / os.sysconf("SC_CLK_TCK")

    def kill(self) -> None:
        """At once, as a reset does: nothing of its program runs on."""
        self.process.kill()
        self.process.wait()
        self.wire.close()


def _command(heap: str, is_terminal: bool) -> list[str]:
    start = str(shadow_files.compiled() / shadow_files.START)
    micropython = [sys.executable, "-m", "micropython_unix", "-X", f"heapsize={heap}"]
    if not is_terminal:
        return [*micropython, start]
    # The terminal must be the child's own, or Ctrl-C would go to the simulator.
    here = str(Path(__file__).resolve().parent / "own_terminal.py")
    return [sys.executable, here, *micropython, "-i", start]
