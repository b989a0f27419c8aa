# Buttons and switches: judged by how long a level has held, never by how often it was read.

SETTLE_MS = 30  # contacts bounce for 1 to 10 ms; a person holds a button for 80 ms or more
# A contact that has not held still for this long is broken, and counts as its safe state.
CEILING_MS = 500


class Contact:
    # `on_level` is the pin level that means "on"; `safe` is what a chattering contact counts as.

    def __init__(self, pin, on_level: int, safe: int) -> None:
        self._pin = pin
        self._on_level = on_level
        self._safe = safe
        self._raw = self._read()
        self._raw_since_ms = -1
        self._settled_ms = -1
        self.on = self._raw
        self._was_on = self._raw

    def _read(self) -> int:
        return 1 if self._pin() == self._on_level else 0

    def serve(self, now_ms: int) -> None:
        if self._settled_ms < 0:
            self._raw_since_ms = self._settled_ms = now_ms
        raw = self._read()
        if raw != self._raw:
            self._raw = raw
            self._raw_since_ms = now_ms
        self._judge(now_ms)
        self._was_on |= self.on

    def _judge(self, now_ms: int) -> None:
        if now_ms - self._raw_since_ms >= SETTLE_MS:
            self.on = self._raw
            self._settled_ms = now_ms
        elif now_ms - self._settled_ms >= CEILING_MS:
            self.on = self._safe

    def take(self) -> int:
        # On now, or on at any time since the last call: a tick is longer than a short press.
        was_on = self._was_on
        self._was_on = self.on
        return was_on


class Button:
    # Counts presses. A button held down since power-up is not one: it has to be let go first.

    def __init__(self, pin) -> None:
        self._contact = Contact(pin, 0, 0)
        self._was_on = 1
        self.presses = 0

    def serve(self, now_ms: int) -> None:
        self._contact.serve(now_ms)
        on = self._contact.on
        if on and not self._was_on:
            self.presses = (self.presses + 1) & 0xFFFF
        self._was_on = on
