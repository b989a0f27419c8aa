"""Know your source: the measuring run, the sensor, see-it-melt, one guided step after another."""

from __future__ import annotations

from typing import get_args

from starlette.requests import Request
from starlette.responses import Response
from starlette.routing import Route

from heatwright.documents.source import Kind
from heatwright.page.rendering import page
from heatwright.page.shelf import Shelf


def learn(request: Request) -> Response:
    shelf: Shelf = request.app.state.shelf
    on = request.app.state.first.get("on", "sim:toaster")
    mine = [entry for entry in shelf.entries("source") if entry.own]
    return page(request, "learn", kinds=get_args(Kind), on=on, mine=mine)


ROUTES = [Route("/source", learn)]
