"""Somebody must stand at real heat: the button says so."""

import pytest

from heatcore.inputs import NONE
from heatwright import sentences
from heatwright.errors import BadInput
from heatwright.page.presence import PRESS, WITHIN_S, attend


class Controller:
    """Says one sample a quarter of a second, with these counts of its button."""

    def __init__(self, presses):
        self.presses = list(presses)
        self.now_s = 0.0
        self.closed = False

    def clock(self):
        return self.now_s

    def heard(self):
        self.now_s += 0.25
        press = self.presses.pop(0) if len(self.presses) > 1 else self.presses[0]
        sample = ["s"] + [0] * PRESS
        sample[PRESS] = press
        return sample

    def close(self):
        self.closed = True


def asked(controller, far=False, stopped_after_s=float("inf")):
    told = []
    attend(
        controller, far, told.append, lambda: controller.now_s > stopped_after_s, controller.clock
    )
    return told


@pytest.mark.parametrize("far", [False, True])
def test_a_press_begins_the_run_wherever_the_page_is(far):
    controller = Controller([4, 4, 4, 5])
    assert asked(controller, far) == [sentences.PAGE_PRESS_BUTTON]
    assert not controller.closed


def test_without_a_press_nothing_is_armed():
    controller = Controller([4])
    with pytest.raises(BadInput, match="not pressed"):
        asked(controller)
    assert controller.closed
    assert WITHIN_S <= controller.now_s <= WITHIN_S + 1


def test_stop_while_a_press_is_waited_for_arms_nothing():
    controller = Controller([4])
    with pytest.raises(BadInput, match="stopped before heat"):
        asked(controller, stopped_after_s=10.0)
    assert controller.closed
    assert controller.now_s < 11.0


def test_where_no_button_is_wired_only_this_computer_begins():
    assert asked(Controller([NONE])) == []
    far = Controller([NONE])
    with pytest.raises(BadInput, match="--lan"):
        asked(far, far=True)
    assert far.closed
