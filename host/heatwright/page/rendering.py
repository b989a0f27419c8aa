"""Templates made into answers; every text is escaped, every sentence comes from one file."""

from __future__ import annotations

from functools import cache
from importlib.metadata import version
from pathlib import Path
from typing import Any
from urllib.parse import parse_qsl

from jinja2 import Environment, FileSystemLoader, StrictUndefined
from starlette.exceptions import HTTPException
from starlette.requests import Request
from starlette.responses import HTMLResponse, RedirectResponse, Response

from heatwright import sentences

HERE = Path(__file__).parent
# A document is kilobytes; more than this is no form of ours.
LARGEST_FORM = 500_000


@cache
def _templates() -> Environment:
    return Environment(
        loader=FileSystemLoader(HERE / "templates"),
        autoescape=True,
        # a page that is served while its program is brought up to date stays of one piece
        auto_reload=False,
        undefined=StrictUndefined,
        trim_blocks=True,
        lstrip_blocks=True,
    )


def page(request: Request, name: str, status: int = 200, **values: Any) -> Response:
    """A page by its template's name."""
    desk = request.app.state.desk
    text = (
        _templates()
        .get_template(f"{name}.html")
        .render(
            say=sentences.PAGE,
            version=version("heatwright"),
            here=name,
            path=request.url.path,
            desk=desk,
            state=desk.whole(),
            **values,
        )
    )
    return HTMLResponse(text, status)


class NotHere(HTTPException):
    """What was asked for is not there: the page that says so, with this sentence."""

    def __init__(self, why: str) -> None:
        super().__init__(404, why)


def see(where: str) -> Response:
    """Go and look there."""
    return RedirectResponse(where, 303)


async def form(request: Request) -> dict[str, str]:
    """The fields of a plain form, the last of each name."""
    return dict(await fields(request))


async def fields(request: Request) -> list[tuple[str, str]]:
    """The fields of a plain form in their order; one that is far too large is cut off."""
    body = b""
    async for piece in request.stream():
        body += piece
        if len(body) > LARGEST_FORM:
            break
    return parse_qsl(body.decode("utf-8", "replace"), keep_blank_values=True)
