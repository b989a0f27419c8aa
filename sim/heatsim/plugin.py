"""A plant of one's own: `plant:MODULE:FACTORY`, looked for in the current folder first.

Calling FACTORY with nothing gives an object with

    reset(ambient_c)                             everything at room temperature
    step(dt_s, duty, door, fan, mains) -> dict   dt_s further on; duty, door, fan 0..1, mains as a
                                                 ratio of nominal volts; temperatures in C

The dict has at least `board` and `sensor`, and `board_sensor`, `air`, `small_part`, `large_part`
where the plant has them; whatever else is in it is ignored.
"""

import importlib
import importlib.util
import sys
import traceback
from collections.abc import Iterator, Mapping
from contextlib import contextmanager
from math import isfinite
from pathlib import Path
from types import ModuleType
from typing import Any

OURS = ("heatcore", "heatcontroller", "heatsim", "heatwright")
REQUIRED = ("board", "sensor")
OPTIONAL = ("board_sensor", "air", "small_part", "large_part")
NAMES_SHOWN = 10
FORM = "plant:MODULE:FACTORY, such as plant:mine:make"


class PluginError(Exception):
    """Something about a person's own plant: what, where, what was found, what would be right."""

    def __init__(self, what: str, where: str, found: str, expected: str) -> None:
        self.what, self.where, self.found, self.expected = what, where, found, expected
        super().__init__(f"{where}: {what}\n  found: {found}\n  expected: {expected}")


class PluginPlant:
    """A foreign plant, each answer of which is checked before anything uses it."""

    def __init__(self, name: str, plant: Any) -> None:
        self.name = name
        self._plant = plant
        self._ambient_c = 25.0

    def reset(self, ambient_c: float) -> None:
        """Everything at room temperature. Raises `PluginError`."""
        self._ambient_c = ambient_c
        with _blamed(self.name, "reset"):
            self._plant.reset(ambient_c)

    def step(
        self, dt_s: float, duty: float, door: float = 0.0, fan: float = 0.0, mains: float = 1.0
    ) -> dict[str, float]:
        """`dt_s` further on; the temperatures it knows, C. Raises `PluginError`."""
        with _blamed(self.name, "step"):
            answer = self._plant.step(dt_s, duty, door, fan, mains)
        return _checked(self.name, answer)


def load(address: str) -> PluginPlant:
    """Load `MODULE:FACTORY` (a leading `plant:` is dropped). Raises `PluginError`."""
    module_name, factory_name = _parts(address)
    module = _module(module_name)
    factory = getattr(module, factory_name, None)
    if not callable(factory):
        raise PluginError(
            f"{factory_name} is not there to be called", str(module.__file__),
            _names_in(module), f"a function or class named {factory_name}",
        )  # fmt: skip
    with _blamed(f"plant:{module_name}:{factory_name}", "calling the factory"):
        plant = factory()
    return _with_methods(f"plant:{module_name}:{factory_name}", plant)


def _parts(address: str) -> tuple[str, str]:
    parts = address.removeprefix("plant:").split(":")
    if len(parts) != 2 or not all(_is_dotted_name(part) for part in parts):
        raise PluginError("this does not name a plant", "--on", repr(address), FORM)
    return parts[0], parts[1]


def _is_dotted_name(text: str) -> bool:
    return all(part.isidentifier() for part in text.split("."))


def _module(name: str) -> ModuleType:
    top = name.split(".")[0]
    if top in OURS:
        raise PluginError(
            "this name belongs to Heatwright", f"plant:{name}", top, "a module of another name"
        )
    with _current_folder_first(), _import_blamed(name):
        return _imported(name, top)


def _imported(name: str, top: str) -> ModuleType:
    here = Path.cwd() / f"{top}.py"
    known = sys.modules.get(top)
    if here.exists() and known is not None and known.__file__ != str(here):
        raise PluginError(
            "another module of this name is in use already", str(here), f"{known.__file__ or top}",
            "a file of another name",
        )  # fmt: skip
    importlib.invalidate_caches()
    return importlib.import_module(name)


@contextmanager
def _current_folder_first() -> Iterator[None]:
    # A console script's path starts in the folder that it is installed in, not in this one.
    here = str(Path.cwd())
    sys.path.insert(0, here)
    try:
        yield
    finally:
        sys.path.remove(here)


@contextmanager
def _import_blamed(name: str) -> Iterator[None]:
    try:
        yield
    except PluginError:
        raise
    except ModuleNotFoundError as error:
        if error.name is None or not (name + ".").startswith(error.name + "."):
            raise _blame(f"plant:{name}", "importing it", error) from error
        raise PluginError(
            f"there is no module {error.name}", f"plant:{name}",
            f"no {error.name}.py in {Path.cwd()}",
            "a file of that name in the current folder, or an installed module",
        ) from error  # fmt: skip
    except Exception as error:
        raise _blame(f"plant:{name}", "importing it", error) from error


@contextmanager
def _blamed(name: str, doing: str) -> Iterator[None]:
    try:
        yield
    except Exception as error:
        raise _blame(name, doing, error) from error


def _blame(name: str, doing: str, error: Exception) -> PluginError:
    frame = traceback.extract_tb(error.__traceback__)[-1]
    found = f"{type(error).__name__}: {error} ({frame.filename}, line {frame.lineno})"
    return PluginError(f"{doing} failed", name, found, "no exception")


def _with_methods(name: str, plant: Any) -> PluginPlant:
    missing = [m for m in ("reset", "step") if not callable(getattr(plant, m, None))]
    if missing:
        raise PluginError(
            f"what the factory gave has no method {' and no method '.join(missing)}", name,
            type(plant).__name__, "reset(ambient_c) and step(dt_s, duty, door, fan, mains)",
        )  # fmt: skip
    return PluginPlant(name, plant)


def _checked(name: str, answer: Any) -> dict[str, float]:
    if not isinstance(answer, Mapping):
        raise PluginError(
            "step did not return a dict", name, repr(answer), "temperatures in C by name"
        )
    if missing := [key for key in REQUIRED if key not in answer]:
        raise PluginError(
            f"step left out {' and '.join(missing)}", name, _listed(answer), " and ".join(REQUIRED)
        )
    return {key: _temperature(name, key, answer[key]) for key in _known(answer)}


def _known(answer: Mapping[str, Any]) -> list[str]:
    return [key for key in REQUIRED + OPTIONAL if key in answer]


def _temperature(name: str, key: str, value: Any) -> float:
    try:
        number = float(value)
    except (TypeError, ValueError):
        number = float("nan")
    if not isfinite(number):
        raise PluginError(
            f"step gave no number for {key}", name, repr(value), "a finite temperature in C"
        )
    return number


def _names_in(module: ModuleType) -> str:
    own = {n: v for n, v in vars(module).items() if callable(v) and not n.startswith("_")}
    # a whole library's names would push the rest of the message off the screen
    more = f" and {len(own) - NAMES_SHOWN} more" if len(own) > NAMES_SHOWN else ""
    return _listed(dict(list(own.items())[:NAMES_SHOWN])) + more


def _listed(names: Mapping[str, Any]) -> str:
    return ", ".join(map(str, names)) or "nothing"
