"""Pastes, parts, boards, sources, profiles: seen, duplicated, edited in forms checked as typed."""

from __future__ import annotations

import tomllib
from typing import Any

from starlette.concurrency import run_in_threadpool
from starlette.requests import Request
from starlette.responses import Response
from starlette.routing import Route

from heatwright import sentences
from heatwright.documents.reading import candidate_path, clashes_in
from heatwright.documents.schema import MODELS
from heatwright.errors import BadInput
from heatwright.page.drafts import Draft
from heatwright.page.faults import faults_of
from heatwright.page.forms import form_of
from heatwright.page.history import history
from heatwright.page.placed_parts import parts_not_there
from heatwright.page.rendering import NotHere, fields, page, see
from heatwright.page.shelf import KINDS, Entry, Shelf, mark_of, text_of
from heatwright.page.sketch import sketch

Faults = list[dict[str, str]]
# A source is no set of numbers to be typed in: a new one is a copy, then measured.
TYPED_IN = ("paste", "board", "part", "profile")


def listed(request: Request) -> Response:
    shelf: Shelf = request.app.state.shelf
    shelves = [(kind, shelf.entries(kind)) for kind in KINDS]
    return page(request, "documents", shelves=shelves, typed_in=TYPED_IN, own=shelf.own)


async def one(request: Request) -> Response:
    entry = entry_of(request)
    text = await run_in_threadpool(text_of, entry)
    if request.query_params.get("as") == "text" or _data(text) is None:
        return as_text(request, entry, text, faults_in(request.app.state.shelf, entry.kind, text))
    return await _as_form(request, entry, text)


def entry_of(request: Request) -> Entry:
    """The document that the address names. Raises `NotHere`."""
    kind, name = request.path_params["kind"], request.path_params["name"]
    shelf: Shelf = request.app.state.shelf
    entry = shelf.entry(kind, name) if kind in KINDS else None
    if entry is None:
        raise NotHere(sentences.PAGE_NO_DOCUMENT)
    return entry


def _data(text: str) -> dict[str, Any] | None:
    """The raw data of a text; None where it isn't TOML, and no form can show it."""
    try:
        return tomllib.loads(text)
    except tomllib.TOMLDecodeError:
        return None


def faults_in(shelf: Shelf, kind: str, text: str) -> Faults:
    try:
        shelf.check(kind, text)
    except BadInput as error:
        return faults_of(error)
    return []


def as_text(
    request: Request, entry: Entry, text: str, faults: Faults, status: int = 200
) -> Response:
    told = {"entry": entry, "text": text, "faults": faults, "mark": current_mark(entry)}
    return page(request, "document_text", status, **told)


def current_mark(entry: Entry) -> str:
    return mark_of(text_of(entry))


async def _as_form(request: Request, entry: Entry, text: str) -> Response:
    model, data = MODELS[entry.kind], _data(text) or {}
    clashes = await run_in_threadpool(clashes_in, model, data)
    clashes += parts_not_there(entry.kind, data, entry.path.parent)
    shelf: Shelf = request.app.state.shelf
    form = form_of(Draft.of(model, data), clashes, shelf.suggested())
    past = await run_in_threadpool(history, request.app.state.desk.out, entry.kind, data)
    told: dict[str, Any] = {"history": past, "sketch": sketch(entry.kind, text)}
    told |= {"faults": [], "at": "", "done": _done(request), "fit": _has_fit(entry)}
    shown = "document" if entry.own else "document_seen"
    return page(request, shown, entry=entry, form=form, mark=mark_of(text), **told)


def _done(request: Request) -> str:
    """What has just been done with this document."""
    done = [word for word in ("saved", "kept") if word in request.query_params]
    return str(sentences.PAGE[done[0]]) if done else ""


def _has_fit(entry: Entry) -> bool:
    """Whether there is a picture of what this source was learnt from."""
    return entry.kind == "source" and candidate_path(entry.path).with_suffix(".png").is_file()


async def duplicate(request: Request) -> Response:
    """A copy under a name of the person's own."""
    entry = entry_of(request)
    shelf: Shelf = request.app.state.shelf
    name = dict(await fields(request)).get("name", "").strip()
    try:
        await run_in_threadpool(shelf.copy, entry, name)
    except BadInput as error:
        told = {"entry": entry, "faults": faults_of(error), "asked": name}
        return page(request, "document_copy", 422, **told)
    return see(f"/documents/{entry.kind}/{name}")


ROUTES = [
    Route("/documents", listed),
    Route("/documents/{kind}/{name}", one, methods=["GET"]),
    Route("/documents/{kind}/{name}/copy", duplicate, methods=["POST"]),
]
