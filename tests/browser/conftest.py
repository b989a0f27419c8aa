"""A browser and a page for these tests; where there is no browser they are skipped, not in CI."""

import os
import sys
from pathlib import Path

import pytest

sys.path.insert(0, str(Path(__file__).parent))
import story


def pytest_collection_modifyitems(items):
    if story.is_there() or os.environ.get("CI") == "true":
        return
    reason = "no browser; on Debian: sudo apt-get install chromium"
    for item in items:
        if Path(item.path).parent == Path(__file__).parent:
            item.add_marker(pytest.mark.skip(reason=reason))


# Gone at the end of a file: the browser's tool keeps an event loop running in the worker, and other
# tests start their own.
@pytest.fixture(scope="module")
def browser():
    with story.browser() as opened:
        yield opened


@pytest.fixture(scope="session")
def server(tmp_path_factory):
    with story.served(tmp_path_factory.mktemp("bench")) as served:
        yield served


@pytest.fixture(scope="session")
def address(server):
    return server[0]


@pytest.fixture
def page(browser, address):
    """A page in a profile of its own; at its end nothing is running."""
    context = browser.new_context(viewport={"width": 1024, "height": 768})
    foreign = []
    context.on("request", lambda r: foreign.append(r.url) if address[7:] not in r.url else None)
    opened = context.new_page()
    errors = []
    opened.on("pageerror", lambda error: errors.append(str(error)))
    yield opened
    story.clear(opened, address)
    context.close()
    assert errors == []
    assert [url for url in foreign if not url.startswith("data:")] == []
