"""``heatwright measure``: learn a heat source from a guided run or from records."""

from __future__ import annotations

import json
from pathlib import Path
from typing import Any, get_args

import click

from heatwright import sentences
from heatwright.commands.finite import FiniteRange
from heatwright.commands.saying import say
from heatwright.documents.source import Kind, Placing
from heatwright.errors import BadInput, Fault

EXAMPLES = """\b
Examples:
  heatwright measure --on sim:toaster --kind toaster --sensor board_sensor
  heatwright measure --on /dev/ttyACM0 --kind toaster --out my-oven.toml
  heatwright measure run1.csv --kind hot-plate --check run2.csv
  heatwright measure --kind toaster --out my-oven.toml --accept
  heatwright measure --ice 0.8 --boiling 97.9 --altitude 600
  heatwright measure --pair 24.5 26.0

\b
A CSV names its columns: time_s, duty (0..1, or knob), sensor_c, and perhaps
board_c, door (1 is open) and where (in which place sensor_c sat).
"""
OF_ACCEPT = "Keep it. Without records: keep the candidate made before."
OF_CHECK = "A run to predict only; nothing is learnt from it."
OF_PLACING = "Where a CSV's sensor_c sat; default: as its column where says, else air."
OF_SEE = "With --on: heat until you see the solder melt, under a ceiling."
OF_SENSOR = "With --on: where the control sensor sits."

OF_CHECKED = "Check the sensor: what it reads in ice water, in boiling water."
OF_ALTITUDE = "For boiling water: height above the sea, m."
OF_PRESSURE = "For boiling water, better: the air pressure here (not reduced to the sea), hPa."
OF_PAIR = "Check two sensors held together: what each reads."
READING = FiniteRange(-200, 1500)
OF_SENSORS = ("ice", "boiling", "altitude", "pressure", "pair")


@click.command(epilog=EXAMPLES)
@click.argument("records", nargs=-1, type=click.Path(path_type=Path))
@click.option("--kind", type=click.Choice(get_args(Kind)), help="What it is.")
@click.option("--ice", type=READING, metavar="C", help=OF_CHECKED)
@click.option("--boiling", type=READING, metavar="C", help=OF_CHECKED)
@click.option("--altitude", type=FiniteRange(-400, 6000), default=0.0, help=OF_ALTITUDE)
@click.option("--pressure", type=FiniteRange(400, 1100), metavar="HPA", help=OF_PRESSURE)
@click.option("--pair", type=READING, nargs=2, metavar="C C", help=OF_PAIR)
@click.option("--on", "on", metavar="sim:NAME|plant:MODULE:FACTORY|PORT", help="Guide a run there.")
@click.option("--sensor", type=click.Choice(["sensor", "board_sensor"]), default="sensor",
              help=OF_SENSOR)  # fmt: skip
@click.option("--see-it-melt", is_flag=True, help=OF_SEE)
@click.option("--paste", default="sac305", show_default=True, help="What you see melt.")
@click.option("--seed", type=click.IntRange(min=0), default=1, help="Simulated: which source.")
@click.option("--runs", type=click.Path(path_type=Path, file_okay=False), default=Path("runs"),
              show_default=True, help="Folder in which a guided run gets its own.")  # fmt: skip
@click.option("--check", "checks", multiple=True, type=click.Path(path_type=Path), help=OF_CHECK)
@click.option("--duty-percent", is_flag=True, help="A CSV's duty is in percent.")
@click.option("--placing", type=click.Choice(get_args(Placing)), help=OF_PLACING)
@click.option("--out", type=click.Path(path_type=Path, dir_okay=False), help="The source file.")
@click.option("--accept", is_flag=True, help=OF_ACCEPT)
@click.option("--note", default="", help="A line to keep in the file.")
@click.option("--details", is_flag=True, help="Each parameter with its interval.")
@click.option("--json", "as_json", is_flag=True, help="One JSON document on stdout.")
def command(records: tuple[Path, ...], **options: Any) -> None:
    """Learn a heat source: one guided run, or records, become a candidate source file."""
    if any(options[key] is not None for key in ("ice", "boiling", "pair")):
        say(_checked(**{key: options[key] for key in OF_SENSORS}), options["as_json"])
        return
    if not options["kind"]:
        raise BadInput(Fault(sentences.WHICH_KIND, "--kind", expected=", ".join(get_args(Kind))))
    out = options["out"] or Path(f"{options['kind']}-measured.toml")
    _check_out(out, options["kind"])
    if options["on"]:
        _guide_and_learn(records, out, options)
    elif records:
        _learn(records, out, options)
    elif options["accept"]:
        from heatwright.measuring import candidate

        kept = candidate.accept(out, options["kind"])
        say([sentences.SOURCE_KEPT.format(path=kept)], options["as_json"])
    else:
        raise BadInput(Fault(sentences.NOTHING_TO_MEASURE, cure=sentences.NOTHING_TO_MEASURE_CURE))


def _check_out(out: Path, kind: str) -> None:
    """Told now, not after a run and a fit."""
    from heatwright.measuring import candidate

    candidate.check_out(out)
    candidate.base_for(kind, out)


def _checked(
    ice: float | None,
    boiling: float | None,
    altitude: float,
    pressure: float | None,
    pair: tuple[float, float] | None,
) -> list[str]:
    from heatwright.measuring import sensor_checks

    hpa = sensor_checks.pressure_hpa(altitude) if pressure is None else pressure
    said = [] if ice is None else sensor_checks.check_point("ice", ice)
    said += [] if boiling is None else sensor_checks.check_point("boiling", boiling, hpa)
    if ice is not None and boiling is not None:
        said += sensor_checks.check_both(ice, boiling, hpa)
    return said + ([] if pair is None else [sensor_checks.check_pair(*pair)])


def _guide_and_learn(records: tuple[Path, ...], out: Path, options: dict[str, Any]) -> None:
    """Ctrl-C loses nothing that was recorded, and says how to learn from it."""
    from heatwright.running.execute import Left

    place = None
    try:
        place = _guided(options)
        click.echo(sentences.GUIDED_RECORDED.format(folder=place), err=True)
        _learn((*records, place), out, options)
    except KeyboardInterrupt as left:
        place = left.folder if isinstance(left, Left) else place
        if place:
            kind, told = options["kind"], sentences.GUIDED_LEFT
            click.echo(told.format(folder=place, kind=kind, out=out), err=True)
        raise


def _guided(options: dict[str, Any]) -> Path:
    from heatwright.running.guided import Guided, run_guided, run_see_melt
    from heatwright.running.named_on import check_kind, check_on

    check_on(options["on"])
    check_kind(options["on"], options["kind"])
    out = options["out"]
    asked = Guided(
        **{key: options[key] for key in ("on", "kind", "sensor", "seed", "paste")},
        set_up=str(out) if out and out.exists() else None,
    )
    run = run_see_melt if options["see_it_melt"] else run_guided
    return run(asked, options["runs"], lambda text: click.echo(text, err=True))


def _learn(records: tuple[Path, ...], out: Path, options: dict[str, Any]) -> None:
    from heatwright.documents import load_source
    from heatwright.measuring import marking, measurement
    from heatwright.measuring.report import measured
    from heatwright.records.reader import read

    def load(path: Path) -> measurement.Measurement:
        if path.suffix.lower() != ".csv":
            return marking.marked_run(load_source(options["kind"]), read(path))
        return measurement.load(
            path, duty_percent=options["duty_percent"], placing=options["placing"]
        )

    found = measured(
        options["kind"],
        [load(path) for path in records],
        [load(path) for path in options["checks"]],
        out,
        accept=options["accept"],
        note=options["note"],
    )
    if options["as_json"]:
        click.echo(json.dumps(found.as_json(), indent=2, ensure_ascii=False, allow_nan=False))
        return
    for line in found.lines(options["details"]):
        click.echo(line)
