"""What ``--on`` names is looked for before anything else, by every command that has it."""

from __future__ import annotations

from pathlib import Path

import pytest

from heatwright import sentences
from heatwright.__main__ import run
from heatwright.documents import library
from heatwright.errors import EXIT_BAD_INPUT, EXIT_NO_CONTROLLER, BadInput, NoController
from heatwright.running.named_on import check_on
from host.running.mine import BOX

# Each command with the option that says where it goes, in its last word.
COMMANDS = {
    "run": ["run", "--source", "toaster", "--on"],
    "measure": ["measure", "--kind", "toaster", "--on"],
    "see it melt": ["measure", "--kind", "toaster", "--see-it-melt", "--on"],
    "page": ["page", "--no-browser", "--on"],
    "faults": ["faults", "--quick", "--on"],
    "coach": ["coach", "--source", "sand", "--sensor"],
    "practice": ["coach", "--source", "sand", "--practice", "--sensor"],
}
SIMULATED_ONLY = ("faults", "practice")


def everything_simulated() -> list[str]:
    return [f"sim:{name}" for name in library.shipped("source")]


@pytest.mark.parametrize("command", COMMANDS)
def test_a_mistyped_simulated_source_is_all_that_is_told(
    command: str, capsys: pytest.CaptureFixture[str]
) -> None:
    *words, option = COMMANDS[command]
    assert run([*words, option, "sim:tosater"]) == EXIT_BAD_INPUT
    out, err = capsys.readouterr()
    assert not out
    assert err.startswith(f"{option} sim:tosater: there is no simulated source of this name")
    assert all(name in err for name in everything_simulated())
    assert "Did you mean sim:toaster?" in err


@pytest.mark.parametrize("command", [name for name in COMMANDS if name not in SIMULATED_ONLY])
def test_a_port_that_is_not_there_is_told_before_any_caution(
    command: str, capsys: pytest.CaptureFixture[str]
) -> None:
    assert run([*COMMANDS[command], "/dev/ttyNOTHING"]) == EXIT_NO_CONTROLLER
    out, err = capsys.readouterr()
    assert not out
    assert err.startswith("/dev/ttyNOTHING: there is no such port")
    assert sentences.CAUTIONS not in err


@pytest.mark.parametrize("on", ["toaster", "simulator", "nothing"])
def test_a_word_that_is_neither_lists_what_there_is(on: str) -> None:
    with pytest.raises(BadInput) as caught:
        check_on(on)
    (fault,) = caught.value.faults
    assert fault.where == f"--on {on}"
    assert all(name in fault.expected for name in everything_simulated())
    assert "plant:MODULE:FACTORY" in fault.expected
    assert ("sim:toaster" in fault.cure) == (on == "toaster")


def test_a_source_file_is_read_at_once(tmp_path: Path) -> None:
    own = tmp_path / "mine.toml"
    own.write_text(library.locate("source", "sand").read_text())
    check_on(f"sim:{own}")
    own.write_text("kind = 7\n")
    with pytest.raises(BadInput, match=r"mine\.toml"):
        check_on(f"sim:{own}")


def test_a_plant_of_ones_own_is_loaded(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    (tmp_path / "onsbox.py").write_text(BOX)
    monkeypatch.chdir(tmp_path)
    check_on("plant:onsbox:make")
    with pytest.raises(BadInput, match="no module nix"):
        check_on("plant:nix:make")


@pytest.mark.parametrize("on", everything_simulated())
def test_every_shipped_source_is_there(on: str) -> None:
    check_on(on)


def test_windows_names_its_ports_otherwise() -> None:
    with pytest.raises(NoController):
        check_on("COM77")
