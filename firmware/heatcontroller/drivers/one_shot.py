# Converters with registers are asked for one conversion at a time. They clear the request bit when
# it is done: proof that the value is new, which no change of the value could give.

from heatcore.inputs import DEAD_BUS, FROZEN

from .sensor import Sensor


class OneShotSensor(Sensor):
    def _convert(self, now_ms: int) -> None:
        self._read_registers()
        if not self._is_set_up():
            # Just powered, or its supply dipped, or nobody is there.
            self._silent(DEAD_BUS)
            self._set_up()
        elif self._is_pending():
            self._silent(FROZEN)
        else:
            self._take(now_ms)
        self._request()

    def _read_registers(self) -> None:
        raise NotImplementedError

    def _is_set_up(self) -> bool:
        raise NotImplementedError

    def _set_up(self) -> None:
        raise NotImplementedError

    def _is_pending(self) -> bool:
        raise NotImplementedError

    def _take(self, now_ms: int) -> None:
        raise NotImplementedError

    def _request(self) -> None:
        raise NotImplementedError
