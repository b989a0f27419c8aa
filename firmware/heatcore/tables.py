"""What a plan leaves in memory: its numbers, and no code of what read them.

The reader in plan.py is loaded to read, and let go before the run.
"""

from array import array


class Plan:
    """Rows lie flat in their arrays: row i of `gains` starts at i * GAINS_WIDTH."""

    name: str
    id: str
    law: int
    t_ms: "array[int]"
    y_mc: "array[int]"
    u: "array[int]"
    b_mc: "array[int]"
    gains: "array[int]"
    stages: "array[int]"
    waits: "array[int]"
    stretch_ms: int
    limits: "array[int]"
    deviation: "array[int]"
    start: "array[int]"
    door_cue_ms: int
    host_lost: int
    tables: "tuple[array[int], ...]"
