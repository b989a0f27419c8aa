"""The range-checking integer itself: it must notice what it is there for."""

from array import array

import pytest

from firmware.core.checked import HIGH, LOW, OPERATIONS, Checked, CheckedArray


def test_both_ends():
    assert Checked(HIGH) == HIGH
    assert Checked(LOW) == LOW
    for value in (HIGH + 1, LOW - 1):
        with pytest.raises(AssertionError, match="leaves 31 bits"):
            Checked(value)


@pytest.mark.parametrize("leave", [
    lambda x: x + 1, lambda x: 1 + x, lambda x: x * 2, lambda x: 2 * x, lambda x: x - -1,
    lambda x: x << 1, lambda x: -(-x - 1) + 1, lambda x: 1 << (x >> 24),
])  # fmt: skip
def test_every_way_out_is_noticed(leave):
    with pytest.raises(AssertionError, match="leaves 31 bits"):
        leave(Checked(HIGH))


@pytest.mark.parametrize("name", [f"__{side}{name}__" for name in OPERATIONS for side in ("", "r")])
def test_results_are_followed(name):
    assert type(getattr(Checked(9), name)(2)) is Checked


def test_cells_are_followed():
    cells = CheckedArray(array("i", [HIGH]))
    with pytest.raises(AssertionError, match="leaves 31 bits"):
        cells[0] + 1
