# Modules for one act each, never wanted at once: what builds the controller, what answers about
# plans and logs, what reads a plan before a run is armed, and what drives the run. Each is loaded
# for its act, and gone from a small heap before the next comes. Nothing is loaded in a run.

import gc
import sys

# A laptop has room, and others there hold the same modules.
_IS_SMALL = sys.implementation.name == "micropython"
# While modules load, memory is collected this often, so that their leavings do not scatter what
# stays. In between the main loop says when.
LOADING_BYTES = 4096
_UNARMED = ("heatcontroller.kept_verbs", "heatcontroller.config_rules")
_came_for_run = []


def make_room() -> None:
    # Before a plan's text is fetched: one block of up to 4 kB. What drove the last run goes.
    let_go(_came_for_run)
    _came_for_run.clear()


def read_plan(data: bytes) -> tuple:
    # (plan, "") or (None, what is wrong with it).
    before = _begin()
    from heatcore import plan

    try:
        return plan.read(data), ""
    except plan.PlanError as error:
        return None, str(error)
    finally:
        let_go(_new_since(before))


def control_loop(plan):
    let_go(_UNARMED)
    before = _begin()
    try:
        from heatcore.loop import ControlLoop

        return ControlLoop(plan)
    finally:
        # Also where memory ran out half-way: those that came are in the way.
        _came_for_run.extend(_new_since(before))
        end()


def _begin() -> list:
    if _IS_SMALL:
        gc.threshold(LOADING_BYTES)
    return list(sys.modules)


def end() -> None:
    if _IS_SMALL:
        gc.threshold(-1)
        gc.collect()


def _new_since(before: list) -> list:
    # Where nothing is let go nothing is looked for: a laptop has thousands of modules.
    return [name for name in sys.modules if name not in before] if _IS_SMALL else []


def let_go(names) -> None:
    # Objects that are still in use keep their code.
    for name in names:
        if _IS_SMALL and name in sys.modules:
            package, _, own = name.rpartition(".")
            del sys.modules[name]
            if hasattr(sys.modules[package], own):
                delattr(sys.modules[package], own)
    end()
