"""Pastes, parts, boards, sources, profiles: seen, edited with checks as one types, duplicated."""

from __future__ import annotations

from starlette.concurrency import run_in_threadpool
from starlette.requests import Request
from starlette.responses import JSONResponse, Response
from starlette.routing import Route

from heatwright import sentences
from heatwright.documents.source import Source
from heatwright.errors import BadInput
from heatwright.page.rendering import form, page, see
from heatwright.page.shelf import KINDS, Entry, Shelf, check, text_of
from heatwright.page.work import faults_of


def listed(request: Request) -> Response:
    shelf: Shelf = request.app.state.shelf
    return page(request, "documents", shelves=[(kind, shelf.entries(kind)) for kind in KINDS])


def one(request: Request) -> Response:
    entry = _entry(request)
    if entry is None:
        return page(request, "refused", 404, why=sentences.PAGE_NO_DOCUMENT)
    return _edited(request, entry, text_of(entry), [])


def _entry(request: Request) -> Entry | None:
    kind, name = request.path_params["kind"], request.path_params["name"]
    shelf: Shelf = request.app.state.shelf
    return shelf.entry(kind, name) if kind in KINDS else None


def _edited(
    request: Request, entry: Entry, text: str, faults: list[dict[str, str]], status: int = 200
) -> Response:
    history = _history(entry.kind, text)
    return page(request, "document", status, entry=entry, text=text, faults=faults, history=history)


def _history(kind: str, text: str) -> list[tuple[str, str]]:
    """What a source was learnt from, as far as it can be read."""
    if kind != "source":
        return []
    try:
        source = check(kind, text)
    except BadInput:
        return []
    assert isinstance(source, Source)
    rows = [(sentences.PAGE["history_learnt"], str(source.learnt_on or sentences.NOT_KNOWN))]
    rows += [(sentences.PAGE["history_generation"], str(source.generation))]
    rows += [(sentences.PAGE["history_record"], one) for one in source.learnt_from]
    rows += [(sentences.PAGE["history_marks"], one) for one in source.marked_from]
    return rows


async def save(request: Request) -> Response:
    """Keep it under the name in the form; a shipped one becomes the person's own."""
    entry = _entry(request)
    if entry is None:
        return page(request, "refused", 404, why=sentences.PAGE_NO_DOCUMENT)
    given = await form(request)
    name, text = given.get("name", ""), given.get("text", "")
    shelf: Shelf = request.app.state.shelf
    try:
        await run_in_threadpool(shelf.save, entry.kind, name, text)
    except BadInput as error:
        return _edited(request, entry, text, faults_of(error), 422)
    return see(f"/documents/{entry.kind}/{name}")


async def checked(request: Request) -> Response:
    """What is wrong with a text, while it is typed."""
    kind = request.path_params["kind"]
    if kind not in KINDS:
        return JSONResponse([], 404)
    text = (await form(request)).get("text", "")
    try:
        await run_in_threadpool(check, kind, text)
    except BadInput as error:
        return JSONResponse(faults_of(error))
    return JSONResponse([])


ROUTES = [
    Route("/documents", listed),
    Route("/documents/{kind}/check", checked, methods=["POST"]),
    Route("/documents/{kind}/{name}", one, methods=["GET"]),
    Route("/documents/{kind}/{name}", save, methods=["POST"]),
]
