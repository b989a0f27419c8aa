"""The coach: sand, hot plate, hot air, where a hand turns the heat and the page says when."""

from __future__ import annotations

from starlette.concurrency import run_in_threadpool
from starlette.requests import Request
from starlette.responses import Response
from starlette.routing import Route

from heatwright import sentences
from heatwright.coaching.outfit import BY_HAND
from heatwright.coaching.readings import typed_c
from heatwright.documents import Source, load_source
from heatwright.documents.source import STRUCTURE_OF
from heatwright.errors import BadInput, Fault
from heatwright.page.coach_work import Asked, coach
from heatwright.page.desk import CHOOSE, READY, RUNNING, Desk, Errand
from heatwright.page.faults import faults_of
from heatwright.page.rendering import form, page, see
from heatwright.page.shelf import Shelf

HOME = "/coach"
BEADS = ("board_sensor", "sensor")
# How readings come; the last one asks for a file or a port.
WAYS = ("practice", "typed", "none", "other")


async def shown(request: Request) -> Response:
    return await _shown(request, [])


async def _shown(request: Request, faults: list[dict[str, str]], status: int = 200) -> Response:
    """What is under way with the coach, else the choice."""
    desk: Desk = request.app.state.desk
    if desk.home == HOME and desk.phase != CHOOSE:
        return page(request, "coach_run", status, refused=faults)
    shelf: Shelf = request.app.state.shelf
    told = {
        "sources": await run_in_threadpool(_by_hand, shelf),
        "pastes": shelf.names("paste"),
        "boards": shelf.names("board"),
        "ways": WAYS,
        "beads": BEADS,
        "asked": request.app.state.coaching,
    }
    return page(request, "coach", status, faults=faults, **told)


def _by_hand(shelf: Shelf) -> list[tuple[str, str]]:
    """Name and knob of each source that a hand drives; one that can't be read is left out."""
    found = []
    for entry in shelf.entries("source"):
        try:
            source = load_source(entry.path)
        except BadInput:
            continue
        if source.kind in BY_HAND:
            found.append((entry.name, _knob(source)))
    return found


def _knob(source: Source) -> str:
    """What the hand changes, in words."""
    is_gun = STRUCTURE_OF[source.kind] == "jet"
    return str(sentences.PAGE["knobs"]["distance" if is_gun else source.knob])


async def prepare(request: Request) -> Response:
    """Send the process that coaches; it waits until the cautions are read."""
    desk: Desk = request.app.state.desk
    given = await form(request)
    request.app.state.coaching = given
    if desk.is_busy:
        return see(desk.home)
    try:
        desk.begin(_errand(request, given))
    except BadInput as error:
        return await _shown(request, faults_of(error), 422)
    return see(HOME)


def _errand(request: Request, given: dict[str, str]) -> Errand:
    shelf: Shelf = request.app.state.shelf
    desk: Desk = request.app.state.desk
    board = given.get("board")
    asked = Asked(
        source=shelf.word("source", given.get("source", "")),
        paste=shelf.word("paste", given.get("paste") or "sac305"),
        board=shelf.word("board", board) if board else None,
        bead=given["bead"] if given.get("bead") in BEADS else BEADS[0],
        sensor=_sensor(given),
        seed=int(given["seed"]) if given.get("seed", "").isdecimal() else 1,
    )
    return Errand(HOME, coach, (asked, desk.out, desk.speed))


def _sensor(given: dict[str, str]) -> str:
    """Where readings come from. Raises `BadInput` where a file or port is to be named."""
    way, where = given.get("way", ""), given.get("where", "").strip()
    if way in WAYS[:-1]:
        return way
    if not where:
        cure = sentences.PAGE_COACH_WHERE_CURE
        raise BadInput(Fault(sentences.PAGE_COACH_WHERE, cure=cure))
    return where


async def begin(request: Request) -> Response:
    """The cautions are read. Nothing heats by this: the heat is the person's own."""
    desk: Desk = request.app.state.desk
    if desk.home == HOME and desk.phase == READY:
        desk.arm()
        desk.start()
    return see(HOME)


async def typed(request: Request) -> Response:
    """A temperature that the person has read."""
    desk: Desk = request.app.state.desk
    text = (await form(request)).get("reading", "").strip()
    if typed_c(text) is None:
        fault = Fault(sentences.PAGE_NO_NUMBER, "", text, sentences.PAGE["reading_form"])
        return await _shown(request, [vars(fault)], 422)
    if desk.home == HOME and desk.phase == RUNNING:
        desk.order("typed", text)
    return see(HOME)


ROUTES = [
    Route(HOME, shown),
    Route("/coach/prepare", prepare, methods=["POST"]),
    Route("/coach/begin", begin, methods=["POST"]),
    Route("/coach/typed", typed, methods=["POST"]),
]
