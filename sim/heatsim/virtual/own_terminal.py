"""Runs a command with its standard input as its own controlling terminal, for Ctrl-C."""

import fcntl
import os
import sys
import termios

if __name__ == "__main__":
    os.setsid()
    fcntl.ioctl(0, termios.TIOCSCTTY, 0)
    os.execvp(sys.argv[1], sys.argv[1:])
