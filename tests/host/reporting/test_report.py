"""The report: one file that needs nothing else, whatever text the run carries."""

from __future__ import annotations

import base64
import hashlib
import json
import re
import subprocess
from html.parser import HTMLParser
from pathlib import Path

import numpy as np
import pytest
from click.testing import CliRunner

from firmware.core.interpreters import BIN
from heatwright import assets
from heatwright.__main__ import run as heatwright
from heatwright.commands.report import command
from heatwright.records import reader
from heatwright.reporting.html import PARTS, page
from heatwright.reporting.pdf import pdf
from heatwright.reporting.report import gather
from records_made import GOOD, corners, write

EVIL = '<script>alert("x")</script></script>&\'{{ 7 * 7 }} $\\frac$'
# SHA-256 of dist/uPlot.iife.min.js in the package uplot 1.6.31 of the npm registry.
UPLOT_SHA256 = "2d27e8ad3d228164525ce213f9dc716f39b4e3aee0cc773fb3491c96cf4921a2"
# One red pixel, in each of the formats.
PNG = base64.b64decode(
    "iVBORw0KGgoAAAANSUhEUgAAAAEAAAABCAIAAACQd1PeAAAADElEQVR4nGP4z8AAAAMBAQDJ/pLvAAAAAElFTkSuQmCC"
)
SAC305 = (assets.profiles() / "pastes" / "sac305.toml").read_bytes()


@pytest.fixture
def run(tmp_path: Path) -> Path:
    place = tmp_path / "run"
    place.mkdir()
    (place / "paste.toml").write_bytes(SAC305)
    (place / "notes.toml").write_text(f"seen = '''{EVIL}'''\n")
    digest = hashlib.sha256(SAC305).hexdigest()
    board_c = corners(GOOD)[1]
    header = {"placing": "on_board", "name": EVIL, "paste_sha256": digest}
    write(place / "record.txt", board_c, board_c + 3, **header)
    return place


class Page(HTMLParser):
    """The elements of a page, their attributes, and the text of scripts."""

    def __init__(self, text: str) -> None:
        super().__init__(convert_charrefs=True)
        self.elements: list[tuple[str, dict[str, str | None]]] = []
        self.texts: list[str] = []
        self.scripts: list[str] = []
        self._in_script = False
        self.feed(text)

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        self.elements.append((tag, dict(attrs)))
        if tag == "script":
            self.scripts.append("")
        self._in_script = tag == "script"

    def handle_endtag(self, tag: str) -> None:
        self._in_script = False

    def handle_data(self, data: str) -> None:
        if self._in_script:
            self.scripts[-1] += data
        else:
            self.texts.append(data)

    def all(self, tag: str) -> list[dict[str, str | None]]:
        return [attributes for name, attributes in self.elements if name == tag]


def test_nothing_is_fetched_and_only_known_scripts_run(run: Path) -> None:
    found = Page(page(gather(run)))
    addresses = [
        value
        for _, attributes in found.elements
        for name, value in attributes.items()
        if name in ("src", "href", "srcset", "action", "data", "poster")
    ]
    assert addresses
    assert all(str(address).startswith("data:image/") for address in addresses)
    assert found.all("link") == found.all("iframe") == found.all("form") == []
    handlers = [name for _, attributes in found.elements for name in attributes if name[:2] == "on"]
    assert handlers == []
    policy = next(str(meta["content"]) for meta in found.all("meta") if "http-equiv" in meta)
    assert "default-src 'none'" in policy
    data, *programs = found.scripts
    hashes = [
        base64.b64encode(hashlib.sha256(code.encode()).digest()).decode() for code in programs
    ]
    assert re.findall(r"'sha256-([^']+)'", policy) == hashes
    assert hashlib.sha256(programs[0].encode()).hexdigest() == UPLOT_SHA256
    assert json.loads(data)["columns"]


def test_the_charts_licence_is_in_the_page(run: Path) -> None:
    text = "".join(Page(page(gather(run))).texts)
    assert "Copyright (c) 2022 Leon Sorokin" in text
    assert "this permission notice shall be included" in text


def test_text_of_the_run_stays_text(run: Path) -> None:
    found = Page(page(gather(run)))
    # the name in the head and in the record's header, and the notes
    assert "".join(found.texts).count(EVIL) >= 3
    assert len(found.scripts) == 3
    assert not any("alert" in script for script in found.scripts[1:])


def test_the_page_says_what_judge_says(run: Path) -> None:
    report = gather(run)
    text = "".join(Page(page(report)).texts)
    assert report.verdict.sentence in text
    assert report.record.trace_sha256 in text
    assert "242 °C" in text
    for measure in report.verdict.measures:
        assert measure.name.replace("_", " ") in text
    for note in report.verdict.notes:
        assert note in text
    assert "No conformity" in text


def test_the_curve_holds_what_was_recorded(run: Path) -> None:
    record = reader.read(run)
    data = json.loads(Page(page(gather(run))).scripts[0])
    labels = [line["label"] for line in data["lines"]]
    assert labels == ["target", "board (measured)", "power"]
    assert len(data["columns"]) == 1 + len(labels)
    assert all(len(column) == len(record.time_s) for column in data["columns"])
    assert np.allclose(data["columns"][2], record.sensor_c, atol=0.006)
    assert data["liquidus_c"] == 217


def test_missing_readings_are_gaps_and_the_simulated_board_is_named_so(run: Path) -> None:
    time_s, board_c = corners(GOOD)
    (run / "record.txt").unlink()
    write(run / "record.txt", np.where(time_s == 30, np.nan, board_c), board_c, placing="air")
    data = json.loads(Page(page(gather(run))).scripts[0])
    labels = [line["label"] for line in data["lines"]]
    assert labels == ["target", "sensor (air)", "board (simulated; nobody saw this)", "power"]
    assert data["columns"][2][120] is None


def test_documents_stand_in_it_with_their_hashes(run: Path) -> None:
    text = "".join(Page(page(gather(run))).texts)
    assert "solidus_c = 217" in text
    assert hashlib.sha256(SAC305).hexdigest() in text
    assert "as at the run" in text
    (run / "paste.toml").write_bytes(SAC305 + b"# looked at again\n")
    assert "changed since the run" in "".join(Page(page(gather(run))).texts)


def test_photographs_are_in_the_file(run: Path, tmp_path: Path) -> None:
    photo = tmp_path / "a <b>.png"
    photo.write_bytes(PNG)
    found = Page(page(gather(run, [photo])))
    images = [str(image["src"]) for image in found.all("img")]
    assert f"data:image/png;base64,{base64.b64encode(PNG).decode()}" in images
    assert "a <b>.png" in "".join(found.texts)


@pytest.mark.parametrize(
    ("name", "data"), [("x.svg", b"<svg onload='x()'/>"), ("x.jpg", b""), ("gone.png", None)]
)
def test_what_is_no_photograph_is_refused(run, tmp_path, capsys, name, data) -> None:
    if data is not None:
        (tmp_path / name).write_bytes(data)
    assert heatwright(["report", str(run), "--photo", str(tmp_path / name)]) == 2
    told = capsys.readouterr().err
    assert name in told
    assert not (run / "report.html").exists()


def test_the_same_run_gives_the_same_bytes(run: Path) -> None:
    report = gather(run)
    assert page(report) == page(report)
    assert pdf(report) == pdf(report)


def test_the_pdf_holds_picture_text_and_photographs(run: Path, tmp_path: Path) -> None:
    photo = tmp_path / "photo.png"
    photo.write_bytes(PNG)
    plain, with_photo = pdf(gather(run)), pdf(gather(run, [photo]))
    assert plain.startswith(b"%PDF-")
    pages = [len(re.findall(rb"/Type /Page\b", data)) for data in (plain, with_photo)]
    assert pages[0] >= 2
    assert pages[1] == pages[0] + 1


def test_a_photograph_that_is_cut_is_refused_for_a_pdf(run, tmp_path, capsys) -> None:
    (tmp_path / "cut.png").write_bytes(PNG[:40])
    assert heatwright(["report", str(run), "--pdf", "--photo", str(tmp_path / "cut.png")]) == 2
    assert "cut.png" in capsys.readouterr().err


def test_the_command_writes_beside_the_run_or_where_told(run: Path, tmp_path: Path) -> None:
    done = CliRunner().invoke(command, [str(run)], catch_exceptions=False)
    assert done.stdout == f"The report: {run / 'report.html'}\n"
    assert (run / "report.html").read_text().startswith("<!doctype html>")
    done = CliRunner().invoke(command, [str(run), "--pdf", "--out", str(tmp_path / "r.pdf")])
    assert (tmp_path / "r.pdf").read_bytes().startswith(b"%PDF-")


def test_a_run_without_its_paste_needs_one_named(run: Path, capsys) -> None:
    (run / "paste.toml").unlink()
    assert heatwright(["report", str(run)]) == 2
    assert "--paste" in capsys.readouterr().err
    assert heatwright(["report", str(run), "--paste", "sac305"]) == 0


def test_a_full_disk_leaves_the_old_report(run: Path, capsys) -> None:
    (run / "report.html").write_text("old")
    # /dev/full can't be renamed over: a folder in the way stops the writing all the same
    assert heatwright(["report", str(run), "--out", str(run / "nowhere" / "r.html")]) == 2
    assert (run / "report.html").read_text() == "old"
    assert "r.html" in capsys.readouterr().err


def test_the_pages_own_script_is_sound() -> None:
    checked = [str(BIN / "node"), "--check", str(PARTS / "chart.js")]
    assert subprocess.run(checked, capture_output=True, check=False).returncode == 0
