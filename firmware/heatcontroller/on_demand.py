# Modules for one act each, never wanted at once: what answers about plans and logs, what reads a
# plan before a run is armed, and what drives the run. Each is loaded for its act, and gone from a
# small heap before the next comes.

import gc
import sys

# A laptop has room, and others there hold the same modules.
_IS_SMALL = sys.implementation.name == "micropython"

KEPT_VERBS = "heatcontroller.kept_verbs"
_came_for_run = []


def read_plan(data: bytes) -> tuple:
    # (plan, "") or (None, what is wrong with it).
    _let_go(_came_for_run)
    before = list(sys.modules)
    from heatcore import plan

    try:
        return plan.read(data), ""
    except plan.PlanError as error:
        return None, str(error)
    finally:
        _let_go(_new_since(before))


def control_loop(plan):
    _let_go([name for name in sys.modules if name == KEPT_VERBS])
    before = list(sys.modules)
    try:
        from heatcore.loop import ControlLoop

        return ControlLoop(plan)
    finally:
        # Also where memory ran out half-way: those that came are in the way.
        _came_for_run.extend(_new_since(before))


def _new_since(before: list) -> list:
    return [name for name in sys.modules if name not in before]


def _let_go(names: list) -> None:
    # Objects that are still in use keep their code; all else is free with the next collection.
    while names and _IS_SMALL:
        name = names.pop()
        package, _, own = name.rpartition(".")
        del sys.modules[name]
        if hasattr(sys.modules[package], own):
            delattr(sys.modules[package], own)
    gc.collect()
