"""Documents in forms: checked while they are typed, kept when sound, rows of lists moved."""

from __future__ import annotations

import tomllib
from collections.abc import Sequence
from typing import Any

from starlette.concurrency import run_in_threadpool
from starlette.requests import Request
from starlette.responses import JSONResponse, Response
from starlette.routing import Route

from heatwright import sentences
from heatwright.documents.base import Clash, Document
from heatwright.documents.editing import edited
from heatwright.documents.reading import clashes_in
from heatwright.documents.schema import MODELS
from heatwright.documents.writing import document_text
from heatwright.errors import BadInput, Fault
from heatwright.page.documents_view import (
    TYPED_IN,
    Faults,
    as_text,
    current_mark,
    entry_of,
    faults_in,
)
from heatwright.page.drafts import Draft
from heatwright.page.faults import faults_of
from heatwright.page.forms import Form, faults_by_name, form_of
from heatwright.page.placed_parts import parts_not_there
from heatwright.page.rendering import NotHere, fields, page, see
from heatwright.page.shelf import KINDS, Entry, Shelf, text_of


async def save(request: Request) -> Response:
    """Keep what is in the form, or only change its rows; a shipped document is never written."""
    entry = entry_of(request)
    if not entry.own:
        return page(request, "refused", 409, why=sentences.PAGE_IS_SHIPPED)
    pairs = await fields(request)
    given = dict(pairs)
    if "text" in given:
        return await _save_text(request, entry, given)
    return await _save_form(request, entry, pairs)


async def _save_text(request: Request, entry: Entry, given: dict[str, str]) -> Response:
    shelf: Shelf = request.app.state.shelf
    try:
        _same(entry, given.get("mark", ""))
        await run_in_threadpool(shelf.save, entry.kind, entry.path, given["text"])
    except BadInput as error:
        return as_text(request, entry, given["text"], faults_of(error), 422)
    return see(f"/documents/{entry.kind}/{entry.name}?as=text")


async def _save_form(request: Request, entry: Entry, pairs: list[tuple[str, str]]) -> Response:
    shelf: Shelf = request.app.state.shelf
    given, draft = dict(pairs), _draft(entry.kind, pairs)
    mark = given.get("mark", "")
    if at := _rows(draft, given.get("do", "")):
        return _again(request, entry, draft, mark, [], at)
    clashes = await run_in_threadpool(_clashes, shelf, entry.kind, entry, draft)
    if clashes:
        return _again(request, entry, draft, mark, [], "", clashes)
    try:
        _same(entry, mark)
        text = edited(text_of(entry), draft.model, draft.data())
        await run_in_threadpool(shelf.save, entry.kind, entry.path, text)
    except BadInput as error:
        # told once: whoever saves again means it
        return _again(request, entry, draft, current_mark(entry), faults_of(error), "")
    return see(f"/documents/{entry.kind}/{entry.name}?saved=1")


def _draft(kind: str, pairs: list[tuple[str, str]]) -> Draft:
    return Draft.posted(MODELS[kind], pairs)


def _clashes(shelf: Shelf, kind: str, entry: Entry | None, draft: Draft) -> list[Clash]:
    """What is wrong with a draft, and with what the form does not show of its file."""
    data = draft.data()
    if entry:
        data = tomllib.loads(edited(text_of(entry), draft.model, data))
    return clashes_in(draft.model, data) + parts_not_there(kind, data, shelf.own)


def _same(entry: Entry, mark: str) -> None:
    """Raise `BadInput` where the file is no longer what the form was made from."""
    if mark != current_mark(entry):
        cure = sentences.PAGE_FILE_CHANGED_CURE
        raise BadInput(Fault(sentences.PAGE_FILE_CHANGED, str(entry.path), cure=cure))


def _rows(draft: Draft, do: str) -> str:
    """Do what a button of a list asks for; returns the row to look at, empty: it was no such."""
    verb, _, name = do.partition(":")
    if verb == "add" and name:
        return f"{name}.{draft.add_row(name)}"
    whole, _, at = name.rpartition(".")
    if verb in ("remove", "raise") and whole and at.isdecimal():
        change = draft.remove_row if verb == "remove" else draft.raise_row
        change(whole, int(at))
        return whole
    return ""


def _again(
    request: Request,
    entry: Entry,
    draft: Draft,
    mark: str,
    faults: Faults,
    at: str,
    clashes: Sequence[Clash] = (),
) -> Response:
    """The form as it was typed, with what is wrong beside it; ``at`` is the row to look at."""
    form = _form(request, draft, clashes)
    status = 422 if faults or form.count else 200
    told: dict[str, Any] = {"history": [], "sketch": None, "faults": faults, "at": at}
    told |= {"done": "", "fit": False}
    return page(request, "document", status, entry=entry, form=form, mark=mark, **told)


def _form(request: Request, draft: Draft, clashes: Sequence[Clash]) -> Form:
    shelf: Shelf = request.app.state.shelf
    return form_of(draft, clashes, shelf.suggested())


async def blank(request: Request) -> Response:
    """A document from nothing: all its fields, empty."""
    kind = request.path_params["kind"]
    if kind not in TYPED_IN:
        raise NotHere(sentences.PAGE_NO_DOCUMENT)
    return _new(request, kind, Draft(MODELS[kind], {}))


def _new(
    request: Request,
    kind: str,
    draft: Draft,
    clashes: Sequence[Clash] = (),
    faults: Faults | None = None,
    **told: str,
) -> Response:
    form = _form(request, draft, clashes)
    known = {"file_name": "", "at": ""} | told
    status = 422 if faults or form.count else 200
    return page(request, "document_new", status, kind=kind, form=form, faults=faults or [], **known)


async def make(request: Request) -> Response:
    """Keep a document that was typed in from nothing."""
    kind = request.path_params["kind"]
    if kind not in TYPED_IN:
        raise NotHere(sentences.PAGE_NO_DOCUMENT)
    pairs = await fields(request)
    given, draft = dict(pairs), _draft(kind, pairs)
    name = given.get("file-name", "").strip()
    if at := _rows(draft, given.get("do", "")):
        return _new(request, kind, draft, file_name=name, at=at)
    shelf: Shelf = request.app.state.shelf
    clashes = await run_in_threadpool(_clashes, shelf, kind, None, draft)
    try:
        path = shelf.free_path(kind, name)
        if clashes:
            return _new(request, kind, draft, clashes, file_name=name)
        document: Document = draft.model.model_validate(draft.data())
        await run_in_threadpool(shelf.keep, path, document_text(document))
    except BadInput as error:
        return _new(request, kind, draft, clashes, faults_of(error), file_name=name)
    return see(f"/documents/{kind}/{name}?saved=1")


async def checked(request: Request) -> Response:
    """What is wrong with a text, or with each field of a form, while it is typed."""
    kind = request.path_params["kind"]
    if kind not in KINDS:
        return JSONResponse([], 404)
    shelf: Shelf = request.app.state.shelf
    pairs = await fields(request)
    given = dict(pairs)
    if "text" in given:
        return JSONResponse(await run_in_threadpool(faults_in, shelf, kind, given["text"]))
    draft = _draft(kind, pairs)
    entry = shelf.entry(kind, given.get("entry", ""))
    clashes = await run_in_threadpool(_clashes, shelf, kind, entry, draft)
    return JSONResponse(await run_in_threadpool(faults_by_name, draft, clashes))


ROUTES = [
    Route("/documents/{kind}/check", checked, methods=["POST"]),
    Route("/documents/{kind}/{name}", save, methods=["POST"]),
    Route("/new/{kind}", blank, methods=["GET"]),
    Route("/new/{kind}", make, methods=["POST"]),
]
