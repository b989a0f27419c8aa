# The port's own `os`, but for rename(): below a root other than the laptop's it mixes up its two
# paths (both are put together in one buffer). Relative ones go through untouched.

import sys

import bench  # noqa: F401 (its import refuses a chip)

_path = sys.path[:]
sys.path.clear()
from os import *
from os import rename as _rename

sys.path.extend(_path)


def _below_root(path, here):
    return path[1:] if path.startswith("/") else (here + "/" + path)[1:].lstrip("/")


def rename(old, new):
    here = getcwd()
    chdir("/")
    try:
        _rename(_below_root(old, here), _below_root(new, here))
    finally:
        chdir(here)


# A chip has no shell; this one would be the laptop's.
del system
