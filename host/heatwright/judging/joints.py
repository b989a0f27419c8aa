"""What a person saw on the board after a run, kept in the run's notes.toml."""

from __future__ import annotations

import datetime as dt
import tomllib
from collections.abc import Iterable, Sequence
from pathlib import Path
from typing import Any, NamedTuple

import tomlkit

from heatwright import sentences
from heatwright.documents.bench import Bench
from heatwright.documents.reading import read_text
from heatwright.errors import BadInput, Fault
from heatwright.records import folder

STATES = tuple(sentences.JOINT_LOOKS)
# a joint of these needs no work
QUIET = frozenset({"good", "not_visible"})


class Joint(NamedTuple):
    """The joints of one part, as they look."""

    ref: str
    state: str


class Seen(NamedTuple):
    """All that was noted of one run; the last word on a part counts."""

    joints: tuple[Joint, ...] = ()
    tests: tuple[str, ...] = ()
    remarks: tuple[str, ...] = ()

    @property
    def bad(self) -> tuple[Joint, ...]:
        return tuple(joint for joint in self.joints if joint.state not in QUIET)


def parse(texts: Iterable[str]) -> list[Joint]:
    """``U1=bridge`` as a joint. Raises `BadInput` with all that can't be read."""
    joints, faults = [], []
    for text in texts:
        ref, equals, state = text.partition("=")
        state = state.strip().casefold().replace(" ", "_").replace("-", "_")
        expected = sentences.JOINT_EXPECTED.format(states=", ".join(STATES))
        if not (equals and ref.strip()):
            faults.append(Fault(sentences.JOINT_FORM, "--joint", text, expected))
        elif state not in STATES:
            faults.append(Fault(sentences.JOINT_UNKNOWN_STATE, "--joint", text, expected))
        joints.append(Joint(ref.strip().upper(), state))
    if faults:
        raise BadInput(*faults)
    return joints


def unknown_refs(joints: Iterable[Joint], bench: Bench) -> list[str]:
    """Names that the board's placements do not have; none where it names nothing."""
    known = refs(bench)
    return [joint.ref for joint in joints if known and joint.ref not in known]


def refs(bench: Bench) -> list[str]:
    return [ref.upper() for fitted in bench.fitted for ref in fitted.refs]


def seen(run: Path) -> Seen:
    """What was noted in this run's folder. Raises `BadInput` where the notes can't be read."""
    path = run / folder.NOTES
    if not path.is_file():
        return Seen()
    data = _notes(path)
    by_ref = {
        str(one["ref"]): str(one["state"])
        for one in _tables(data, "joint")
        if one.get("state") in STATES and "ref" in one
    }
    tests = [str(one["text"]) for one in _tables(data, "test") if "text" in one]
    remarks = [f"{key}: {value}" for key, value in data.items() if not _tables(data, key)]
    return Seen(tuple(Joint(*pair) for pair in by_ref.items()), tuple(tests), tuple(remarks))


def _notes(path: Path) -> dict[str, Any]:
    try:
        return tomllib.loads(read_text(path))
    except tomllib.TOMLDecodeError as error:
        cure = sentences.SYNTAX_CURE
        raise BadInput(Fault(sentences.NOTES_BROKEN, str(path), str(error), cure=cure)) from error


def _tables(data: dict[str, Any], key: str) -> list[dict[str, Any]]:
    """The tables of this name; whatever else a person wrote there is none of ours."""
    found = data.get(key)
    return [one for one in found if isinstance(one, dict)] if isinstance(found, list) else []


def note(run: Path, joints: Sequence[Joint], tests: Sequence[str], now: dt.datetime) -> None:
    """Add to the run's notes; all that stands there already is kept, comments too."""
    path = run / folder.NOTES
    data = _notes(path) if path.is_file() else {}
    notes = tomlkit.parse(read_text(path)) if path.is_file() else tomlkit.document()
    entries = [("joint", {"ref": one.ref, "state": one.state}) for one in joints]
    entries += [("test", {"text": text}) for text in tests]
    for key, entry in entries:
        if key not in notes:
            notes.add(key, tomlkit.aot())
        elif not _tables(data, key) and key in data:
            raise BadInput(Fault(sentences.NOTES_BROKEN, str(path), key, f"[[{key}]]"))
        notes[key].append(tomlkit.item(entry | {"noted_at": now.replace(microsecond=0)}))
    folder.put(run, folder.NOTES, tomlkit.dumps(notes).encode())
