"""The shipped library: all of it loads, under any spelling; numbers say how far to trust them."""

from itertools import pairwise

import pytest

from heatwright.documents import (
    Window,
    load_board,
    load_part,
    load_parts,
    load_paste,
    load_profile,
    load_source,
    locate,
    shipped,
)
from heatwright.documents.alloys import ALLOYS, known, shares
from heatwright.errors import BadInput

PASTES = ("sac305", "sac0307", "sn63pb37", "sn62pb36ag2", "sn42bi58", "sn42bi576ag04")
SOURCES = ("toaster", "convection", "drawer", "hot-plate", "sand", "hot-air")
LOADERS = {
    "paste": load_paste,
    "profile": load_profile,
    "source": load_source,
    "board": load_board,
    "part": load_part,
}


def test_the_library_is_complete():
    assert set(shipped("paste")) == set(PASTES)
    assert set(PASTES) < set(shipped("profile"))
    assert set(shipped("source")) == set(SOURCES)
    assert set(shipped("board")) == {"bat-logger"}
    assert len(shipped("part")) == 4


@pytest.mark.parametrize("kind", LOADERS)
def test_every_shipped_document_loads(kind):
    for name, path in shipped(kind).items():
        by_name, by_path = LOADERS[kind](name), LOADERS[kind](path)
        assert by_name == by_path


@pytest.mark.parametrize(
    ("spelling", "name"),
    [
        ("sac305", "sac305"),
        ("SAC305", "sac305"),
        ("SAC 305", "sac305"),
        ("Sn96.5Ag3Cu0.5", "sac305"),
        ("SN96.5AG3CU0.5", "sac305"),
        ("Sac0307", "sac0307"),
        ("Sn99Ag0.3Cu0.7", "sac0307"),
        ("Sn63Pb37", "sn63pb37"),
        ("sn63/pb37", "sn63pb37"),
        ("Sn62Pb36Ag2", "sn62pb36ag2"),
        ("SN42BI58", "sn42bi58"),
        ("Sn42Bi57.6Ag0.4", "sn42bi576ag04"),
        ("sn42bi576ag04", "sn42bi576ag04"),
    ],
)
def test_a_paste_and_its_profile_are_found_by_any_spelling(spelling, name):
    assert locate("paste", spelling) == shipped("paste")[name]
    assert locate("profile", spelling) == shipped("profile")[name]


def test_an_unknown_name_lists_what_there_is():
    with pytest.raises(BadInput) as caught:
        load_paste("sac350")
    assert str(caught.value) == (
        "no paste of this name is shipped\n"
        "  found: sac350\n"
        "  expected: sac0307, sac305, sn42bi576ag04, sn42bi58, sn62pb36ag2, sn63pb37\n"
        "  cure: Did you mean sac305? A file of your own needs its path, as ./my-paste.toml."
    )


def test_a_path_is_a_file_even_where_it_does_not_exist(tmp_path):
    with pytest.raises(BadInput, match="there is no such file"):
        load_paste(str(tmp_path / "sac305-of-mine"))
    with pytest.raises(BadInput, match=r"mine.toml: there is no such file"):
        load_paste("mine.toml")


@pytest.mark.parametrize("kind", ["paste", "profile"])
def test_every_shipped_number_says_where_it_comes_from(kind):
    for name in shipped(kind):
        document = LOADERS[kind](name)
        assert set(numbers_of(document, kind)) <= set(document.origin), name


def numbers_of(document, kind):
    if kind == "profile":
        return ["stages"]
    return ["solidus_c", "liquidus_c", *document.window.model_dump(exclude_none=True)]


def test_every_number_of_the_workshop_is_marked_invented():
    board = load_board("bat-logger")
    for document in (board, *load_parts(board)):
        assert document.origin
        assert {origin.status for origin in document.origin.values()} == {"invented"}
    for part in load_parts(board):
        sheet = part.sheet.model_dump(exclude_none=True)
        assert {"thickness_mm", *sheet} <= set(part.origin)


# Public tables under the designations of ISO 9453 and J-STD-006; the standards' own were not seen.
MELTING = {
    "Sn63Pb37": (183, 183),
    "Sn62Pb36Ag2": (179, 179),
    "SAC305": (217, 220),
    "SAC0307": (217, 227),
    "Sn42Bi58": (138.5, 138.5),
    "Sn42Bi57.6Ag0.4": (137.5, 142),
    "Sn96.5Ag3.5": (221, 221),
    "Sn99.3Cu0.7": (227, 227),
}


@pytest.mark.parametrize("name", MELTING)
def test_alloys_melt_where_public_tables_say(name):
    alloy = known(name)
    # 137-138 and "within 1 °C" are what the tables give
    assert (alloy.solidus_c, alloy.liquidus_c) == pytest.approx(MELTING[name], abs=1.0)


@pytest.mark.parametrize("alloy", ALLOYS, ids=lambda alloy: alloy.name)
def test_the_shares_of_an_alloy_add_up(alloy):
    assert sum(shares(alloy.name).values()) == pytest.approx(100.0)


@pytest.mark.parametrize(
    ("name", "right"),
    [("SnAg3.5", {"Ag": 3.5, "Sn": 96.5}), ("Sn50", {}), ("Sn10Pb10", {}), ("flux", {})],
)
def test_shares_are_read_from_a_designation(name, right):
    assert shares(name) == right


# Common practice of the trade; the paste's own data sheet wins.
WINDOWS = {
    "sac305": ((150, 200), (235, 250)),
    "sac0307": ((150, 200), (240, 255)),
    "sn63pb37": ((100, 150), (205, 225)),
    "sn62pb36ag2": ((100, 150), (205, 225)),
    "sn42bi58": ((90, 130), (160, 185)),
    "sn42bi576ag04": ((90, 130), (160, 185)),
}


@pytest.mark.parametrize("name", PASTES)
def test_paste_windows_are_common_practice(name):
    window = load_paste(name).window
    assert (window.soak_c, window.peak_c) == WINDOWS[name]
    assert window.soak_s == (60, 120)
    assert window.above_liquidus_s == (30, 90)
    assert window.up_c_per_s == (0.5, 3)
    assert window.down_c_per_s == (1, 4)
    assert window.down_limit_c_per_s == 6


@pytest.mark.parametrize("name", PASTES)
def test_lead_and_bismuth_are_known(name):
    paste = load_paste(name)
    assert paste.contains_lead is ("pb" in name)
    assert paste.contains_bismuth is ("bi" in name)


@pytest.mark.parametrize("name", PASTES)
def test_a_default_profile_lies_within_its_paste_windows(name):
    profile, paste = load_profile(name), load_paste(name)
    window = paste.window
    starts = {stage: at_s for at_s, stage in profile.starts}
    assert profile.paste == name
    assert window.peak_c.holds(profile.peak_c)
    assert window.soak_s.holds(starts["ramp_up"] - starts["soak"])
    assert window.above_liquidus_s.holds(seconds_above(profile.knots, paste.above_c))
    *heating, cooling = slopes(profile.knots)
    assert all(window.up_c_per_s.holds(slope) for slope in heating)
    assert window.down_c_per_s.holds(-cooling)


def seconds_above(knots, level_c):
    """Straight lines up through a level and down again."""
    crossings = [
        a.time_s + (level_c - a.board_c) / (b.board_c - a.board_c) * (b.time_s - a.time_s)
        for a, b in pairwise(knots)
        if min(a.board_c, b.board_c) < level_c <= max(a.board_c, b.board_c)
    ]
    up, down = crossings
    return down - up


def slopes(knots):
    pairs = pairwise(knots)
    return [(b.board_c - a.board_c) / (b.time_s - a.time_s) for a, b in pairs]


def test_the_data_sheet_line_has_the_textbook_rates():
    rates = slopes(load_profile("datasheet-sac305").knots)
    assert rates[0] == pytest.approx(1.5)
    assert rates[-1] == pytest.approx(-2.0)


def test_time_above_liquidus_of_sac305_counts_from_217():
    paste = load_paste("sac305")
    assert paste.liquidus_c == 220
    assert paste.above_c == 217
    assert paste.origin_of("above_c").status == "confirmed"


def test_a_window_refuses_what_cannot_be_compared():
    assert Window(1.0, 2.0).holds(1.0)
    assert not Window(1.0, 2.0).holds(float("nan"))


def test_no_name_is_no_alloy():
    assert known("") is known("  -") is None
