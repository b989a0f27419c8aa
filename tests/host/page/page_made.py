"""A page without a server, for tests: requests go straight to the application."""

from __future__ import annotations

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
