"""Learning a source from runs: prediction, uncertainty, what is refused, what the file holds."""

from __future__ import annotations

import hashlib
from dataclasses import replace
from pathlib import Path

import numpy as np
import pytest

import records_made
from heatsim.plant import NODES
from heatwright import sentences
from heatwright.documents import load_source
from heatwright.errors import BadInput
from heatwright.measuring import band, candidate, coverage, learning, parameters, quality, report
from heatwright.measuring.fitting import Solution
from heatwright.measuring.learning import Learnt, NoFit
from heatwright.measuring.measurement import BOARD_BEAD, SENSOR, Measurement
from heatwright.running.guided import Guided
from measuring_made import measuring_run, soldering_run, workshop


@pytest.fixture(scope="module")
def run() -> Measurement:
    return measuring_run(workshop("toaster", 3), BOARD_BEAD)[0]


@pytest.fixture(scope="module")
def learnt(run: Measurement) -> Learnt:
    return learning.learn(load_source("toaster"), [run])


@pytest.mark.parametrize("kind", ["convection", "hot-plate", "sand"])
def test_one_run_predicts_another(kind: str) -> None:
    shop = workshop(kind, 2)
    run, _ = measuring_run(shop, BOARD_BEAD)
    params = learning.learn(shop.kind, [run]).solution.params
    held, _ = soldering_run(shop, (BOARD_BEAD,), 9)
    before = quality.scores(shop.kind.plant_params(), held)["board"]
    after = quality.scores(params, held)["board"]
    assert after.rms_c < 3.5
    assert after.rms_c < before.rms_c / 2


def test_a_source_of_its_kind_is_found_exactly() -> None:
    """The kind's own nominal plant, on nominal volts: nothing is left to learn."""
    shop = replace(workshop("toaster", 1), params=load_source("toaster").plant_params(), level=1.0)
    run, states = measuring_run(shop, BOARD_BEAD)
    params = learning.learn(shop.kind, [run]).solution.params
    predicted = quality.predict(params, run)[:, NODES.index("board")]
    assert np.abs(predicted - states[:, NODES.index("board")]).max() < 2.5


def test_every_number_is_better_known_than_before(learnt: Learnt) -> None:
    before = parameters.of_kind(load_source("toaster"))
    known = dict(zip(learnt.solution.known.names, learnt.solution.known.sd, strict=True))
    for name, sd in zip(before.names, before.sd, strict=True):
        assert known.get(name, 0.0) <= sd * 1.001


def test_the_band_is_narrower_than_the_kinds(learnt: Learnt, run: Measurement) -> None:
    kind = load_source("toaster")
    prior = parameters.of_kind(kind)
    unknowns = np.zeros(len(prior.names) + len(learnt.solution.runs[0].knots_s))
    before = replace(learnt.solution, prior=prior, unknowns=unknowns, factor=np.eye(len(unknowns)))
    _, wide = band.board_band(before)
    _, narrow = band.board_band(learnt.solution)
    assert narrow.max() < wide.max() / 3


def test_kept_back_stretches_are_not_shown(run: Measurement) -> None:
    """Readings spoilt where they are kept back change the score and not the fit."""
    held = quality.kept_back(run)
    spoilt = {BOARD_BEAD: np.where(held, 0.0, run.readings[BOARD_BEAD])}
    prior = parameters.of_kind(load_source("toaster"), few=True)
    from heatwright.measuring.fitting import solve

    clean = solve(prior, [run], [~held], starts=1).params
    other = solve(prior, [replace(run, readings=spoilt)], [~held], starts=1).params
    assert clean == other


def test_what_fits_nothing_is_refused_and_touches_no_file(tmp_path: Path, run: Measurement) -> None:
    out = tmp_path / "mine.toml"
    out.write_text(Path("profiles/sources/toaster.toml").read_text())
    before = out.read_bytes()
    rng = np.random.default_rng(1)
    wild = 25.0 + 200.0 * rng.random(len(run.time_s))
    with pytest.raises(NoFit, match="No file was changed"):
        report.measured(
            "toaster", [replace(run, readings={BOARD_BEAD: wild})], [], out, accept=True
        )
    assert out.read_bytes() == before
    assert list(tmp_path.iterdir()) == [out]


def test_candidate_first_then_accepted(tmp_path: Path, run: Measurement) -> None:
    out = tmp_path / "mine.toml"
    found = report.measured("toaster", [run], [], out, note="after moving the rack")
    assert not out.exists()
    assert found.source == tmp_path / "mine.candidate.toml"
    candidate.accept(out)
    assert not found.source.exists()
    source = load_source(out)
    assert source.generation == 1
    assert source.learnt_from == [run.sha256]
    assert "after moving the rack" in source.notes
    params = found.learnt.solution.params
    assert source.plant_params().power_w == pytest.approx(params.power_w, rel=1e-4)
    held = quality.scores(source.plant_params(), run)["board"]
    assert held.rms_c < 1.5


def test_only_what_waits_and_is_of_its_kind_is_accepted(tmp_path: Path, run: Measurement) -> None:
    out = tmp_path / "mine.toml"
    with pytest.raises(BadInput, match="no candidate waits"):
        candidate.accept(out, "toaster")
    report.measured("toaster", [run], [], out)
    with pytest.raises(BadInput, match="another kind"):
        candidate.accept(out, "drawer")
    assert not out.exists()
    assert candidate.accept(out, "toaster") == out


def test_a_source_begun_anew_covers_no_earlier_generation(tmp_path: Path) -> None:
    """The file was deleted and learnt again: its generations count from one a second time."""
    out = tmp_path / "mine.toml"
    begun = [
        load_source("toaster").model_copy(update={"generation": 1, "name": name})
        for name in ("first", "second", "second")
    ]
    for source in begun:
        out.unlink(missing_ok=True)
        candidate.write(source, out, accept=True)
        candidate.write(source.model_copy(update={"generation": 2}), out, accept=True)
    kept = candidate.kept_before(out, 1)
    assert [load_source(path).name for path in kept] == ["first", "second"]
    assert load_source(candidate.before_path(out, 1)).name == "first"


def test_measured_anew_counts_on_and_keeps_the_set_up(tmp_path: Path, run: Measurement) -> None:
    out = tmp_path / "mine.toml"
    text = Path("profiles/sources/toaster.toml").read_text()
    out.write_text(text.replace("generation = 0", "generation = 4").replace("middle of", "top of"))
    report.measured("toaster", [run], [], out, accept=True)
    source = load_source(out)
    assert source.generation == 5
    assert source.rack.startswith("top of")


def test_uncertainty_survives_the_file(tmp_path: Path, learnt: Learnt, run: Measurement) -> None:
    kind = load_source("toaster")
    out = tmp_path / "mine.toml"
    written = candidate.document(kind, learnt.solution, [run], spread=learnt.spread)
    candidate.write(written, out, accept=True)
    known = parameters.of_learnt(load_source(out))
    assert known.names == learnt.solution.known.names
    assert known.sd == pytest.approx(learnt.solution.known.sd, rel=0.02, abs=2e-4)
    assert known.correlation == pytest.approx(learnt.solution.known.correlation, abs=5e-3)


def test_what_was_not_tried_is_said(run: Measurement) -> None:
    half = len(run.inputs) // 3
    short = replace(
        run,
        inputs=np.minimum(run.inputs[:half], [0.5, 1.0, 1.0, 1.0, 30.0]),
        readings={SENSOR: run.readings[BOARD_BEAD][: half + 1]},
    )
    said = " ".join(coverage.not_tried([short]))
    for word in (
        "door was never opened",
        "Heat never went over 60 %",
        "Nobody read the board",
        "never got hotter",
    ):
        assert word in said
    assert coverage.not_tried([run]) == []


def test_the_guided_run_in_sand_did_all_that_was_asked_of_it() -> None:
    """Sand is never heated in full: the run that does as it is told is not blamed for it."""
    sand, _ = measuring_run(workshop("sand", 2), BOARD_BEAD)
    assert sand.duty.max() < 0.9
    assert coverage.not_tried([sand]) == []


def test_another_set_up_is_said(run: Measurement) -> None:
    source = load_source("toaster")
    same = replace(run, header={"rack": source.rack[:20], "board_moves_with_door": 0})
    moved = replace(run, header={"rack": "top", "board_moves_with_door": 1})
    assert list(coverage.moved(source, [same])) == []
    assert len(list(coverage.moved(source, [moved]))) == 2


def test_a_file_changed_since_it_was_learnt_no_longer_holds(tmp_path: Path) -> None:
    """Its own runs say how things stood when it was learnt; other runs say nothing of it."""
    _, board_c = records_made.corners(records_made.GOOD)
    for name in ("learnt", "other"):
        (tmp_path / name).mkdir()
        records_made.write(tmp_path / name / "record.txt", board_c, name=name, rack="middle")
    own = hashlib.sha256((tmp_path / "learnt" / "record.txt").read_bytes()).hexdigest()
    source = load_source("toaster").model_copy(update={"rack": "middle", "learnt_from": [own]})
    assert coverage.no_longer_holds(source, tmp_path) == []
    (said,) = coverage.no_longer_holds(source.model_copy(update={"rack": "top"}), tmp_path)
    assert "learnt" in said
    assert "measure again" in said


def test_a_file_of_another_kind_is_not_measured_over(tmp_path: Path) -> None:
    out = tmp_path / "mine.toml"
    candidate.write(load_source("drawer"), out, accept=True)
    with pytest.raises(BadInput, match="another kind"):
        candidate.base_for("toaster", out)


def _found(learnt: Learnt, **values: float) -> Solution:
    """The same solution, had it come to these values."""
    prior = learnt.solution.prior
    mean = [
        np.log(values.get(name, np.exp(log)))
        for name, log in zip(prior.names, prior.mean, strict=True)
    ]
    unknowns = np.zeros_like(learnt.solution.unknowns)
    return replace(learnt.solution, prior=replace(prior, mean=np.array(mean)), unknowns=unknowns)


def test_what_a_sensor_feels_is_no_more_than_all_of_it_in_the_file(
    learnt: Learnt, run: Measurement
) -> None:
    """Rounded to five digits, these two shares would be more than one."""
    found = _found(learnt, sensor_liner_share=0.982237, sensor_element_share=0.0177634)
    source = candidate.document(load_source("toaster"), found, [run], spread=learnt.spread)
    params = source.plant_params()
    total = params.sensor_liner_share + params.sensor_element_share
    assert 0.9999 < total <= 1.0
    assert params.power_w == pytest.approx(found.params.power_w, rel=1e-4)


@pytest.mark.parametrize("power_w", [500.0, 2400.0])
def test_a_power_far_from_the_plates_is_refused(
    learnt: Learnt, run: Measurement, power_w: float
) -> None:
    found = _found(learnt, power_w=power_w)
    with pytest.raises(NoFit, match=f"{power_w:.0f} W, and its type plate says 1100 W"):
        candidate.document(load_source("toaster"), found, [run], spread=learnt.spread)


def test_the_power_that_a_file_has_from_its_plate_is_what_measuring_begins_with(
    tmp_path: Path,
) -> None:
    out = tmp_path / "mine.toml"
    own = load_source("toaster")
    plate = own.ratings.model_copy(update={"power_w": 1800.0})
    candidate.write(own.model_copy(update={"ratings": plate}), out, accept=True)
    assert candidate.base_for("toaster", out).plant_params().power_w == 1800.0
    guided = Guided(on="sim:toaster", kind="toaster", set_up=str(out))
    assert guided.known.plant_params().power_w == 1800.0
    assert replace(guided, set_up=None).known.plant_params().power_w == 1100.0


def test_a_source_that_was_measured_is_no_longer_called_unmeasured(
    learnt: Learnt, run: Measurement
) -> None:
    notes = f"from the attic\n{sentences.MODEL_OF_KIND}"
    described = load_source("toaster").model_copy(update={"notes": notes})
    source = candidate.document(
        described, learnt.solution, [run], spread=learnt.spread, note="bead glued"
    )
    assert source.notes == "from the attic\nbead glued"


def test_a_source_not_kept_yet_is_said_to_wait(tmp_path: Path) -> None:
    out = tmp_path / "mine.toml"
    with pytest.raises(BadInput, match="Check the path"):
        load_source(out)
    candidate.write(load_source("toaster"), out, accept=False)
    with pytest.raises(BadInput, match=f"not kept yet.*--out {out} --accept"):
        load_source(out)
    candidate.accept(out)
    assert load_source(out).kind == "toaster"


def test_swapped_beads_are_recognised() -> None:
    shop = workshop("drawer", 1)
    run, states = measuring_run(shop, BOARD_BEAD)
    sensor_c = states[:, NODES.index(SENSOR)]
    swapped = replace(run, readings={BOARD_BEAD: sensor_c, SENSOR: run.readings[BOARD_BEAD]})
    with pytest.raises(NoFit, match="sensor_c and board_c were swapped"):
        learning.learn(shop.kind, [swapped])
    right = replace(run, readings={SENSOR: sensor_c, BOARD_BEAD: run.readings[BOARD_BEAD]})
    assert learning.learn(shop.kind, [right]).held_out.rms_c < 2.0
