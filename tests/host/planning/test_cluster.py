"""The ensemble on a Dask cluster: the same results as here, and a killed worker loses nothing."""

import os
import signal
import sys
from dataclasses import dataclass

import pytest

from core.plans import document
from heatcore import plan as core
from heatwright.documents import load_paste, load_profile, load_source
from heatwright.errors import BadInput
from heatwright.planning.ensemble import verify
from heatwright.planning.trial import Trial
from heatwright.planning.wanted import Wanted

WANTED = Wanted(load_paste("sac305"), load_profile("sac305"), True, "board_sensor")
PLAN = core.write(document(waits=[], stretch_ms=0))
NOT_THERE = "needs the package distributed: pip install 'heatwright[cluster]'"


@pytest.fixture(scope="module")
def cluster():
    distributed = pytest.importorskip("distributed", reason=NOT_THERE)
    cloudpickle = pytest.importorskip("cloudpickle", reason=NOT_THERE)
    # workers can't import a test's own module
    cloudpickle.register_pickle_by_value(sys.modules[__name__])
    local = {"n_workers": 2, "threads_per_worker": 1, "dashboard_address": None}
    with distributed.LocalCluster(**local) as found:
        yield found.scheduler_address


@dataclass(frozen=True)
class Killed(Trial):
    """A trial whose worker is killed at one seed, once."""

    marker: str = ""

    def __call__(self, seed):
        if seed == 5 and not os.path.exists(self.marker):
            with open(self.marker, "w") as file:
                file.write(str(os.getpid()))
            os.kill(os.getpid(), signal.SIGKILL)
        return super().__call__(seed)


def test_a_killed_worker_loses_nothing_and_results_are_those_of_here(cluster, tmp_path):
    source, marker = load_source("drawer"), tmp_path / "killed"
    seen = []
    there = verify(
        Killed(PLAN, source, WANTED, str(marker)), 12, cluster=cluster,
        progress=lambda done, of: seen.append((done, of)),
    )  # fmt: skip
    assert int(marker.read_text()) != os.getpid(), "a worker died, not this process"
    assert there.results == verify(Trial(PLAN, source, WANTED), 12, workers=1).results
    assert seen[-1] == (12, 12)


def test_no_scheduler_there_is_said_so():
    pytest.importorskip("distributed", reason=NOT_THERE)
    with pytest.raises(BadInput, match="no Dask scheduler answers there"):
        verify(Trial(PLAN, load_source("drawer"), WANTED), 1, cluster="nowhere:9")
