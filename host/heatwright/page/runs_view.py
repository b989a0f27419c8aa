"""Runs: the list with filters and overlays, and each run's page after it."""

from __future__ import annotations

import asyncio
from collections.abc import Callable
from pathlib import Path
from typing import Any

from starlette.concurrency import run_in_threadpool
from starlette.requests import Request
from starlette.responses import FileResponse, HTMLResponse, Response
from starlette.routing import Route

from heatwright import sentences
from heatwright.errors import BadInput
from heatwright.page import aftermath
from heatwright.page.faults import faults_of
from heatwright.page.guard import REPORT_HEADERS
from heatwright.page.rendering import NotHere, form, page, see
from heatwright.records import folder
from heatwright.records.archive import Archive, Wanted
from heatwright.records.facts import Facts

NAMED = ("board", "paste", "source")
FILTERS = (*NAMED, "verdict", "since", "until")
OVERLAID = 6


def _archive(request: Request) -> Archive:
    return Archive(Path(request.app.state.desk.out))


def _found(request: Request, asked: dict[str, str]) -> list[Facts]:
    try:
        return _archive(request).runs(Wanted(**{name: asked[name] or None for name in FILTERS}))
    except BadInput:
        # no folder yet is no run yet
        return []


async def listed(request: Request) -> Response:
    asked = {name: request.query_params.get(name, "") for name in FILTERS}
    runs = await run_in_threadpool(_found, request, asked)
    known = await run_in_threadpool(_known, request)
    chosen = [one for one in request.query_params.getlist("over") if one in {r.id for r in runs}]
    overlay, unread = await _overlay(request, chosen[:OVERLAID])
    told: dict[str, Any] = {"chosen": chosen, "overlay": overlay, "unread": unread, "known": known}
    return page(request, "runs", runs=runs, asked=asked, **told)


def _known(request: Request) -> dict[str, Any]:
    """What there is to choose from: the boards, pastes and sources of all runs."""
    runs = _found(request, dict.fromkeys(FILTERS, ""))
    names = {key: {getattr(run, key) for run in runs} - {None} for key in NAMED}
    return {"any": bool(runs), **{key: sorted(found) for key, found in names.items()}}


async def _overlay(request: Request, chosen: list[str]) -> tuple[list[dict[str, Any]], list[str]]:
    """The curves of these runs, and what is wrong with those that can't be read."""
    root, curves, unread = _archive(request).root, [], []
    for one in chosen:
        try:
            curves.append(await computed(request, aftermath.curve, root / one))
        except BadInput as error:
            unread += [str(fault) for fault in error.faults]
    return curves, unread


async def computed(request: Request, function: Callable[..., Any], *words: Any) -> Any:
    """In the process that computes: reading and judging must not hold up a stop."""
    loop = asyncio.get_running_loop()
    return await loop.run_in_executor(request.app.state.computes, function, *words)


def place_of(request: Request) -> Path:
    """A run's folder by its id. Raises `NotHere`: a path that leads elsewhere is none, too."""
    root, name = _archive(request).root, request.path_params["run"]
    place: Path = root / name
    is_run = not name.startswith(".") and (place / folder.RECORD).is_file()
    if not is_run or place.resolve().parent != root.resolve():
        raise NotHere(sentences.PAGE_NO_RUN)
    return place


async def one(request: Request) -> Response:
    place = place_of(request)
    return await told(request, place, {})


async def told(
    request: Request, place: Path, faults: dict[str, list[dict[str, str]]], status: int = 200
) -> Response:
    """The page of one run; ``faults`` of what was just tried, by its section."""
    try:
        after = await computed(request, aftermath.aftermath, place)
    except BadInput as error:
        return page(request, "refused", 422, why=str(error))
    ref = request.query_params.get("ref", "")
    return page(request, "run", status, after=after, faults=faults, ref=ref, folder=str(place))


async def note(request: Request) -> Response:
    place = place_of(request)
    given = await form(request)
    try:
        aftermath.note(place, given.get("ref", ""), given.get("state", ""))
    except BadInput as error:
        return await told(request, place, {"joints": faults_of(error)}, 422)
    return see(f"/runs/{place.name}#joints")


async def report(request: Request) -> Response:
    place = place_of(request)
    text = await computed(request, aftermath.html_report, place)
    return HTMLResponse(text, headers=REPORT_HEADERS)


async def picture(request: Request) -> Response:
    place = place_of(request)
    if not (place / folder.PICTURE).is_file():
        raise NotHere(sentences.PAGE_NO_RUN)
    return FileResponse(place / folder.PICTURE)


ROUTES = [
    Route("/runs", listed),
    Route("/runs/{run}", one),
    Route("/runs/{run}/joints", note, methods=["POST"]),
    Route("/runs/{run}/report", report),
    Route("/runs/{run}/picture", picture),
]
