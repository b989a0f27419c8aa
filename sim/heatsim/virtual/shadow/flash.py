# What a write to a chip's flash costs: it stands still while blocks are erased, interrupts and all.

import builtins

import bench

_open = builtins.open
_stall_us = 0


class File:
    # A file opened for writing. What is written is paid for when it is flushed, as littlefs does.

    def __init__(self, file):
        self._file = file
        self.seek = file.seek

    def write(self, data):
        return self._file.write(data)

    def flush(self):
        # This port writes at once; its own flush only waits for the laptop's disk.
        bench.advance(_stall_us)

    def close(self):
        self._file.close()
        bench.advance(_stall_us)

    def __enter__(self):
        return self

    def __exit__(self, *error):
        self.close()


def slow_open(path, mode="r"):
    file = _open(path, mode)
    return File(file) if "w" in mode or "a" in mode else file


def begin(stall_us):
    global _stall_us
    _stall_us = stall_us
    builtins.open = slow_open
