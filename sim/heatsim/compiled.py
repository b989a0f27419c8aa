"""The same physics as machine code: a twin of `physics`, its functions replaced by numba's.

Compiling takes a few seconds the first time and well under one from the cache; a person at the
command line gets the plain plant, campaigns and fits get this one. No fastmath: it must agree
with the plain lines to 1e-9 C.
"""

import importlib.machinery
import sys
from collections.abc import Callable
from functools import lru_cache
from types import FunctionType, ModuleType
from typing import Any

from heatsim import physics

NAME = "heatsim.physics_compiled"


@lru_cache(maxsize=1)
def engine() -> ModuleType:
    """The compiled twin of `heatsim.physics`, made once a process."""
    twin = _twin()
    for name, function in vars(twin).copy().items():
        if isinstance(function, FunctionType):
            setattr(twin, name, _compile(function))
    return twin


def _twin() -> ModuleType:
    loader = importlib.machinery.SourceFileLoader(NAME, str(physics.__file__))
    twin = ModuleType(NAME)
    twin.__file__ = physics.__file__
    sys.modules[NAME] = twin  # numba's cache looks the functions' module up by its name
    loader.exec_module(twin)
    return twin


def _compile(function: Callable[..., Any]) -> Any:
    from numba import njit

    try:
        return njit(cache=True, error_model="numpy")(function)
    except RuntimeError:  # numba found no folder that it may write a cache to
        return njit(error_model="numpy")(function)
