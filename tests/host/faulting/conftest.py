"""One small setting, planned once for every test of the campaign in this process."""

from dataclasses import replace

import pytest

from heatwright.faulting import campaign
from heatwright.faulting.campaign import Wanted


@pytest.fixture(scope="session")
def drawer():
    """The quickest source, with its own sensor: planning it takes seconds, so once for all."""
    return campaign.setting_of(Wanted(), ("drawer", "sensor"))


@pytest.fixture(scope="session")
def soak(drawer):
    return replace(drawer, moments=tuple(one for one in drawer.moments if one.name == "soak"))
