"""The folder of a run: an id of its own, files whole or not there."""

from __future__ import annotations

import hashlib
import json
from datetime import datetime
from pathlib import Path

import pytest

from heatwright.errors import BadInput
from heatwright.records import folder

NOON = datetime(2026, 3, 4, 12, 30, 15)


def test_runs_of_the_same_second_get_folders_of_their_own(tmp_path: Path) -> None:
    made = [folder.make(tmp_path / "runs", "Bat-call logger", NOON) for _ in range(3)]
    assert [one.name for one in made] == [
        "20260304-123015-bat-call-logger",
        "20260304-123015-bat-call-logger-2",
        "20260304-123015-bat-call-logger-3",
    ]


@pytest.mark.parametrize(
    ("name", "plain"),
    [
        ("", "run"),
        ("../../etc", "etc"),
        ("Ünï/\\:*?", "n"),
        ("x" * 300, "x" * 40),
        ("a - b", "a-b"),
    ],
)
def test_any_name_makes_a_plain_folder_inside(tmp_path: Path, name: str, plain: str) -> None:
    made = folder.make(tmp_path, name, NOON)
    assert made == tmp_path / f"20260304-123015-{plain}"


def test_a_place_that_holds_no_folders_is_refused_in_words(tmp_path: Path) -> None:
    (tmp_path / "file").write_text("")
    with pytest.raises(BadInput, match="can't be made") as refused:
        folder.make(tmp_path / "file", "run", NOON)
    assert "--out" in str(refused.value)


def test_a_file_is_put_whole_and_its_hash_returned(tmp_path: Path) -> None:
    digest = folder.put(tmp_path, folder.PASTE, b"name = 'x'\n")
    assert digest == hashlib.sha256(b"name = 'x'\n").hexdigest()
    folder.put(tmp_path, folder.PASTE, b"other\n")
    assert [(path.name, path.read_bytes()) for path in tmp_path.iterdir()] == [
        ("paste.toml", b"other\n")
    ]


def test_a_verdict_with_nan_is_refused_and_the_old_one_stays(tmp_path: Path) -> None:
    folder.put_json(tmp_path, folder.VERDICT, {"verdict": "pass"})
    with pytest.raises(ValueError, match="JSON"):
        folder.put_json(tmp_path, folder.VERDICT, {"verdict": float("nan")})
    assert json.loads((tmp_path / folder.VERDICT).read_text()) == {"verdict": "pass"}
