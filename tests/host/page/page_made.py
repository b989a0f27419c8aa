"""A page without a server, for tests: requests go straight to the application."""

from __future__ import annotations

from html.parser import HTMLParser
from pathlib import Path

from starlette.testclient import TestClient

from heatwright.page.server import Setting, application

HOST = "http://127.0.0.1:8617"
OURS = {"origin": HOST}
FAR = "http://192.168.7.20:8617"


def visitor(folder: Path, lan: bool = False, at: str = HOST) -> TestClient:
    """Somebody's browser; follows no redirect."""
    setting = Setting(out=folder / "runs", own=folder / "documents", lan=lan)
    return TestClient(application(setting, "right-token"), base_url=at, follow_redirects=False)


class _Fields(HTMLParser):
    def __init__(self) -> None:
        super().__init__()
        self.found: list[tuple[str, str]] = []
        self.open: str | None = None
        # None: a choice has begun, and nothing of it is chosen yet
        self.chosen: str | None = ""

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        at = dict(attrs)
        if tag == "input" and at.get("name") and (at.get("type") != "checkbox" or "checked" in at):
            self.found.append((at["name"] or "", at.get("value") or ""))
        elif tag in ("select", "textarea"):
            self.found.append((at["name"] or "", ""))
            self.open, self.chosen = tag, (None if tag == "select" else "")
        elif (
            tag == "option" and self.open == "select" and (self.chosen is None or "selected" in at)
        ):
            # the first of a choice is chosen until another is
            self.chosen = at.get("value") or ""
            self.found[-1] = (self.found[-1][0], self.chosen)

    def _is_chosen(self, at: dict[str, str | None]) -> bool:
        """The first of a choice is chosen until another is."""
        return self.chosen is None or "selected" in at

    def handle_endtag(self, tag: str) -> None:
        if tag == self.open:
            self.open, self.chosen = None, ""

    def handle_data(self, data: str) -> None:
        if self.open == "textarea":
            self.found[-1] = (self.found[-1][0], self.found[-1][1] + data)


def shown_fields(html: str) -> list[tuple[str, str]]:
    """The names and values that a browser would post of these fields, in their order."""
    parser = _Fields()
    parser.feed(html)
    return parser.found
