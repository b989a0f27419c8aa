"""Marks made afterwards, and "use this run to improve the next": first shown, then kept."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any

from starlette.requests import Request
from starlette.responses import Response
from starlette.routing import Route

from heatwright import sentences
from heatwright.errors import BadInput
from heatwright.page import lessons
from heatwright.page.faults import faults_of
from heatwright.page.rendering import NotHere, form, page, see
from heatwright.page.runs_view import computed, place_of, told


async def mark(request: Request) -> Response:
    given = await form(request)
    words = (given.get("at", "").strip(), given.get("seen", ""), "sure" in given)
    return await _done(request, lessons.add_mark, *words)


async def undo(request: Request) -> Response:
    return await _done(request, lessons.undo_mark)


async def _done(request: Request, act: Callable[..., None], *words: Any) -> Response:
    place = place_of(request)
    try:
        await computed(request, act, place, *words)
    except BadInput as error:
        return await told(request, place, {"marks": faults_of(error)}, 422)
    return see(f"/runs/{place.name}#marks")


async def improve(request: Request) -> Response:
    """Work out what would change; nothing is kept yet."""
    place = place_of(request)
    try:
        found = await computed(request, lessons.lesson, place)
    except BadInput as error:
        return await told(request, place, {"improve": faults_of(error)}, 422)
    request.app.state.lessons[place.name] = found
    return see(f"/runs/{place.name}/improve")


async def shown(request: Request) -> Response:
    name = request.path_params["run"]
    found = request.app.state.lessons.get(name)
    if found is None:
        raise NotHere(sentences.PAGE_NO_LESSON)
    return page(request, "improve", run=name, lesson=found)


async def keep(request: Request) -> Response:
    """Keep it, and choose it for the next run."""
    place = place_of(request)
    found = request.app.state.lessons.pop(place.name, None)
    if found is None:
        raise NotHere(sentences.PAGE_NO_LESSON)
    name = lessons.keep(place, found)
    desk = request.app.state.desk
    request.app.state.first = {**request.app.state.first, "plan": name}
    if desk.home == "/":
        desk.leave()
    return see("/")


ROUTES = [
    Route("/runs/{run}/marks", mark, methods=["POST"]),
    Route("/runs/{run}/marks/undo", undo, methods=["POST"]),
    Route("/runs/{run}/improve", shown),
    Route("/runs/{run}/improve", improve, methods=["POST"]),
    Route("/runs/{run}/improve/keep", keep, methods=["POST"]),
]
