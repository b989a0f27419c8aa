"""What ``--on`` names: is it there? Asked first, before anything is planned or cautioned of."""

from __future__ import annotations

import difflib

from heatsim import plugin
from heatwright import sentences
from heatwright.documents import library, load_source
from heatwright.errors import BadInput, Fault
from heatwright.running.named_faults import PLANT, SIM
from heatwright.running.ports import candidates
from heatwright.running.simulated import plugin_fault

OPTION = "--on"


def check_on(on: str, option: str = OPTION) -> None:
    """That this simulated source, plant of one's own, or controller at a port is there.

    ``option`` is what the person named it with. Raises `BadInput` for what is not,
    `NoController` for a port where no controller of these versions answers.
    """
    if on.startswith(SIM):
        _check_simulated(on.removeprefix(SIM), option)
    elif on.startswith(PLANT):
        _check_plugged_in(on)
    elif not _may_be_port(on):
        ports = ", ".join(candidates()) or sentences.ON_PORTS
        expected = sentences.ON_EXPECTED.format(simulated=_simulated(), ports=ports)
        raise BadInput(_unknown(on, sentences.ON_NOTHING, option, expected))
    else:
        _check_port(on)


def _check_simulated(name: str, option: str) -> None:
    try:
        library.locate("source", name)
    except BadInput as error:
        raise BadInput(
            _unknown(SIM + name, sentences.ON_NO_SIMULATED, option, _simulated())
        ) from error
    load_source(name)


def check_kind(on: str, kind: str) -> None:
    """That a simulated source is of the kind that it is to be measured as. Raises `BadInput`."""
    name = on.removeprefix(SIM)
    simulated = load_source(name).kind if name != on else kind
    if simulated != kind:
        what, cure = sentences.ON_OTHER_KIND, sentences.ON_OTHER_KIND_CURE.format(kind=simulated)
        raise BadInput(Fault(what, f"{OPTION} {on}", simulated, kind, cure))


def _check_plugged_in(on: str) -> None:
    try:
        plugin.load(on)
    except plugin.PluginError as error:
        raise plugin_fault(error) from error


def _may_be_port(on: str) -> bool:
    """A path or an address, or one of Windows' names."""
    return "/" in on or on.upper().startswith("COM")


def _check_port(on: str) -> None:
    from heatwright.running.link_client import connect

    connect(on).close()


def _simulated() -> str:
    names = ", ".join(SIM + name for name in library.shipped("source"))
    return sentences.ON_SIMULATED.format(names=names)


def _unknown(on: str, what: str, option: str, expected: str) -> Fault:
    name = on.removeprefix(SIM).casefold()
    close = difflib.get_close_matches(name, library.shipped("source"), n=1, cutoff=0.6)
    hint = sentences.DID_YOU_MEAN.format(name=SIM + close[0]) if close else ""
    return Fault(what, f"{option} {on}", on, expected, hint)
