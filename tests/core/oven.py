"""A very small oven in integers, so that every interpreter heats it alike; and its sensor."""

from heatcore.inputs import Inputs

ROOM_MC = 25_000
GAIN_MK = 500_000  # above the room, at full duty
LAG_TICKS = 480  # 120 s
DELAY_TICKS = 20  # 5 s
STEP_MC = 250  # what the converter can tell


class Oven:
    def __init__(self):
        self.rise_mk = 0
        self._rest = 0
        self._duties = [0] * DELAY_TICKS
        self.inputs = Inputs()
        self.inputs.sensor_status = 0
        self.inputs.sensor_age_ms = 0
        self.inputs.cold_junction_mc = ROOM_MC
        self.inputs.host_age_ms = 0
        self.show()

    def heat(self, duty):
        """One tick on."""
        self._duties.append(duty)
        target_mk = self._duties.pop(0) * (GAIN_MK // 10_000)
        self._rest += target_mk - self.rise_mk
        self.rise_mk += self._rest // LAG_TICKS
        self._rest %= LAG_TICKS
        self.show()

    def show(self):
        self.inputs.sensor_mc = (ROOM_MC + self.rise_mk) // STEP_MC * STEP_MC
        self.inputs.sensor_seq += 1


def drive(loop, oven, until_ms, each=None, from_ms=0):
    """Ticks loop and oven until a time or the loop's end; each(now_ms, command) sees every tick."""
    for now_ms in range(from_ms, until_ms, 250):
        command = loop.tick(now_ms, oven.inputs)
        if each:
            each(now_ms, command)
        if loop.ended:
            return now_ms
        oven.heat(command.duty)
    return until_ms
