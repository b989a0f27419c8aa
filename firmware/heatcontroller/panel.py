# The panel: a small display and three buttons, enough for a whole run with no laptop. It is drawn
# in slices, one row of text for each turn of the main loop, so that no mains cycle is late.

import framebuf

from . import screens
from .states import BY_PANEL

PERIOD_MS = 250  # once a tick: nothing changes faster
MESSAGE_MS = 4000  # long enough to read four rows; a long message has eight
PAGES = 8
BIG_PAGES = (1, 2)
TEXT_PAGE = 3
LABEL_PAGE = 7
TEXT_ROWS = LABEL_PAGE - TEXT_PAGE
WIDTH = 128
FONT = 8
BIG_COLUMNS = WIDTH // (2 * FONT)
# Four dots, each made two: 0101 becomes 00110011.
DOUBLED = bytes(
    (n & 1) * 3 | (n >> 1 & 1) * 12 | (n >> 2 & 1) * 48 | (n >> 3) * 192 for n in range(16)
)


class Choice:
    # Which of the kept plans the arm button means.

    def __init__(self, store) -> None:
        self._store = store
        self._ids = []
        self.index = 0
        self.name = ""
        self.trouble = ""

    @property
    def count(self) -> int:
        return len(self._ids)

    @property
    def plan_id(self) -> str:
        return self._ids[self.index]

    def look(self) -> None:
        self._ids = self._store.plans()
        self.trouble = self._store.trouble[: screens.COLUMNS]
        self.step(0)

    def step(self, by: int) -> None:
        if self._ids:
            self.index = (self.index + by) % len(self._ids)
            self.name = plan_name(self._store.plan(self.plan_id))


def plan_name(data: bytes | None) -> str:
    # The state machine reads the plan strictly when it arms; for a list its first key will do.
    key = b'"name":"'
    start = -1 if data is None else data.find(key)
    if data is None or start < 0:
        return "unreadable plan"
    start += len(key)
    return str(data[start : data.find(b'"', start)], "utf-8")


class Panel:
    def __init__(self, display, buttons, machine, store) -> None:
        self._display = display
        self._canvas = framebuf.FrameBuffer(
            display.picture, WIDTH, PAGES * FONT, framebuf.MONO_VLSB
        )
        self._columns = bytearray(FONT)
        self._letter = framebuf.FrameBuffer(self._columns, FONT, FONT, framebuf.MONO_VLSB)
        self._buttons = buttons
        self._pressed = [button.presses for button in buttons]
        self._machine = machine
        self._choice = Choice(store)
        self._state = -1
        self._wanted = [""] * PAGES
        self._shown = ["never drawn"] * PAGES
        self._page = 0
        self._frame_ms = -PERIOD_MS
        self._message = []
        self._message_ms = 0

    def serve(self, now_ms: int, inputs) -> None:
        self._see_buttons(now_ms)
        if self._page == 0:
            if now_ms - self._frame_ms < PERIOD_MS:
                return
            self._frame_ms = now_ms
            self._compose(now_ms, inputs)
        self._draw(self._page)
        self._page = (self._page + 1) % PAGES

    # --- buttons ---

    def _see_buttons(self, now_ms: int) -> None:
        for index, button in enumerate(self._buttons):
            if button.presses != self._pressed[index]:
                self._pressed[index] = button.presses
                self._message = []
                self._say(now_ms, self._press(now_ms, index))

    def _press(self, now_ms: int, index: int) -> tuple | None:
        machine = self._machine
        label = screens.labels(machine, self._choice)[index]
        if label == "Prev":
            self._choice.step(-1)
        elif label == "Next":
            self._choice.step(1)
        elif label == "Arm":
            return machine.arm(now_ms, self._choice.plan_id, BY_PANEL)
        elif label == "Start":
            return machine.start(now_ms)
        elif label in ("Back", "Stop"):
            return machine.stop(now_ms, BY_PANEL)
        elif label == "Here":
            return machine.start(now_ms)
        elif label == "Quiet":
            machine.acknowledge()
        elif label == "Melted":
            return machine.mark(now_ms)
        elif label == "Undo":
            return machine.unmark(now_ms)
        elif label == "Clear":
            return machine.clear(now_ms, BY_PANEL)
        return None

    def _say(self, now_ms: int, refused: tuple | None) -> None:
        if refused:
            self._message = screens.wrapped(refused[1], 2 * TEXT_ROWS)
            self._message_ms = now_ms

    # --- drawing ---

    def _compose(self, now_ms: int, inputs) -> None:
        machine = self._machine
        if machine.state != self._state:
            self._state = machine.state
            self._choice.look()
        wanted = self._wanted
        wanted[0] = screens.title(machine.state)
        wanted[1] = wanted[2] = screens.reading(inputs)
        wanted[TEXT_PAGE:LABEL_PAGE] = self._rows(now_ms)
        wanted[LABEL_PAGE] = screens.label_row(screens.labels(machine, self._choice))

    def _rows(self, now_ms: int) -> list:
        at = (now_ms - self._message_ms) // MESSAGE_MS * TEXT_ROWS
        shown = self._message[at : at + TEXT_ROWS]
        return shown if any(shown) else screens.rows(self._machine, self._choice)

    def _draw(self, page: int) -> None:
        text = self._wanted[page]
        if text == self._shown[page]:
            return
        if page == BIG_PAGES[0]:
            self._big(text)
        elif page not in BIG_PAGES:
            self._line(page, text, page in (0, LABEL_PAGE))
        self._shown[page] = text
        self._display.show_page(page)

    def _line(self, page: int, text: str, is_bar: bool) -> None:
        self._canvas.fill_rect(0, page * FONT, WIDTH, FONT, int(is_bar))
        self._canvas.text(text, 0, page * FONT, int(not is_bar))

    def _big(self, text: str) -> None:
        # The chip's own letters, each dot four: drawn on both pages, sent one by one.
        text = (text + " " * BIG_COLUMNS)[:BIG_COLUMNS]
        for place in range(BIG_COLUMNS):
            self._letter.fill(0)
            self._letter.text(text[place], 0, 0, 1)
            self._enlarge(BIG_PAGES[0] * WIDTH + place * 2 * FONT)

    def _enlarge(self, at: int) -> None:
        # A byte is a column of eight dots, the lowest bit on top: each half fills a page's column.
        picture = self._display.picture
        for x in range(FONT):
            column = self._columns[x]
            for twin in (at + 2 * x, at + 2 * x + 1):
                picture[twin] = DOUBLED[column & 15]
                picture[twin + WIDTH] = DOUBLED[column >> 4]
