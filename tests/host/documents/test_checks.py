"""What the documents alone tell before heat, and the list to tick off."""

from __future__ import annotations

import datetime as dt
import json
import re
from dataclasses import replace
from html.parser import HTMLParser
from pathlib import Path

import pytest
from click.testing import CliRunner
from hypothesis import given
from hypothesis import strategies as st

from heatwright.commands.setup_check import command
from heatwright.documents import load_source
from heatwright.documents.bench import Bench, load_bench
from heatwright.documents.checks import check, refuse_lead
from heatwright.documents.checks.checklist import checklist, foot, title
from heatwright.documents.checks.page import html
from heatwright.documents.checks.printing import area_ratio, coarsest_for, width_for
from heatwright.errors import BadInput
from host.documents.benches import bench, part

NOW = dt.datetime(2026, 3, 20, 12, 0)


def codes(a_bench: Bench, level: str | None = None) -> set[str]:
    return {one.code for one in check(a_bench, NOW) if level in (None, one.level)}


def text_of(a_bench: Bench, code: str) -> str:
    return next(one.text for one in check(a_bench, NOW) if one.code == code)


@pytest.mark.parametrize(
    ("values", "of_board"),
    [
        ({"contains_lead": True}, {}),
        ({}, {"finish": "hasl_lead"}),
        ({}, {"touch_up_alloy": "Sn63Pb37"}),
    ],
)
@pytest.mark.parametrize("paste", ["sn42bi58", "sn42bi576ag04"])
def test_lead_with_bismuth_is_refused_unless_accepted(values, of_board, paste: str) -> None:
    """Tin, lead and bismuth together melt at 95-98 °C (ternary eutectic; NIST)."""
    refused = bench(part(**values), paste=paste, **of_board)
    assert codes(refused, "refuse") == {"lead_with_bismuth"}
    with pytest.raises(BadInput, match="accept_low_melting"):
        refuse_lead(refused)
    accepted = bench(part(**values), paste=paste, accept_low_melting=True, **of_board)
    refuse_lead(accepted)
    assert "lead_with_bismuth" in codes(accepted, "warn")
    assert "95-98 °C" in text_of(accepted, "lead_with_bismuth")


def test_lead_with_any_other_paste_is_nobody_s_business() -> None:
    for paste in ("sac305", "sn63pb37"):
        leaded = bench(part(contains_lead=True), paste=paste, finish="hasl_lead")
        assert not codes(leaded, "refuse") | (codes(leaded) & {"finish_unknown"})
    assert "finish_unknown" in codes(bench(part(), paste="sn42bi58", finish="unknown"))


@pytest.mark.parametrize(
    ("level", "hours"),
    [("2", 8760), ("2a", 672), ("3", 168), ("4", 72), ("5", 48), ("5a", 24)],
)
def test_floor_life_is_counted_from_the_bag_s_opening(level: str, hours: int) -> None:
    """Floor life out of the bag in hours: J-STD-020/033."""
    for over_h, code in ((-1, "floor_life"), (1, "floor_life_over")):
        opened = NOW - dt.timedelta(hours=hours + over_h)
        found = bench(part(moisture_level=level, bag_opened_at=opened))
        assert code in codes(found)
    assert "J-STD-033" in text_of(found, "floor_life_over")
    assert "runs no bakes" in text_of(found, "floor_life_over")


def test_level_1_never_ages_and_level_6_is_baked_always() -> None:
    assert not codes(bench(part(moisture_level="1"))) & {"floor_life", "bag_not_noted"}
    assert "bake_first" in codes(bench(part(moisture_level="6", bag_opened_at=NOW)), "warn")


def test_the_bag_s_own_label_wins_and_a_bag_in_the_future_is_no_bag() -> None:
    opened = NOW - dt.timedelta(hours=30)
    own = part(moisture_level="3", floor_life_h=24.0, bag_opened_at=opened)
    assert "floor_life_over" in codes(bench(own))
    ahead = part(moisture_level="3", bag_opened_at=NOW + dt.timedelta(hours=2))
    assert "bag_in_future" in codes(bench(ahead))
    assert "bag_not_noted" in codes(bench(part(moisture_level="3")), "note")


def test_a_zone_beside_the_moment_changes_nothing() -> None:
    local = NOW - dt.timedelta(hours=100)
    texts = [
        text_of(bench(part(moisture_level="3", bag_opened_at=moment)), "floor_life")
        for moment in (local, local.astimezone(), local.astimezone(dt.UTC))
    ]
    assert len(set(texts)) == 1
    assert "3 days" in texts[0]


@pytest.mark.parametrize(
    ("done", "code"), [(0, None), (1, None), (2, "passes_last"), (3, "passes_over")]
)
def test_passes_are_counted(done: int, code: str | None) -> None:
    """Most component sheets allow three reflow passes (common practice of the trade)."""
    found = codes(bench(part(), passes_done=done)) & {"passes_last", "passes_over"}
    assert found == ({code} if code else set())


@pytest.mark.parametrize(("mass_mg", "flagged"), [(459.0, False), (461.0, True)])
def test_too_heavy_for_its_pads(mass_mg: float, flagged: bool) -> None:
    """At most 46 mg on a square millimetre of pad (30 g/in², a rule of the trade)."""
    heavy = part(mass_mg=mass_mg, pad_area_mm2=10.0)
    light = part(mass_mg=10.0, pad_area_mm2=10.0)
    assert ("too_heavy" in codes(bench(heavy), "note")) == flagged
    assert ("too_heavy" in codes(bench(heavy, light, sides="tb"), "warn")) == flagged


def test_the_light_side_goes_first() -> None:
    heavy, light = (part(mass_mg=mass, pad_area_mm2=10.0) for mass in (300.0, 20.0))
    assert "first the bottom side" in text_of(bench(heavy, light, sides="tb"), "side_order")
    assert "first the top side" in text_of(bench(heavy, light, sides="bt"), "side_order")
    assert "can't be told" in text_of(bench(heavy, part(), sides="tb"), "side_order")
    assert "side_order" not in codes(bench(heavy, light))


def opening(width_mm: float, length_mm: float, **more: object) -> dict[str, object]:
    return {"aperture": {"smallest_width_mm": width_mm, "smallest_length_mm": length_mm, **more}}


@pytest.mark.parametrize(
    ("width_mm", "length_mm", "thickness_mm", "failing"),
    [
        # 0.25 x 1.5: area ratio 0.893, aspect 2.08
        (0.25, 1.5, 0.12, set()),
        # 0.25 square: area ratio 0.52, aspect 2.08
        (0.25, 0.25, 0.12, {"area_ratio"}),
        # 0.17 x 10: area ratio 0.696, aspect 1.417
        (0.17, 10.0, 0.12, {"aspect_ratio"}),
        (0.17, 10.0, 0.10, set()),
    ],
)
def test_stencil_ratios(width_mm, length_mm, thickness_mm, failing) -> None:
    """Area ratio at least 0.66, aspect ratio at least 1.5: IPC-7525, from memory."""
    made = bench(
        part(**opening(width_mm, length_mm)),
        printing={"method": "stencil", "thickness_mm": thickness_mm},
    )
    assert codes(made) & {"area_ratio", "aspect_ratio"} == failing


@given(st.floats(0.1, 3.0), st.floats(0.05, 0.3))
def test_a_square_opening_has_a_quarter_of_its_width_over_thickness(side_mm, thickness_mm) -> None:
    assert area_ratio(side_mm, side_mm, thickness_mm) == pytest.approx(side_mm / thickness_mm / 4)


@pytest.mark.parametrize(("thickness_mm", "width_mm"), [(0.12, 0.25), (0.15, 0.3), (0.2, 0.2)])
def test_the_thinner_stencil_that_is_named_would_do(thickness_mm: float, width_mm: float) -> None:
    stencil = {"method": "stencil", "thickness_mm": thickness_mm}
    said = text_of(bench(part(**opening(width_mm, width_mm)), printing=stencil), "area_ratio")
    named_mm = float(re.findall(r"stencil of ([\d.]+) mm", said)[0])
    thinner = {"method": "stencil", "thickness_mm": named_mm}
    assert "area_ratio" not in codes(bench(part(**opening(width_mm, width_mm)), printing=thinner))


@pytest.mark.parametrize(("powder", "width_mm"), [(3, 0.225), (4, 0.19), (5, 0.125)])
def test_five_of_the_largest_grains(powder: int, width_mm: float) -> None:
    """Powder type 3 25-45 µm, type 4 20-38, type 5 15-25: common practice of the trade."""
    assert width_for(powder) == pytest.approx(width_mm)
    for narrower, flagged in ((0.0, False), (0.005, True)):
        made = bench(part(**opening(width_mm - narrower, 2.0)))
        made = replace(made, paste=made.paste.model_copy(update={"powder_type": powder}))
        assert ("powder_coarse" in codes(made)) == flagged
    assert coarsest_for(width_mm) == powder


def test_powder_that_nobody_noted_matters_only_where_it_would() -> None:
    assert "powder_unknown" in codes(bench(part(**opening(0.2, 1.0))))
    assert "powder_unknown" not in codes(bench(part(**opening(0.3, 1.0))))


@pytest.mark.parametrize(
    ("cover", "windows", "failing"),
    [
        (65.0, 4, set()),
        (50.0, 2, set()),
        (80.0, 9, set()),
        (81.0, 4, {"centre_pad_cover"}),
        (49.0, 4, {"centre_pad_cover"}),
        (70.0, 1, {"centre_pad_windows"}),
        (None, None, {"centre_pad_unknown"}),
    ],
)
def test_centre_pad(cover, windows, failing) -> None:
    """50 to 80 % covered, in windows: common practice of the trade."""
    more = {"centre_pad_cover_percent": cover, "centre_pad_windows": windows}
    given_ones = {key: value for key, value in more.items() if value is not None}
    found = codes(bench(part(**opening(0.3, 1.0, **given_ones))))
    assert {code for code in found if code.startswith("centre_pad")} == failing


def test_by_syringe_no_stencil_is_judged() -> None:
    made = bench(part(**opening(0.1, 0.1)), printing={"method": "syringe"})
    assert codes(made) == {"syringe"}
    sections = checklist(made, None, NOW)
    assert any("bead along each row" in item for section in sections for item in section.items)


def test_old_paste() -> None:
    made = bench()
    for days, flagged in ((0, False), (1, True)):
        expires = NOW.date() - dt.timedelta(days=days)
        old = replace(made, paste=made.paste.model_copy(update={"expires_on": expires}))
        assert ("paste_expired" in codes(old)) == flagged


def test_the_workshop_s_own_board_has_nothing_worse_than_a_note() -> None:
    made = load_bench(bench().paste, "bat-logger")
    assert {one.level for one in check(made, NOW)} == {"note"}


def workshop() -> Bench:
    return load_bench(bench().paste, "bat-logger")


def test_the_checklist_is_filled_from_the_documents() -> None:
    sections = checklist(workshop(), load_source("toaster"), NOW)
    text = "\n".join(item for section in sections for item in section.items)
    for said in (
        "SAC305 warmed sealed to room temperature",
        "never by heat",
        "(0.12 mm)",
        "wipe off",
        "near J1 (Battery connector)",
        "MK1 (MEMS microphone): no hotter than 255 °C",
        "middle of three",
        "Lamp",
        "lift the board",
        "Fan",
        "Hand near the mains switch",
    ):
        assert said in text
    assert "{" not in text
    assert "235 to 250 °C" in foot(workshop())
    assert title(workshop()) == "Before the run: Bat-call logger, SAC305"


class Reader(HTMLParser):
    """Counts tags, and notes whatever would be fetched from somewhere else."""

    def __init__(self) -> None:
        super().__init__()
        self.tags: list[str] = []
        self.fetched: list[str] = []

    def handle_starttag(self, tag, attrs) -> None:
        self.tags.append(tag)
        self.fetched += [value for name, value in attrs if name in ("src", "href")]


def test_the_page_stands_alone_and_escapes_what_people_wrote() -> None:
    sections = checklist(workshop(), None, NOW)
    page = html("<b>Logger</b>", sections, foot(workshop()), "today")
    reader = Reader()
    reader.feed(page)
    assert not reader.fetched
    assert "url(" not in page
    assert reader.tags.count("input") == sum(len(section.items) for section in sections)
    assert "&lt;b&gt;Logger" in page
    assert "@media print" in page


def test_the_command_says_writes_and_ends_with_its_code(tmp_path: Path) -> None:
    page = tmp_path / "list.html"
    done = CliRunner().invoke(command, ["--board", "bat-logger", "--html", str(page)])
    assert done.exit_code == 0
    assert "[ ] Lamp" in done.stdout
    assert page.read_text(encoding="utf-8").startswith("<!doctype html>")
    said = CliRunner().invoke(command, ["--board", "bat-logger", "--json"])
    document = json.loads(said.stdout)
    assert document["schema_version"] == 1
    assert {"level", "code", "text"} == document["findings"][0].keys()


def test_lead_with_bismuth_ends_with_2(tmp_path: Path) -> None:
    written = tmp_path / "board.toml"
    written.write_text(
        'name = "b"\nlength_mm = 50.0\nwidth_mm = 40.0\nthickness_mm = 1.6\nfinish = "hasl_lead"\n'
    )
    done = CliRunner().invoke(command, ["--paste", "sn42bi58", "--board", str(written)])
    assert done.exit_code == 2
    assert done.stdout.startswith("NOT DONE: the board's finish brings lead")
