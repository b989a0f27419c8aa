"""Every hazard in every kind of run."""

from firmware.safety import driven
from firmware.safety.hazards import OF_A_KNOWN_SOURCE, OF_ANY_RUN


class TestTrack(*OF_ANY_RUN, *OF_A_KNOWN_SOURCE):
    profile = staticmethod(driven.track)


class TestSetpoint(*OF_ANY_RUN):
    profile = staticmethod(driven.setpoint)


class TestDuty(*OF_ANY_RUN):
    profile = staticmethod(driven.duty)
