"""The two pseudo-terminals of a virtual board: the host's side, and the chip's own."""

from __future__ import annotations

import os
import pty
import termios
import tty

INPUT, OUTPUT, LOCAL, CONTROL = 0, 1, 3, 6


def open_host_side() -> tuple[int, int]:
    """Master and slave of what the host opens: nothing on the way changes a byte."""
    master, slave = pty.openpty()
    tty.setraw(slave)
    os.set_blocking(master, False)
    return master, slave


def open_chip_side() -> tuple[int, int]:
    """Master and slave of what the chip has for a USB port.

    MicroPython makes its own line ends and echo; only Ctrl-C stays a signal, while a program runs.
    """
    master, slave = pty.openpty()
    modes = termios.tcgetattr(slave)
    modes[INPUT] &= ~(termios.ICRNL | termios.IXON | termios.INLCR | termios.ISTRIP)
    modes[OUTPUT] &= ~termios.OPOST
    modes[LOCAL] &= ~(termios.ECHO | termios.ICANON | termios.IEXTEN)
    modes[LOCAL] |= termios.ISIG
    for character in (termios.VEOF, termios.VQUIT, termios.VSUSP):
        modes[CONTROL][character] = b"\0"
    modes[CONTROL][termios.VMIN], modes[CONTROL][termios.VTIME] = 1, 0
    termios.tcsetattr(slave, termios.TCSANOW, modes)
    os.set_blocking(master, False)
    return master, slave


def pass_ctrl_c(master: int) -> None:
    """Ctrl-C is a plain byte for a program that asked for it (`micropython.kbd_intr(-1)`)."""
    modes = termios.tcgetattr(master)
    if modes[LOCAL] & termios.ISIG:
        modes[LOCAL] &= ~termios.ISIG
        termios.tcsetattr(master, termios.TCSANOW, modes)
