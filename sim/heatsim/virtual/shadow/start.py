# Makes a process of the unix port look like a chip: its files at /, boot.py, main.py, a prompt.
# Run before anything else, from outside of the chip's own file system.

import os
import sys
import vfs

_shadow = os.getenv("HEATWRIGHT_SHADOW")
_root = os.getenv("HEATWRIGHT_ROOT")
sys.path[:] = [_shadow, ".frozen"]
import wire

wire.open_file(int(os.getenv("HEATWRIGHT_WIRE")))
_prompt_only = os.getenv("HEATWRIGHT_PROMPT")
try:
    # The modules below are in memory already; a program that imports them later finds those.
    import bench
    import machine
    import time

    bench.ticks_start_us = int(os.getenv("HEATWRIGHT_TICKS_US") or 0)
    vfs.umount("/")
    vfs.mount(vfs.VfsPosix(_root), "/")
    os.chdir("/")
    sys.path[:] = ["", ".frozen", "/lib"]
except Exception as error:
    # The laptop's own files must never be in reach of a file command.
    sys.print_exception(error)
    wire.doomed()
wire.attach()


def _run(path):
    try:
        os.stat(path)
    except OSError:
        return
    try:
        execfile(path)
    except KeyboardInterrupt:
        print("KeyboardInterrupt")
    except SystemExit:
        raise
    except BaseException as error:
        sys.print_exception(error)


_run("boot.py")
if not _prompt_only:
    _run("main.py")
