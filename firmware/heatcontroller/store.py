# What the controller keeps through a power cut: configuration, plans, the "open" marker and the
# log of the last runs. Files are passed in (see files.py), so that a test can cut the power.

from .config import Config
from .config import read as read_config

CONFIG = "config.json"
MARKER = "open"
RESTED = "heated"
RESETS = "resets"
NEXT_BOOT = "next_boot"
PLANS = "plans"
INCOMING = "plans/incoming"
LOGS = "log"

# A run is found again by anyone who looks within ten; older ones make room.
LOG_RUNS = 10
# One line of about 110 bytes a second for an hour; beyond that something is wrong.
LOG_BYTES = 400000
ID_DIGITS = 8


def good_id(text: object) -> bool:
    # A plan's file is named by its id: no other text becomes a path.
    if not isinstance(text, str) or len(text) != ID_DIGITS:
        return False
    return all([digit in "0123456789abcdef" for digit in text])


class Store:
    def __init__(self, files) -> None:
        self._files = files
        self._log = None
        self._log_left = 0
        # Why there is no log, for hello and the panel; "" while there is nothing to say.
        self.trouble = ""

    # --- configuration ---

    def config(self) -> Config:
        try:
            return read_config(self._files.read(CONFIG))
        except OSError:
            return read_config(b"")

    def keep_config(self, new: Config) -> bool:
        return self._keep(CONFIG, new.text())

    # --- plans ---

    def plans(self) -> list:
        return sorted(name for name, _ in self._list(PLANS) if good_id(name))

    def plan(self, plan_id: str) -> bytes | None:
        if not good_id(plan_id):
            return None
        try:
            return self._files.read(PLANS + "/" + plan_id)
        except OSError:
            return None

    def take_piece(self, offset: int, piece: bytes) -> bool:
        # A plan on its way in grows in a file of its own: 4 kB in one block are hard to find.
        if offset == 0:
            return self._keep(INCOMING, piece)
        return self._append(INCOMING, piece)

    def incoming(self) -> bytes:
        try:
            return self._files.read(INCOMING) or b""
        except OSError:
            return b""

    def keep_incoming(self, plan_id: str) -> bool:
        try:
            self._files.rename(INCOMING, PLANS + "/" + plan_id)
        except OSError:
            return False
        return True

    def keep_plan(self, plan_id: str, data: bytes) -> bool:
        return self._keep(PLANS + "/" + plan_id, data)

    def remove_plan(self, plan_id: str) -> bool:
        if self.plan(plan_id) is None:
            return False
        return self._remove(PLANS + "/" + plan_id)

    # --- the "open" marker: there while the heater may be on ---

    def marker(self) -> str:
        # A marker that can't be read is a marker: only its certain absence lets the heater on.
        try:
            data = self._files.read(MARKER)
        except OSError:
            return "unreadable"
        if data is None:
            return ""
        return _text(data) or "empty"

    def open_marker(self, text: str) -> bool:
        return self._keep(MARKER, text.encode()) and self.marker() == text

    def note_marker(self, text: str) -> None:
        # Added to, never written anew: no moment may pass without a marker.
        # Should that fail, the marker itself says "tripped" at the next start.
        self._append(MARKER, b"\n" + text.encode())

    def close_marker(self) -> bool:
        # Renamed, not removed: after a restart it says that the source may still be warm inside.
        try:
            self._files.rename(MARKER, RESTED)
        except OSError:
            return self.marker() == ""
        return True

    def was_heated(self) -> bool:
        try:
            return self._files.read(RESTED) is not None
        except OSError:
            return True

    def forget_heat(self) -> None:
        if self.was_heated():
            self._remove(RESTED)

    # --- resets in a row by the watchdog ---

    def watchdog_resets(self) -> int:
        try:
            data = self._files.read(RESETS)
        except OSError:
            data = None
        return len(data) if data else 0

    def count_boot(self, by_watchdog: bool) -> None:
        # One byte a reset. A flash write a boot is spared where the count stays nought.
        count = self.watchdog_resets()
        if by_watchdog:
            self._keep(RESETS, b"w" * min(count + 1, 99))
        elif count:
            self.forget_resets()

    def forget_resets(self) -> None:
        if self.watchdog_resets():
            self._remove(RESETS)

    # --- what the next boot shall be: read once by boot.py ---

    def ask_next_boot(self, kind: str) -> bool:
        return self._keep(NEXT_BOOT, kind.encode())

    # --- the log: a file a run, of the lines that the link sends, one sample a second ---

    def begin_run(self) -> None:
        self.end_run()
        self.trouble = ""
        try:
            number = self._room_for_run()
            self._log = self._files.append("{}/{:06d}".format(LOGS, number))
            self._log_left = LOG_BYTES
        except OSError as error:
            self._no_log(error)

    def log(self, line: bytes) -> None:
        # Called straight after a tick: a flash erase stalls the chip, and the next tick is far.
        if self._log is None:
            return
        self._log_left -= len(line)
        if self._log_left < 0:
            self.trouble = "log full"
            self.end_run()
            return
        try:
            self._log.write(line)
            self._log.flush()
        except OSError as error:
            self._no_log(error)

    def end_run(self) -> None:
        if self._log is None:
            return
        try:
            self._log.close()
        except OSError as error:
            self.trouble = "no log: {}".format(error)
        self._log = None

    def runs(self) -> list:
        found = [(int(name), size) for name, size in self._list(LOGS) if _is_run(name)]
        return sorted(found)

    def read_run(self, number: int, offset: int, count: int) -> bytes | None:
        try:
            return self._files.read_part("{}/{:06d}".format(LOGS, number), offset, count)
        except OSError:
            return None

    def _room_for_run(self) -> int:
        runs = self.runs()
        while len(runs) >= LOG_RUNS:
            self._files.remove("{}/{:06d}".format(LOGS, runs.pop(0)[0]))
        return runs[-1][0] + 1 if runs else 1

    def _no_log(self, error: OSError) -> None:
        self.trouble = "no log: {}".format(error)
        self.end_run()

    # --- files that may fail ---

    def _keep(self, path: str, data: bytes) -> bool:
        try:
            self._files.replace(path, data)
        except OSError:
            return False
        return True

    def _append(self, path: str, data: bytes) -> bool:
        try:
            file = self._files.append(path)
            file.write(data)
            file.close()
        except OSError:
            return False
        return True

    def _remove(self, path: str) -> bool:
        try:
            self._files.remove(path)
        except OSError:
            return False
        return True

    def _list(self, folder: str) -> list:
        try:
            return self._files.list(folder)
        except OSError:
            return []


def _text(data: bytes) -> str:
    try:
        return data.decode()
    except UnicodeError:
        return "unreadable"


def _is_run(name: str) -> bool:
    return len(name) == 6 and name.isdigit()
