"""`heatwright faults`: its document, its table, its page; cut short and gone on with."""

import json

import pytest
from click.testing import CliRunner

from heatsim import faults, trials
from heatwright.commands.faults import command
from heatwright.errors import BadInput
from heatwright.faulting import campaign, cut_out
from heatwright.faulting.campaign import Size

TINY = Size(seeds=1, every_moment=4, fresh_runs=2, chips=1)
IN_JSON = {
    "fault", "moment", "source", "sensor", "seed", "detected", "seconds_to_off", "max_board_c",
}  # fmt: skip


@pytest.fixture
def quick(monkeypatch, soak):
    """The command on one setting, one moment, in this process."""
    monkeypatch.setattr(campaign, "settings", lambda wanted, executor=None: [soak])
    monkeypatch.setattr("heatwright.commands.faults.settings", lambda wanted: [soak])
    monkeypatch.setattr("heatwright.commands.faults.QUICK", TINY)
    monkeypatch.setattr("heatwright.commands.faults.ProcessPoolExecutor", _Here)
    monkeypatch.setattr("heatwright.faulting.chip.trials", _on_chip)

    def run(*arguments):
        return CliRunner().invoke(command, ["--quick", *arguments], catch_exceptions=False)

    return run


class _Here:
    """Runs what is asked for at once."""

    def __init__(self, workers, initializer):
        self.workers, self.initializer = workers, initializer

    def __enter__(self):
        return None

    def __exit__(self, *error):
        return None


def _on_chip(setting, seed):
    case = trials.faulty(setting, ["sensor-open"], seed)[-1]
    return [{**case, "fault": name} for name in faults.ON_CHIP]


def test_the_command_prints_its_document(quick):
    found = json.loads(quick("--json").stdout)
    assert found["fresh_runs"] == 2
    assert found["false_trips"] == 0
    low_c, high_c = found["fresh_peaks_c"]
    assert 200.0 < low_c <= high_c < 280.0
    assert set(found["cases"][0]) >= IN_JSON
    assert {case["fault"] for case in found["cases"]} == set(faults.KINDS)


def test_the_table_has_a_line_a_fault_and_the_page_the_same_numbers(quick, tmp_path):
    table = quick("--page", str(tmp_path / "page.md")).stdout
    page = (tmp_path / "page.md").read_text()
    for name in faults.KINDS:
        line = next(line for line in table.splitlines() if line.startswith(name + " "))
        seen = line.split()[1]
        assert f"| {name} | {seen} |" in page
    assert "Runs without a fault: 2; stopped all the same: 0." in table
    assert "within 6%" in page
    assert "The runs without a fault peaked at" in page


def test_the_page_says_what_ran_on_the_virtual_controller(quick, tmp_path, monkeypatch):
    page = tmp_path / "page.md"
    quick("--page", str(page))
    assert "3 cases on 1 of the 1 pairs" in page.read_text().replace("\n", " ")
    monkeypatch.setattr("heatwright.faulting.chip.can_run", lambda: False)
    quick("--page", str(page))
    assert "were left out" in page.read_text()
    assert "| controller-hung | the controller's program stands still |" in page.read_text()


def test_the_page_holds_a_weld_with_and_without_a_safety_relay_side_by_side(quick, tmp_path):
    found = json.loads(quick("--json", "--page", str(tmp_path / "page.md")).stdout)
    of = {case["fault"]: case for case in found["cases"] if case["moment"] == "soak"}
    seconds = of["both-welded"]["seconds_to_300_c"]
    text = (tmp_path / "page.md").read_text()
    row = next(line for line in text.splitlines() if line.startswith("| drawer | 2/2"))
    assert row.endswith(f" | {seconds:.0f} |")
    assert "only a\nthermal cut-out of its own" in text


def test_a_page_that_can_not_be_written_is_told_before_the_work(quick, tmp_path, monkeypatch):
    monkeypatch.setattr(trials, "faulty", lambda *a: pytest.fail("worked before it asked"))
    for place in (tmp_path / "nowhere" / "page.md", "/dev/full"):
        with pytest.raises(BadInput, match="can't be written"):
            quick("--page", str(place))


def test_ctrl_c_says_what_is_kept(quick, tmp_path, monkeypatch):
    def cut(*arguments):
        raise KeyboardInterrupt

    monkeypatch.setattr(trials, "fresh", cut)
    kept = tmp_path / "kept"
    result = quick("--keep", str(kept))
    assert "goes on from there" in result.stderr
    # the faulty unit was finished, and stays
    assert len(next(kept.iterdir()).read_text().splitlines()) >= 2


def test_ctrl_c_before_anything_is_finished_says_so(quick, tmp_path, monkeypatch):
    def cut(*arguments):
        raise KeyboardInterrupt

    for name in ("fresh", "faulty"):
        monkeypatch.setattr(trials, name, cut)
    monkeypatch.setattr("heatwright.faulting.chip.trials", cut)
    kept = tmp_path / "kept"
    result = quick("--keep", str(kept))
    assert f"Nothing is finished yet: {kept} holds no results" in result.stderr
    assert "goes on from there" not in result.stderr


@pytest.mark.parametrize("on", ["sim:sand", "sim:hot-air"])
@pytest.mark.parametrize("more", [(), ("--cut-out",)])
def test_what_is_driven_by_hand_is_refused_with_the_reason(quick, monkeypatch, on, more):
    monkeypatch.setattr(trials, "faulty", lambda *a: pytest.fail("worked before it asked"))
    with pytest.raises(BadInput, match=r"driven by hand[\s\S]*toaster, convection"):
        quick("--on", on, *more)


def test_a_campaign_that_was_cut_goes_on(quick, tmp_path, monkeypatch):
    kept = str(tmp_path / "kept")
    first = json.loads(quick("--json", "--keep", kept).stdout)
    monkeypatch.setattr(trials, "faulty", lambda *a: pytest.fail("ran again"))
    assert json.loads(quick("--json", "--keep", kept).stdout) == first


def test_only_simulated_sources_are_broken(quick):
    with pytest.raises(Exception, match="simulated sources only"):
        quick("--on", "/dev/ttyACM0")


def test_no_cut_out_can_watch_over_the_drawer(quick, soak):
    said = quick("--cut-out", "--on", "sim:drawer").stdout
    assert "no thermal cut-out can do it" in said
    assert "hand at the plug" in said
    rooms = json.loads(quick("--cut-out", "--json", "--on", "sim:drawer").stdout)["cut_out"]
    assert [room["rating_c"] for room in rooms["drawer"]] == [None] * len(cut_out.PLACES)
