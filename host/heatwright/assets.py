"""Where the shipped files are: inside a wheel they lie beside this file, in a checkout at its root.

Both layouts come from pyproject.toml, which puts profiles/ and firmware/device/ into the wheel.
"""

from __future__ import annotations

from importlib.util import find_spec
from pathlib import Path

_HERE = Path(__file__).resolve().parent
_SHIPPED = _HERE / "shipped"
_CHECKOUT = _HERE.parent.parent


def profiles() -> Path:
    """The folder of shipped documents: pastes, reflow, sources, workshop."""
    return _SHIPPED / "profiles" if _SHIPPED.is_dir() else _CHECKOUT / "profiles"


def device() -> Path:
    """The folder with main.py and boot.py, the files that start a controller."""
    return _SHIPPED / "device" if _SHIPPED.is_dir() else _CHECKOUT / "firmware" / "device"


def firmware_package(name: str) -> Path:
    """The folder of ``heatcore`` or ``heatcontroller``, to be copied to a controller.

    Raises FileNotFoundError where the package has no folder.
    """
    spec = find_spec(name)
    if spec is None or not spec.submodule_search_locations:
        raise FileNotFoundError(f"the firmware package {name} is not installed")
    return Path(spec.submodule_search_locations[0])
