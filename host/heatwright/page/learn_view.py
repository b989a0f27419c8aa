"""Know your source: sensor checks, the measuring run, see-it-melt, keeping what was learnt."""

from __future__ import annotations

from pathlib import Path
from typing import Any, get_args

from starlette.concurrency import run_in_threadpool
from starlette.requests import Request
from starlette.responses import FileResponse, Response
from starlette.routing import Route

from heatwright import sentences
from heatwright.documents import library, load_source
from heatwright.documents.reading import candidate_path
from heatwright.documents.source import Kind
from heatwright.errors import BadInput, Fault
from heatwright.measuring.candidate import accept
from heatwright.page.desk import CHOOSE, Desk, Errand
from heatwright.page.faults import faults_of
from heatwright.page.guided_work import Learning, learn
from heatwright.page.rendering import NotHere, form, page, see
from heatwright.page.sensor_form import FIELDS, checked
from heatwright.page.shelf import NAME, Shelf
from heatwright.running.guided import Guided
from heatwright.running.job import BEADS

HOME = "/source"
# Fast enough a simulation to watch, slow enough to answer within its quarter of a minute.
ANSWERABLE = 5.0


async def steps(request: Request) -> Response:
    return await _steps(request, {}, [], [])


async def _steps(
    request: Request,
    typed: dict[str, str],
    said: list[str],
    faults: list[dict[str, str]],
    status: int = 200,
) -> Response:
    """All steps; or, where one of them is under way, that one. ``said`` of the sensor."""
    desk: Desk = request.app.state.desk
    if desk.home == HOME and desk.phase != CHOOSE:
        return page(request, "learn_run", waiting=await run_in_threadpool(_waiting, request))
    told = await run_in_threadpool(_at_hand, request)
    asked = request.app.state.learning | typed
    return page(request, "learn", status, asked=asked, said=said, faults=faults, **told)


def _at_hand(request: Request) -> dict[str, Any]:
    """What can be chosen, what waits to be kept, and which step is next."""
    shelf: Shelf = request.app.state.shelf
    mine = [entry for entry in shelf.entries("source") if entry.own]
    waiting = _waiting(request)
    return {
        "kinds": get_args(Kind),
        "beads": BEADS,
        "ports": [f"sim:{name}" for name in library.shipped("source")],
        "pastes": shelf.names("paste"),
        "sensor_fields": FIELDS,
        "mine": mine,
        "waiting": waiting,
        "next_step": _next_step(bool(mine), bool(waiting), request.app.state.sensor_checked),
    }


def _next_step(has_own: bool, waits: bool, is_checked: bool) -> int:
    """The one step to take now: check, measure, keep, see it melt."""
    if waits:
        return 3
    if has_own:
        return 4
    return 2 if is_checked else 1


def _waiting(request: Request) -> list[str]:
    """The names of the sources that were learnt and not yet kept."""
    shelf: Shelf = request.app.state.shelf
    stems = [path.stem for path in sorted(shelf.own.glob("source-*.candidate.toml"))]
    names = [stem.removeprefix("source-").removesuffix(".candidate") for stem in stems]
    return [name for name in names if NAME.fullmatch(name)]


async def check_sensor(request: Request) -> Response:
    """What the readings in ice water, in boiling water and side by side say."""
    given = await form(request)
    try:
        said = checked(given)
    except BadInput as error:
        return await _steps(request, given, [], faults_of(error), 422)
    request.app.state.sensor_checked = True
    return await _steps(request, given, said, [])


async def begin(request: Request) -> Response:
    """Send the process that guides the run; it waits for the two steps before it heats."""
    desk: Desk = request.app.state.desk
    given = await form(request)
    request.app.state.learning |= given
    if desk.is_busy:
        return see(desk.home)
    try:
        errand = _errand(request, given)
    except BadInput as error:
        return await _steps(request, {}, [], faults_of(error), 422)
    desk.begin(errand)
    return see(HOME)


def _errand(request: Request, given: dict[str, str]) -> Errand:
    shelf: Shelf = request.app.state.shelf
    desk: Desk = request.app.state.desk
    name, kind = given.get("name", "").strip(), given.get("kind", "")
    at = _place(shelf, name, kind)
    guided = Guided(
        on=given.get("on", "").strip(),
        kind=kind,
        sensor=given["sensor"] if given.get("sensor") in BEADS else BEADS[0],
        seed=int(given["seed"]) if given.get("seed", "").isdecimal() else 1,
        paste=shelf.word("paste", given.get("paste") or "sac305"),
        set_up=str(at) if at.exists() else None,
    )
    learning = Learning(guided, name, at, "see_melt" in given)
    if learning.sees_melt:
        desk.speed = min(desk.speed, ANSWERABLE)
    return Errand(HOME, learn, (learning, desk.out, desk.speed, desk.far))


def _place(shelf: Shelf, name: str, kind: str) -> Path:
    """Where this source is kept. Raises `BadInput`."""
    if kind not in get_args(Kind):
        raise BadInput(Fault(sentences.WHICH_KIND, "", kind, ", ".join(get_args(Kind))))
    shelf.own.mkdir(parents=True, exist_ok=True)
    entry = shelf.entry("source", name)
    if entry and not entry.own:
        cure = sentences.PAGE_NAME_SHIPPED_CURE
        raise BadInput(Fault(sentences.PAGE_NAME_TAKEN, "", name, cure=cure))
    path = shelf.path_for("source", name)
    if entry and load_source(path).kind != kind:
        found, cure = load_source(path).kind, sentences.PAGE_OTHER_KIND_CURE
        raise BadInput(Fault(sentences.OTHER_SOURCE_KIND, str(path), found, kind, cure))
    return path


async def keep(request: Request) -> Response:
    """The candidate becomes the source."""
    name = (await form(request)).get("name", "")
    if name not in _waiting(request):
        raise NotHere(sentences.PAGE_NO_CANDIDATE)
    try:
        await run_in_threadpool(accept, request.app.state.shelf.path_for("source", name))
    except BadInput as error:
        return await _steps(request, {}, [], faults_of(error), 422)
    desk: Desk = request.app.state.desk
    if desk.home == HOME:
        desk.leave()
    return see(f"/documents/source/{name}?kept=1")


def picture(request: Request) -> Response:
    """Measured against predicted, of a candidate or of what was kept of it."""
    name = request.path_params["name"]
    shelf: Shelf = request.app.state.shelf
    at = shelf.own / f"source-{name}.toml"
    drawn = candidate_path(at).with_suffix(".png")
    if not NAME.fullmatch(name) or not drawn.is_file():
        raise NotHere(sentences.PAGE_NO_CANDIDATE)
    return FileResponse(drawn)


ROUTES = [
    Route(HOME, steps),
    Route("/source/sensor", check_sensor, methods=["POST"]),
    Route("/source/begin", begin, methods=["POST"]),
    Route("/source/keep", keep, methods=["POST"]),
    Route("/source/picture/{name}", picture),
]
