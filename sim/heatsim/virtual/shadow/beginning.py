# Makes a process of the unix port look like a chip: its files at /, boot.py, main.py, a prompt.
# Run before anything else, from outside of the chip's own file system (see start.py).

import os
import sys

import bench
import vfs
import wire


def cover():
    # Into memory, so that a program that imports them later finds these and not the chip's own.
    for name in ("machine", "time"):
        __import__(name)
    wire.open_file(int(os.getenv("HEATWRIGHT_WIRE")))
    try:
        vfs.umount("/")
        vfs.mount(vfs.VfsPosix(os.getenv("HEATWRIGHT_ROOT")), "/")
        os.chdir("/")
        sys.path[:] = ["", ".frozen", "/lib"]
    except Exception as error:
        # The laptop's own files must never be in reach of a file command.
        sys.print_exception(error)
        wire.doomed()
    bench.ticks_start_us = int(os.getenv("HEATWRIGHT_TICKS_US") or 0)
    wire.attach()


def run(path, main):
    try:
        os.stat(path)
    except OSError:
        return
    try:
        execfile(path, main)
    except KeyboardInterrupt:
        print("KeyboardInterrupt")
    except SystemExit:
        raise
    except BaseException as error:
        sys.print_exception(error)
