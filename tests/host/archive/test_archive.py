"""The archive: what is listed, found, moved; the index is only a copy of what the folders say."""

from __future__ import annotations

import json
import os
import sqlite3
import threading
from dataclasses import asdict
from pathlib import Path

import pytest

from heatcore.command import Command
from heatcore.inputs import Inputs
from heatwright.errors import BadInput
from heatwright.records import archive as archives
from heatwright.records.archive import INDEX, TRASH, Archive, Wanted
from heatwright.records.writer import RecordWriter
from host.archive.runs_made import run

NEWEST_FIRST = ["20260305-090000-c", "20260304-123015-b", "20260301-080000-a"]


@pytest.fixture
def kept(tmp_path: Path) -> Archive:
    run(tmp_path, NEWEST_FIRST[2], board="Bat-call logger", paste="SAC305", source="Toaster")
    run(tmp_path, NEWEST_FIRST[1], verdict="fail", board="Lamp", paste="Sn42Bi58", source="Drawer")
    run(tmp_path, NEWEST_FIRST[0], verdict=None, board="Lamp", paste="SAC305")
    return Archive(tmp_path)


def ids(archive: Archive, **wanted: str) -> list[str]:
    return [one.id for one in archive.runs(Wanted(**wanted))]


def test_the_newest_run_comes_first_with_its_facts(kept: Archive) -> None:
    assert ids(kept) == NEWEST_FIRST
    oldest = kept.runs()[-1]
    assert (oldest.board, oldest.paste, oldest.source) == ("Bat-call logger", "SAC305", "Toaster")
    assert (oldest.verdict, oldest.peak_board_c, oldest.seconds) == ("pass", 241.6, 0.5)
    assert (oldest.on, oldest.name, oldest.started) == (
        "sim:toaster",
        "bake",
        "2026-03-01T12:00:00+01:00",
    )


@pytest.mark.parametrize(
    ("wanted", "found"),
    [
        ({"board": "lamp"}, NEWEST_FIRST[:2]),
        ({"paste": "305"}, [NEWEST_FIRST[0], NEWEST_FIRST[2]]),
        ({"source": "TOASTER"}, NEWEST_FIRST[2:]),
        ({"verdict": "fail"}, NEWEST_FIRST[1:2]),
        ({"verdict": "none"}, NEWEST_FIRST[:1]),
        ({"since": "2026-03-04"}, NEWEST_FIRST[:2]),
        ({"until": "2026-03-04"}, NEWEST_FIRST[1:]),
        ({"since": "2026-03-02", "until": "2026-03-04", "board": "lamp"}, NEWEST_FIRST[1:2]),
        ({"board": "%"}, []),
        ({"board": "'; DROP TABLE runs; --"}, []),
    ],
)
def test_filters(kept: Archive, wanted: dict[str, str], found: list[str]) -> None:
    assert ids(kept, **wanted) == found


def test_the_index_made_anew_says_the_same(kept: Archive) -> None:
    before = kept.runs()
    (kept.root / INDEX).unlink()
    assert kept.runs() == before
    assert kept.reindex() == 3
    assert kept.runs() == before


def test_a_damaged_index_is_made_anew(kept: Archive) -> None:
    kept.runs()
    (kept.root / INDEX).write_bytes(b"this is no database, and long enough to be looked at" * 40)
    assert ids(kept) == NEWEST_FIRST
    assert ids(kept) == NEWEST_FIRST
    assert (kept.root / INDEX).read_bytes().startswith(b"SQLite format 3")


@pytest.mark.parametrize("page", [1, 2])
def test_an_index_damaged_inside_is_made_anew(kept: Archive, page: int) -> None:
    kept.runs()
    with (kept.root / INDEX).open("r+b") as file:
        file.seek(4096 * page)
        file.write(b"\xa5" * 4096)
    run(kept.root, "20260307-000000-d")
    for _ in range(2):
        assert ids(kept) == ["20260307-000000-d", *NEWEST_FIRST]


def test_an_index_of_another_version_is_made_anew(kept: Archive) -> None:
    with sqlite3.connect(kept.root / INDEX) as other:
        other.execute("CREATE TABLE runs (id, something_else)")
        other.execute("INSERT INTO runs VALUES ('ghost', 1)")
    assert ids(kept) == NEWEST_FIRST


def test_a_locked_index_does_not_stop_a_listing(kept: Archive, monkeypatch) -> None:
    monkeypatch.setattr(archives, "LOCK_WAIT_S", 0.05)
    kept.runs()
    for lock in ("EXCLUSIVE", "IMMEDIATE"):
        other = sqlite3.connect(kept.root / INDEX)
        other.execute(f"BEGIN {lock}")
        new = run(kept.root, f"20260308-00000{len(lock)}-{lock.lower()}")
        assert ids(kept)[0] == new.name
        other.close()


def test_a_place_where_no_index_can_be_kept_is_listed_all_the_same(kept: Archive) -> None:
    # a folder of the index's name: nothing can be written there, as on a read-only disk
    (kept.root / INDEX).mkdir()
    assert ids(kept) == NEWEST_FIRST


def test_what_changes_in_a_folder_is_seen_at_the_next_listing(kept: Archive) -> None:
    kept.runs()
    (kept.root / NEWEST_FIRST[0] / "verdict.json").write_text('{"verdict": "warn"}')
    assert kept.runs()[0].verdict == "warn"
    (kept.root / NEWEST_FIRST[1] / "record.txt").unlink()
    assert ids(kept) == [NEWEST_FIRST[0], NEWEST_FIRST[2]]


def test_a_run_is_listed_while_it_is_written(kept: Archive) -> None:
    place = kept.root / "20260306-100000-now"
    place.mkdir()
    with RecordWriter(place / "record.txt", {"name": "now", "started": "2026-03-06"}) as writer:
        assert kept.runs()[0].seconds is None
        for tick in range(1, 41):
            writer.sample(tick, 250 * tick, Inputs(), Command())
            now = kept.runs()[0]
            assert (now.id, now.verdict, now.seconds) == (place.name, None, 0.25 * tick)


def test_listings_at_once_agree_while_a_run_is_written(kept: Archive) -> None:
    place = kept.root / "20260306-100000-now"
    place.mkdir()
    seen: list[list[str]] = []

    def look() -> None:
        seen.extend(ids(Archive(kept.root)) for _ in range(10))

    with RecordWriter(place / "record.txt", {"name": "now", "started": "2026-03-06"}) as writer:
        readers = [threading.Thread(target=look) for _ in range(4)]
        for reader in readers:
            reader.start()
        for tick in range(100):
            writer.sample(tick, 250 * tick, Inputs(), Command())
        for reader in readers:
            reader.join()
    assert seen == [[place.name, *NEWEST_FIRST]] * 40


@pytest.mark.parametrize("keep", [0, 1, 30, 250, 400])
def test_a_record_cut_anywhere_is_still_listed(kept: Archive, keep: int) -> None:
    record = kept.root / NEWEST_FIRST[0] / "record.txt"
    record.write_bytes(record.read_bytes()[:keep])
    # the day stands in the id too, where the header has gone
    assert ids(kept) == NEWEST_FIRST
    assert kept.runs()[0].started[:10] == "2026-03-05"


@pytest.mark.parametrize("name", ["verdict.json", "paste.toml", "board.toml", "record.txt"])
@pytest.mark.parametrize("text", [b"\xff\xfe\x00", b"[" * 100_000, b"null", b'{"verdict": [1]}'])
def test_damaged_files_cost_their_facts_and_no_more(kept: Archive, name: str, text: bytes) -> None:
    place = kept.root / NEWEST_FIRST[2]
    kept.runs()
    (place / f".{name}").write_bytes(text)
    os.replace(place / f".{name}", place / name)
    assert ids(kept) == NEWEST_FIRST


NASTY = [
    '{"verdict": "pass", "peak_board_c": NaN}',
    '{"verdict": "\\ud800", "peak_board_c": 1' + "0" * 400 + "}",
    '{"verdict": "\\u001b[2J", "sentence": "' + "x" * 5000 + '"}',
    '{"verdict": true, "peak_board_c": true, "paste": {}}',
]


@pytest.mark.parametrize("text", NASTY)
def test_whatever_a_verdict_says_the_list_can_be_shown(kept: Archive, text: str) -> None:
    (kept.root / NEWEST_FIRST[0] / "verdict.json").write_text(text)
    newest = kept.runs()[0]
    assert newest.id == NEWEST_FIRST[0]
    assert json.dumps(asdict(newest), allow_nan=False)
    assert all(part.isprintable() for part in (newest.verdict or "", newest.sentence or ""))


def test_find_takes_a_path_an_id_or_its_beginning(kept: Archive) -> None:
    place = kept.root / NEWEST_FIRST[1]
    for word in (str(place), f"{place}/record.txt", NEWEST_FIRST[1], "20260304"):
        assert kept.find(word) == place
    for word, said in (("2026030", "several"), ("bake", "no run is called"), ("", "no run")):
        with pytest.raises(BadInput, match=said) as refused:
            kept.find(word)
        assert "20260305-090000-c" in str(refused.value)


def test_an_id_that_another_begins_with_is_found(kept: Archive) -> None:
    run(kept.root, NEWEST_FIRST[0] + "-2")
    assert kept.find(NEWEST_FIRST[0]).name == NEWEST_FIRST[0]


def test_no_archive_is_said_in_words(tmp_path: Path) -> None:
    with pytest.raises(BadInput, match="no archive of runs here") as refused:
        Archive(tmp_path / "nowhere").runs()
    assert "--archive" in str(refused.value)


def test_trash_keeps_everything_and_gives_it_back(kept: Archive) -> None:
    place = kept.root / NEWEST_FIRST[1]
    before = {path.name: path.read_bytes() for path in place.iterdir()}
    assert kept.trash([NEWEST_FIRST[1]]) == [kept.root / TRASH / NEWEST_FIRST[1]]
    assert ids(kept) == [NEWEST_FIRST[0], NEWEST_FIRST[2]]
    assert kept.trashed() == [NEWEST_FIRST[1]]
    assert kept.restore(["20260304"]) == [place]
    assert {path.name: path.read_bytes() for path in place.iterdir()} == before
    assert ids(kept) == NEWEST_FIRST
    assert kept.trashed() == []


def test_trash_never_writes_over(kept: Archive) -> None:
    kept.trash([NEWEST_FIRST[1]])
    run(kept.root, NEWEST_FIRST[1])
    for move in (kept.trash, kept.restore):
        with pytest.raises(BadInput, match="there already"):
            move([NEWEST_FIRST[1]])
    assert kept.trashed() == [NEWEST_FIRST[1]]


def test_a_run_being_recorded_or_elsewhere_is_not_moved(kept: Archive, tmp_path: Path) -> None:
    with pytest.raises(BadInput, match="still being recorded"):
        kept.trash([NEWEST_FIRST[0]])
    elsewhere = run(tmp_path / "other", "20260101-000000-x")
    with pytest.raises(BadInput, match="outside the archive"):
        kept.trash([str(elsewhere)])
    assert elsewhere.is_dir()


def test_a_run_cut_short_long_ago_may_go(kept: Archive) -> None:
    os.utime(kept.root / NEWEST_FIRST[0] / "record.txt", (1e9, 1e9))
    kept.trash([NEWEST_FIRST[0]])
    assert kept.trashed() == [NEWEST_FIRST[0]]
