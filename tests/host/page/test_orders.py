"""What the page sends to a run: two marks, however often and wherever they are pressed."""

from heatcore import codes
from heatwright.page.board_now import Watcher
from heatwright.page.now import Now
from heatwright.page.work import PageOrders
from heatwright.records import lines
from heatwright.running.time_left import TimeLeft


class Sent:
    """Follows `work.Wire`: these orders wait."""

    def __init__(self):
        self.verbs = []

    def orders(self):
        taken, self.verbs = self.verbs, []
        return [(verb, None) for verb in taken]


class Quiet:
    def waiting(self):
        return ()


def bench():
    now = Now(Watcher("", None, 25.0), lambda news: None, TimeLeft(480_000), 217.0)
    return PageOrders(Sent(), Quiet(), None, now), now


def passed(orders, *verbs):
    orders.wire.verbs = list(verbs)
    return list(orders.waiting())


def seen(now, code):
    now(lines.event(1, 1000, code, 0, 0))


def test_first_then_last():
    orders, now = bench()
    assert passed(orders, "last") == []
    assert passed(orders, "first") == ["mark"]
    seen(now, codes.EVENT_MARK)
    assert passed(orders, "first") == []
    assert passed(orders, "last") == ["mark"]
    seen(now, codes.EVENT_MARK)
    assert passed(orders, "mark", "first", "last") == []


def test_two_pages_pressing_at_once_are_one_mark():
    orders, now = bench()
    assert passed(orders, "first", "mark", "first") == ["mark"]
    seen(now, codes.EVENT_MARK)
    assert passed(orders, "first") == []


def test_a_mark_taken_back_may_be_made_again():
    orders, now = bench()
    assert passed(orders, "mark") == ["mark"]
    seen(now, codes.EVENT_MARK)
    assert passed(orders, "unmark") == ["unmark"]
    seen(now, codes.EVENT_UNMARK)
    orders._marking = (-1, 0.0)
    assert passed(orders, "first") == ["mark"]


def test_every_other_verb_goes_on_at_once():
    orders, _ = bench()
    assert passed(orders, "stop", "start", "not_melted") == ["stop", "start", "not_melted"]
