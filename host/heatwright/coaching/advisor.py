"""The coach itself: readings in, one sentence out. It has no clock and asks nobody."""

from __future__ import annotations

import math

import numpy as np

from heatsim.params import PlantParams
from heatwright import sentences
from heatwright.coaching.advice import Advice, Steady
from heatwright.coaching.ahead import HAND_S, Ahead, Stand
from heatwright.coaching.coach import Seen
from heatwright.coaching.course import Course, course_of
from heatwright.coaching.follower import Follower, like
from heatwright.coaching.knob import OFF, Hand
from heatwright.coaching.pace import Pace
from heatwright.coaching.watch import SILENT_S, Watch
from heatwright.coaching.words import Words, words_of
from heatwright.documents import Paste, Source
from heatwright.documents.source import STRUCTURE_OF

# How far ahead a turn of the knob shows: a ring under sand, a plate, air.
AHEAD_S = {"bath": 90.0, "plate": 45.0, "jet": 22.0, "oven": 60.0}
# So often in that time it looks.
LOOKS = 20
# Another position must be this much better at the end of that, and none follows sooner than so.
ENOUGH = 0.3  # of what all positions are apart by then, where that is less
BETTER_K = {"bath": 10.0, "plate": 6.0, "jet": 4.0, "oven": 6.0}
TURN_S = {"bath": 40.0, "plate": 25.0, "jet": 15.0, "oven": 30.0}
# Whoever is told to get ready now has a hand on the board when it is time.
READY_S, COUNT_S, CALL_S = 20.0, 5.0, 0.9
SOON_S = 5.0
# A board that was lifted shows it: its bead falls by so much below the highest reading.
LIFTED_K, TURNED_K = 2.5, 0.5
# A hand that was there has lifted by then, and the reading has turned.
AGAIN_S, STUCK_S = 5.0, 20.0
# Readings that may be silent for longer than this are typed.
TYPED_S = 30.0
OFF_AFTER_S, SETTLED_S, COOLED_S = 3.0, 30.0, 180.0
LONGEST_S = 900.0
# A board whose temperature nobody knows, and that nobody sees melt, may be hotter than its window
# by so much: some boards would else be lifted before they have melted.
UNSEEN_K = 6.0
# Cool enough that no joint moves any more, and that the rate of cooling has been seen.
COOL_BELOW_SOAK_K = 10.0
# Longer than it may be silent by this much, while hot: off with the board.
BLIND_S = 8.0
# A gun pulled back loses its heat once cold air no longer cools too quickly, or where its warm air
# cools too slowly.
GUN_OFF_K, SLOW_AFTER_S = 47.0, 10.0


class Advisor:
    """Follows one run. `tell` gives new advice or None; `standing` is what holds now."""

    def __init__(
        self,
        source: Source,
        paste: Paste,
        reads: str = "board_sensor",
        models: list[PlantParams] | None = None,
        silent_s: float = SILENT_S,
    ) -> None:
        """``reads`` is the node that the bead sits at; ``models`` default to the source and others
        like it; no new reading for ``silent_s`` is trouble."""
        self.course: Course = course_of(paste)
        self.hand = Hand(source, paste)
        self._go_at_c = self.course.too_hot_c + UNSEEN_K
        self._pace = Pace(self.course)
        self._ahead = Ahead(self.hand, self.course)
        self._words: Words = words_of(source)
        params = source.plant_params()
        self._models = models or like(params)
        self._reads = reads
        # a bead off the board tells little of it, until the board is seen to melt
        self._knows_board = reads == "board_sensor"
        structure = STRUCTURE_OF[source.kind]
        self._ahead_s, self._turn_s = AHEAD_S[structure], TURN_S[structure]
        self._better_k = BETTER_K[structure]
        self._blind_s = BLIND_S + silent_s
        self._steady = Steady()
        self._watch = Watch(self._words.jumped, silent_s)
        self._follower: Follower | None = None
        # what would be known without the mark, for one that is taken back
        self._unmarked: Follower | None = None
        self._asked, self._taken, self._taken_s = OFF, OFF, 0.0
        self._now_s = self._seen_s = 0.0
        self._highest_c = -math.inf
        self._has_turned = False
        self._called_s: float | None = None
        self._recalled_s = -math.inf
        self._lifted_s: float | None = None
        self._looked_s = -math.inf
        self._melt_said = False
        self._ready_s: float | None = None
        self._count_s = round(COUNT_S)
        self.is_done = False

    @property
    def standing(self) -> Advice | None:
        return self._steady.now

    @property
    def is_lifted(self) -> bool:
        return self._lifted_s is not None

    @property
    def board_c(self) -> float | None:
        """The board's temperature as far as readings and models tell."""
        return self._follower.board_c if self._follower else None

    @property
    def stage(self) -> int:
        board_c = self.board_c
        return 0 if board_c is None else self.course.stage(board_c, self.is_lifted)

    def tell(self, seen: Seen) -> Advice | None:
        """Take in a moment, in order of time; returns advice that is to be said now."""
        trouble = self._watch.trouble(seen.now_s, seen.reading_c, seen.is_unplugged)
        reading_c = None if trouble else seen.reading_c
        follower = self._follow(seen.now_s, reading_c)
        if follower is None:
            return self._say("sensor", trouble) if trouble else None
        return self._advise(follower, trouble)

    def mark(self, now_s: float) -> None:
        """A bead on the board knows better than an eye; any other learns from it."""
        if self._follower and not self._knows_board:
            self._unmarked = self._follower.twin()
            self._follower.anchor(self.course.melts_c)
            self._pace.melts(now_s)
            self._knows_board = self._melt_said = True

    def unmark(self) -> None:
        """The board is as unknown as before; what was called since is not called back."""
        if self._unmarked:
            self._follower, self._unmarked = self._unmarked, None
            self._pace.not_melted()
            self._knows_board = self._melt_said = False
            self._ready_s, self._count_s = None, round(COUNT_S)

    def _follow(self, now_s: float, reading_c: float | None) -> Follower | None:
        if self._follower is None:
            if reading_c is None:
                return None
            self._follower = Follower(self._models, self._reads, reading_c)
            self._now_s = self._seen_s = now_s
        self._pass_time(now_s)
        if reading_c is not None:
            if now_s > self._seen_s:
                for one in self._followers:
                    one.see(reading_c, min(now_s - self._seen_s, 10.0))
            self._seen_s = now_s
            self._notice_lift(now_s, reading_c)
        return self._follower

    @property
    def _followers(self) -> list[Follower]:
        return [one for one in (self._follower, self._unmarked) if one]

    def _pass_time(self, now_s: float) -> None:
        if now_s >= self._taken_s:
            self._taken = self._asked
        for one in self._followers:
            one.go(now_s - self._now_s, self.hand.effect(self._taken, self.is_lifted))
        self._now_s = now_s

    def _notice_lift(self, now_s: float, reading_c: float) -> None:
        self._has_turned = reading_c < self._highest_c - TURNED_K
        self._highest_c = max(self._highest_c, reading_c)
        if self._called_s is None or self.is_lifted:
            return
        stays_behind = self._reads != "board_sensor" and now_s > self._called_s + CALL_S
        if stays_behind or reading_c < self._highest_c - LIFTED_K:
            self._lifted_s = now_s

    def _advise(self, follower: Follower, trouble: str | None) -> Advice | None:
        if self._lifted_s is not None:
            return self._after_lift(self._lifted_s, follower.board_c)
        self._pace.note(self._now_s, follower.board_c)
        if trouble:
            return self._without_sight(follower.board_c, trouble)
        if self._called_s is not None:
            return self._call_again(follower, self._called_s)
        if self._is_too_hot(follower):
            return self._call("too_hot", self._words.too_hot)
        if self._now_s > LONGEST_S:
            return self._call("too_hot", self._words.not_reached)
        return self._heat(follower)

    def _is_too_hot(self, follower: Follower) -> bool:
        if self._knows_board:
            return follower.board_c > self.course.too_hot_c - 1.0
        return follower.hottest_c > self._go_at_c

    def _without_sight(self, board_c: float, trouble: str) -> Advice | None:
        hot = board_c > self.course.soak_high_c
        if hot and self._now_s - self._seen_s > self._blind_s:
            return self._call("too_hot", self._words.blind)
        return self._say("sensor", trouble)

    def _call(self, kind: str, text: str) -> Advice | None:
        """Off with the board; once more, and plainer, for as long as it stays on."""
        if self._now_s - self._recalled_s < AGAIN_S:
            return None
        self._called_s = self._now_s if self._called_s is None else self._called_s
        self._recalled_s = self._now_s
        return self._steady.insist(Advice(self._now_s, kind, text))

    def _call_again(self, follower: Follower, called_s: float) -> Advice | None:
        """Unseen, take it as lifted at last; who types has told nothing since the first call."""
        typed = self._blind_s > TYPED_S and self._seen_s < called_s
        unseen_s = called_s + 2 * AGAIN_S if typed else self._seen_s + self._blind_s + AGAIN_S
        if self._now_s > unseen_s:
            self._lifted_s = self._now_s
            return None
        # where even the furthest place heats a board on, only less heat cools it
        if self.hand.is_gun and self._now_s - called_s > STUCK_S:
            self._lifted_s = self._now_s
        if self._has_turned:
            return None
        if self._is_too_hot(follower):
            return self._call("too_hot", self._words.too_hot)
        return self._call("lift", self._words.lift)

    def _after_lift(self, lifted_s: float, board_c: float) -> Advice | None:
        since_s = self._now_s - lifted_s
        cool = board_c < self.course.soak_low_c - COOL_BELOW_SOAK_K
        if self._asked == OFF and ((cool and since_s > SETTLED_S) or since_s > COOLED_S):
            said = self._say("done", self._words.done)
            self.is_done = said is not None
            return said
        is_cool = board_c < self.course.above_c - GUN_OFF_K
        fallen_k = self._highest_c - board_c
        is_slow = since_s > SLOW_AFTER_S and fallen_k < since_s * self.course.cools_c_per_s
        is_off_due = is_cool or is_slow if self.hand.is_gun else since_s > OFF_AFTER_S
        if is_off_due and self._asked != OFF:
            return self._ask("off", OFF, self._words.off)
        if self.hand.is_gun or self._asked == OFF:
            return self._say("level", self._words.level)
        return None

    def _heat(self, follower: Follower) -> Advice | None:
        if self._asked == OFF:
            first = self.hand.first
            return self._ask("knob", first, self.hand.settings[first].text)
        left_s = self._left_s(follower)
        if left_s <= COUNT_S:
            return self._count(left_s)
        if left_s <= READY_S:
            return self._get_ready()
        if left_s <= READY_S + SOON_S and self._melt_said and not self._ready_s:
            return None
        may_be_c = follower.board_c if self._knows_board else follower.hottest_c
        if may_be_c > self.course.above_c and not self._melt_said:
            said = self._say("melt", sentences.COACH_MELT)
            self._melt_said = said is not None
            return said
        return self._turn(follower) if self._steady.may_change(self._now_s) else None

    def _left_s(self, follower: Follower) -> float:
        """Seconds until the board must go: for its peak, or because it was molten for long."""
        if not self._knows_board:
            return self._ahead.until_hottest(follower, self._stand, self._go_at_c)
        molten_s = self.course.molten_max_s - self._pace.molten_s(self._now_s)
        until_s = self._ahead.until_lift(follower, self._stand, self._asked)
        return min(until_s, molten_s)

    @property
    def _stand(self) -> Stand:
        return Stand(self._taken, self._asked, max(self._taken_s - self._now_s, 0.0))

    def _get_ready(self) -> Advice | None:
        said = None if self._ready_s else self._say("ready", self._words.ready)
        self._ready_s = self._now_s if said else self._ready_s
        return said

    def _count(self, left_s: float) -> Advice | None:
        if left_s <= CALL_S:
            return self._call("lift", self._words.lift)
        # a count never goes up again, whatever the readings say
        self._count_s = min(max(round(left_s), 1), self._count_s)
        return self._say("countdown", self._words.countdown.format(seconds=self._count_s))

    def _turn(self, follower: Follower) -> Advice | None:
        if self._is_due():
            best = self._best_setting(follower)
            if best > self._asked and not self._leaves_time(follower, best):
                return self._get_ready()
            if best != self._asked:
                return self._ask("knob", best, self.hand.settings[best].text)
        return self._say("hold", self.hand.settings[self._asked].hold)

    def _is_due(self) -> bool:
        """Whether the last turn has shown, and it is time to look ahead again."""
        has_shown = self._now_s - self._taken_s + HAND_S >= self._turn_s
        is_due = has_shown and self._now_s - self._looked_s >= self._ahead_s / LOOKS
        self._looked_s = self._now_s if is_due else self._looked_s
        return is_due

    def _best_setting(self, follower: Follower) -> int:
        """The position that leads nearest to where the board ought to be by then."""
        wanted_c = self._pace.after(self._now_s, follower.board_c, self._ahead_s)
        ends_c = self._ahead.ends_c(follower, self._stand, self._ahead_s)
        misses = [abs(end_c - wanted_c) for end_c in ends_c]
        best = int(np.argmin(misses))
        enough_k = min(self._better_k, ENOUGH * (max(ends_c) - min(ends_c)))
        is_better = misses[best] < misses[self._asked - 1] - enough_k
        return best + 1 if is_better else self._asked

    def _leaves_time(self, follower: Follower, setting: int) -> bool:
        """Whether a hand that is told to get ready, then or before, has the time to."""
        if self._ready_s:
            return self._now_s - self._ready_s > READY_S - SOON_S
        until_s = self._ahead.until_lift(follower, self._stand, setting)
        return until_s > READY_S + SOON_S

    def _ask(self, kind: str, setting: int, text: str) -> Advice | None:
        said = self._say(kind, text, setting)
        if said:
            self._asked, self._taken_s = setting, self._now_s + HAND_S
        return said

    def _say(self, kind: str, text: str, setting: int | None = None) -> Advice | None:
        return self._steady.say(Advice(self._now_s, kind, text, setting))
