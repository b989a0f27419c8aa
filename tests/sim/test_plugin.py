"""A person's own plant: found in the current folder, and every mistake in it said clearly."""

import re
from pathlib import Path

import pytest

from heatsim.plugin import PluginError, load

DOC = Path(__file__).resolve().parents[2] / "docs" / "plants.md"

GOOD = """
class Plant:
    def reset(self, ambient_c):
        self.t = ambient_c
    def step(self, dt_s, duty, door, fan, mains):
        self.t += duty * dt_s
        return {"board": self.t, "sensor": self.t + 1, "air": 30, "mine": "ignored"}
"""

STEPS = """
class P:
    def reset(self, ambient_c): pass
    def step(self, dt_s, duty, door, fan, mains): return {answer}
"""


@pytest.fixture
def folder(tmp_path, monkeypatch):
    monkeypatch.chdir(tmp_path)
    return tmp_path


def write(folder: Path, name: str, text: str) -> None:
    (folder / f"{name}.py").write_text(text)


def test_a_plant_in_the_current_folder_runs(folder):
    write(folder, "own_good", GOOD)
    plant = load("plant:own_good:Plant")
    plant.reset(20.0)
    assert plant.step(0.25, 1.0) == {"board": 20.25, "sensor": 21.25, "air": 30.0}


def test_the_worked_example_of_the_docs_runs_verbatim(folder):
    blocks = re.findall(r"```python\n(.*?)```", DOC.read_text(), flags=re.DOTALL)
    assert len(blocks) == 1
    write(folder, "cookie_tin", blocks[0])
    plant = load("cookie_tin:CookieTin")
    plant.reset(22.0)
    for _ in range(4 * 240):
        temperatures = plant.step(0.25, 1.0, 0.0, 0.0, 1.0)
    assert 150.0 < temperatures["board"] < temperatures["sensor"] < 500.0
    plant.reset(22.0)
    assert plant.step(0.25, 0.0)["board"] == pytest.approx(22.0)


def test_an_installed_module_is_found_too(folder):
    with pytest.raises(PluginError, match="what the factory gave has no method reset"):
        load("plant:decimal:Decimal")


def test_the_current_folder_is_left_off_the_path_afterwards(folder):
    import sys

    write(folder, "own_path", GOOD)
    load("plant:own_path:Plant")
    assert str(folder) not in sys.path


def expect(match: str, address: str) -> None:
    with pytest.raises(PluginError, match=match) as caught:
        load(address)
    assert caught.value.expected
    assert caught.value.where


@pytest.mark.parametrize("address", ["plant:", "plant:one", "plant:a:b:c", "plant:../x:F", "a:"])
def test_an_address_that_names_no_plant(address):
    expect("does not name a plant", address)


@pytest.mark.parametrize("name", ["heatsim", "heatcore", "heatcontroller", "heatwright.page"])
def test_names_of_our_own_are_refused(folder, name):
    write(folder, name.split(".")[0], GOOD)
    expect("belongs to Heatwright", f"plant:{name}:Plant")


def test_a_missing_module(folder):
    expect(r"no module own_nowhere[\s\S]*no own_nowhere.py in", "plant:own_nowhere:Plant")


def test_a_missing_factory_names_what_is_there(folder):
    write(folder, "own_other", GOOD)
    expect(r"Oven is not there[\s\S]*found: Plant", "plant:own_other:Oven")


def test_of_a_whole_library_only_the_first_names_are_shown(folder):
    expect(r"Oven is not there[\s\S]* and \d+ more\n", "plant:decimal:Oven")


def test_a_file_that_is_hidden_by_a_module_in_use(folder):
    write(folder, "json", GOOD)
    expect("another module of this name", "plant:json:Plant")


@pytest.mark.parametrize(
    ("text", "match"),
    [
        ("import own_absent_dependency", "importing it failed"),
        ("this is no python", "SyntaxError"),
        ("1 / 0", "ZeroDivisionError.*own_broken.*line 1"),
    ],
)
def test_a_module_that_cannot_be_imported(folder, text, match):
    write(folder, "own_broken", text)
    expect(match, "plant:own_broken:Plant")


def test_a_factory_that_fails_or_gives_no_plant(folder):
    write(
        folder, "own_made", "def boom():\n    raise OSError('no')\ndef none():\n    return None\n"
    )
    expect(r"calling the factory failed[\s\S]*OSError: no", "plant:own_made:boom")
    expect("no method reset and no method step", "plant:own_made:none")


@pytest.mark.parametrize(
    ("answer", "match"),
    [
        ("None", "did not return a dict"),
        ("{'board': 20.0}", r"left out sensor[\s\S]*found: board"),
        ("{'board': float('nan'), 'sensor': 20.0}", "no number for board"),
        ("{'board': 20.0, 'sensor': 20.0, 'air': float('inf')}", "no number for air"),
        ("{'board': 20.0, 'sensor': 'hot'}", "no number for sensor[\\s\\S]*'hot'"),
        ("{'board': 20.0, 'sensor': 1 / 0}", "step failed[\\s\\S]*ZeroDivisionError"),
    ],
)
def test_a_step_that_gives_something_else(folder, answer, match):
    name = f"own_step_{abs(hash(answer))}"
    write(folder, name, STEPS.format(answer=answer))
    plant = load(f"plant:{name}:P")
    plant.reset(25.0)
    with pytest.raises(PluginError, match=match):
        plant.step(0.25, 0.0)
