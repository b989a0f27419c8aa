"""The hardware-in-loop cases, on the virtual controller: the same that `heatwright hil` tries."""

from collections.abc import Iterator

import pytest

from heatwright.commissioning.hil_cases import CASES
from heatwright.commissioning.hil_rig import HilRig, enter, leave
from heatwright.commissioning.restart import await_controller
from heatwright.running.target import Refused
from virtual_made import ServedBoard, put_firmware


@pytest.fixture(scope="module")
def board(tmp_path_factory: pytest.TempPathFactory) -> Iterator[ServedBoard]:
    root = put_firmware(tmp_path_factory.mktemp("chip"))
    with ServedBoard(root, speed=6.0) as served:
        yield served


@pytest.fixture(scope="module")
def rig(board: ServedBoard) -> Iterator[HilRig]:
    rig = enter(await_controller(board.port))
    yield rig
    assert leave(rig) == "idle"


@pytest.fixture(autouse=True)
def _as_it_was(board: ServedBoard, rig: HilRig) -> Iterator[None]:
    # a bench that was left broken stays broken: the next case must not start from it
    assert rig.state() == "idle"
    yield
    assert rig.state() == "idle"
    last = board.board.server.last
    pins = board.workshop.pins
    assert last is not None
    assert not last.drives & (1 << pins["SSR_PIN"] | 1 << pins["RELAY_PIN"])
    assert board.workshop.heat_s == 0


@pytest.mark.parametrize("name", CASES)
def test_case(rig: HilRig, name: str) -> None:
    CASES[name](rig)


def test_a_normal_boot_knows_no_injected_reading(tmp_path_factory: pytest.TempPathFactory) -> None:
    root = put_firmware(tmp_path_factory.mktemp("normal"))
    with ServedBoard(root, speed=6.0) as board:
        client = await_controller(board.port)
        with pytest.raises(Refused, match="no_verb"):
            client.ask("sense", 200_000, 0)
        client.close()
