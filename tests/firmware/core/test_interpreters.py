"""One suite, three interpreters: CPython, 64-bit MicroPython, and 32-bit MicroPython in WASM."""

import json

import pytest

from firmware.core import interpreters


@pytest.fixture(scope="module", params=interpreters.NAMES)
def report(request):
    done = interpreters.run(request.param, "__main__.py")
    assert done.stdout, done.stderr
    return done.returncode, json.loads(done.stdout)


def written_tests():
    """The suite's tests as their source says, with no interpreter's help."""
    return {
        f"{path.stem}.{line[4:].split('(')[0]}"
        for path in interpreters.SUITE.glob("test_*.py")
        for line in path.read_text().splitlines()
        if line.startswith("def test_")
    }


def test_every_test_ran_and_none_failed(report):
    code, said = report
    assert said["failed"] == []
    assert code == 0
    assert set(said["ran"]) == written_tests()
    assert len(said["ran"]) == len(written_tests())


@pytest.mark.parametrize("interpreter", interpreters.NAMES)
def test_a_suite_without_tests_fails(interpreter, tmp_path, monkeypatch):
    (tmp_path / "core").mkdir()
    runner = (interpreters.SUITE / "__main__.py").read_text()
    (tmp_path / "core" / "__main__.py").write_text(runner)
    monkeypatch.setattr(interpreters, "SUITE", tmp_path / "core")
    assert interpreters.run(interpreter, "__main__.py").returncode != 0


@pytest.mark.parametrize("interpreter", interpreters.NAMES)
def test_a_failing_test_fails_the_suite(interpreter, tmp_path, monkeypatch):
    (tmp_path / "core").mkdir()
    runner = (interpreters.SUITE / "__main__.py").read_text()
    (tmp_path / "core" / "__main__.py").write_text(runner)
    (tmp_path / "core" / "test_it.py").write_text("def test_it():\n    assert 1 == 2\n")
    monkeypatch.setattr(interpreters, "SUITE", tmp_path / "core")
    done = interpreters.run(interpreter, "__main__.py")
    assert done.returncode != 0
    assert json.loads(done.stdout.splitlines()[0])["failed"][0][0] == "test_it.test_it"


def test_the_golden_trace_has_one_hash():
    said = {name: interpreters.run(name, "replay.py").stdout for name in interpreters.NAMES}
    assert len(set(said.values())) == 1, said
    assert [len(word) for word in said["cpython"].split()] == [64, 64]
