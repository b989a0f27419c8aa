"""The run's process: begun, left alone, stopped, hung up on."""

import asyncio
import time

import pytest

from heatwright.page.desk import CHOOSE, FAILED, OVER, READY, RUNNING, Desk
from heatwright.running.job import Asked

WITHIN_S = 90.0


async def until(desk, *phases):
    end_s = time.monotonic() + WITHIN_S
    while desk.phase not in phases:
        assert time.monotonic() < end_s, desk.state
        await asyncio.sleep(0.02)


async def gone(process):
    end_s = time.monotonic() + WITHIN_S
    while process.is_alive():
        assert time.monotonic() < end_s
        await asyncio.sleep(0.02)


async def ready(folder, speed=60.0):
    desk = Desk(folder / "runs", speed)
    desk.plan(Asked(on="sim:toaster", sensor="board_sensor"))
    await until(desk, READY)
    return desk


@pytest.mark.filterwarnings("error::pytest.PytestUnhandledThreadExceptionWarning")
def test_a_plan_that_is_given_up_leaves_no_process_behind(tmp_path):
    async def story():
        desk = await ready(tmp_path)
        process = desk._process
        desk.stop()
        assert desk.phase == CHOOSE
        await gone(process)

    asyncio.run(story())


def test_the_second_step_needs_the_first(tmp_path):
    async def story():
        desk = await ready(tmp_path)
        assert not desk.start()
        desk.arm()
        assert desk.start()
        # begun is begun: it can be stopped, not left
        desk.leave()
        await until(desk, RUNNING)
        desk.leave()
        assert desk.phase == RUNNING
        desk.stop()
        await until(desk, OVER, FAILED)
        process = desk._process
        desk.leave()
        await gone(process)

    asyncio.run(story())


def test_the_servers_end_stops_the_run_and_hangs_up(tmp_path):
    async def story():
        desk = await ready(tmp_path)
        desk.arm()
        desk.start()
        await until(desk, RUNNING)
        while desk.state["now"] is None:
            await asyncio.sleep(0.02)
        process = desk._process
        desk.close()
        await gone(process)

    asyncio.run(story())
    (run,) = (tmp_path / "runs").iterdir()
    # whole, judged, and stopped by the order that came before the end
    assert (run / "verdict.json").is_file()
    assert ",105," in (run / "record.txt").read_text()


def test_nothing_is_cleared_where_no_run_was(tmp_path):
    desk = Desk(tmp_path)
    desk.clear()
    desk.stop()
    assert desk.phase == CHOOSE
