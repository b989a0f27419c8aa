"""Campaigns: order, resuming after a cut, errors."""

from concurrent.futures import Executor, Future, ThreadPoolExecutor
from threading import Event

import pytest

from heatsim import campaign


def square(seed: int) -> dict[str, int]:
    return {"square": seed * seed}


class Backwards(Executor):
    """Finishes its work in the opposite order: the last batch first."""

    def __init__(self) -> None:
        self.held: list[tuple[Future, object, tuple]] = []

    def submit(self, function, /, *arguments):
        future: Future = Future()
        self.held.insert(0, (future, function, arguments))
        if len(self.held) == 4:
            for waiting, work, given in self.held:
                waiting.set_result(work(*given))
        return future


def test_results_come_in_the_order_of_the_seeds_however_the_batches_finish() -> None:
    seeds = [9, 3, 7, 1]
    expected = [(seed, {"square": seed * seed}) for seed in seeds]
    assert list(campaign.run(square, seeds, Backwards(), batch_size=1).items()) == expected
    assert list(campaign.run(square, seeds, batch_size=3).items()) == expected
    with ThreadPoolExecutor(2) as threads:
        assert list(campaign.run(square, seeds, threads, batch_size=2).items()) == expected


def test_a_seed_given_twice_runs_once() -> None:
    ran: list[int] = []
    campaign.run(ran.append, [5, 5, 6])
    assert ran == [5, 6]


def test_a_cut_campaign_goes_on_where_it_stopped(tmp_path) -> None:
    kept = tmp_path / "results.jsonl"
    campaign.run(square, [1, 2, 3], kept_in=kept)
    # a kill in the middle of a line: seed 3 is only half written
    kept.write_bytes(kept.read_bytes()[:-5])
    ran: list[int] = []

    def noted(seed: int) -> dict[str, int]:
        ran.append(seed)
        return square(seed)

    again = campaign.run(noted, [1, 2, 3, 4], kept_in=kept)
    assert ran == [3, 4]
    assert again == {seed: square(seed) for seed in (1, 2, 3, 4)}
    assert campaign.run(noted, [4, 3, 2, 1], kept_in=kept) == again
    assert ran == [3, 4], "the half line must not spoil the line written after it"


def test_progress_counts_what_was_kept_too(tmp_path) -> None:
    kept = tmp_path / "results.jsonl"
    campaign.run(square, [1, 2], kept_in=kept)
    seen: list[tuple[int, int]] = []
    campaign.run(
        square, range(1, 7), batch_size=2, kept_in=kept, progress=lambda *at: seen.append(at)
    )
    assert seen == [(4, 6), (6, 6)]


def test_an_error_is_raised_and_finished_batches_stay_kept(tmp_path) -> None:
    kept = tmp_path / "results.jsonl"

    def fails_on_three(seed: int) -> int:
        if seed == 3:
            raise ZeroDivisionError("seed 3")
        return seed

    with pytest.raises(ZeroDivisionError, match="seed 3"):
        campaign.run(fails_on_three, [1, 2, 3, 4], batch_size=1, kept_in=kept)
    assert campaign.run(square, [1, 2], kept_in=kept) == {1: 1, 2: 2}


def test_an_error_cancels_the_batches_that_have_not_begun() -> None:
    go, ran = Event(), []

    def first_fails(seed: int) -> None:
        ran.append(seed)
        if seed == 0:
            raise ZeroDivisionError
        go.wait(0.05)

    with ThreadPoolExecutor(1) as one, pytest.raises(ZeroDivisionError):
        campaign.run(first_fails, range(200), one, batch_size=1)
    assert len(ran) < 200
