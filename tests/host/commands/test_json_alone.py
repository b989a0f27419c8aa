"""With --json standard output is one document and no more, on every way through a command."""

from __future__ import annotations

import json
from pathlib import Path

import pytest

from heatwright.__main__ import run
from heatwright.documents import library
from heatwright.documents.reading import candidate_path

WAYS = [
    ["schema"],
    ["schema", "--out", "schemas"],
    ["judge", "--states"],
    ["setup-check", "--board", "bat-logger", "--html", "list.html"],
    ["measure", "--ice", "0.8", "--boiling", "97.9", "--altitude", "600"],
    ["measure", "--kind", "toaster", "--out", "own.toml", "--accept"],
]


@pytest.mark.parametrize("words", WAYS, ids=" ".join)
def test_one_document(
    words: list[str], tmp_path: Path, monkeypatch: pytest.MonkeyPatch,
    capsys: pytest.CaptureFixture[str],
) -> None:  # fmt: skip
    monkeypatch.chdir(tmp_path)
    waiting = candidate_path(Path("own.toml"))
    waiting.write_text(library.locate("source", "toaster").read_text())
    assert run([*words, "--json"]) == 0
    assert json.loads(capsys.readouterr().out)["schema_version"] == 1
