"""The plant of a virtual board for whoever only wants something that gets warm."""

from __future__ import annotations


class KettlePlant:
    """A metal block on a small heater, with a bead on it: 1.4 K/s at full power."""

    def __init__(self) -> None:
        self.reset(25.0)

    def reset(self, ambient_c: float) -> None:
        self._ambient_c = self._block_c = self._bead_c = ambient_c

    def step(
        self, dt_s: float, duty: float, door: float = 0.0, fan: float = 0.0, mains: float = 1.0
    ) -> dict[str, float]:
        loss_k_s = (self._block_c - self._ambient_c) * (0.003 + 0.006 * door)
        self._block_c += dt_s * (duty * mains * mains * 1.4 - loss_k_s)
        self._bead_c += (self._block_c - self._bead_c) * min(1.0, dt_s / 4.0)
        return {"board": self._block_c, "sensor": self._bead_c}
