"""What every test may ask for: `whole` counts, for the campaigns."""

import gc
from collections.abc import Iterator

import pytest

# `make test` runs a hundredth of each large count, `make campaign` all of it.
SHARE = 100


def pytest_addoption(parser: pytest.Parser) -> None:
    parser.addoption("--whole", action="store_true", help="run the large counts whole")


@pytest.fixture
def whole(request: pytest.FixtureRequest) -> bool:
    """Whether the large counts are to be run whole."""
    return bool(request.config.getoption("--whole"))


@pytest.fixture
def counted(whole: bool):
    """The count to run of a large one: all of it with --whole, else a hundredth, at least one."""

    def count(all_of_it: int) -> int:
        return all_of_it if whole else max(1, all_of_it // SHARE)

    return count


@pytest.fixture(autouse=True, scope="module")
def _set_aside() -> Iterator[None]:
    """What earlier files have left is not gone through again at each collection of memory.

    The controller's main loop collects once a second of its time: with a whole suite's modules
    loaded that would take most of these tests' time.
    """
    gc.freeze()
    yield
    gc.unfreeze()
