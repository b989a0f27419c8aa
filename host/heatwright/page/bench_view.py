"""Before and during: choosing, planning, arming in two steps, the run itself, STOP."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path
from typing import Any

from starlette.requests import Request
from starlette.responses import Response
from starlette.routing import Route, WebSocketRoute
from starlette.websockets import WebSocket, WebSocketDisconnect

from heatwright import sentences
from heatwright.documents import library
from heatwright.page.desk import CHOOSE, SPEEDS, Desk
from heatwright.page.lessons import better_plans, plan_path
from heatwright.page.rendering import form, page, see
from heatwright.page.shelf import Shelf
from heatwright.running.job import BEADS, Asked

MARKS = {"mark", "first", "last", "unmark", "not_melted"}
# What a person who watches a simulated oven may want to see happen.
BREAKABLE = tuple(name for name, _ in sentences.PAGE["breakable"])


async def bench(request: Request) -> Response:
    desk: Desk = request.app.state.desk
    if desk.home != "/":
        return see(desk.home)
    return page(request, "bench", **(_choices(request) if desk.phase == CHOOSE else {}))


def _choices(request: Request) -> dict[str, Any]:
    """What can be chosen, and what is chosen until the person chooses."""
    shelf: Shelf = request.app.state.shelf
    return {
        "choices": {kind: shelf.names(kind) for kind in ("board", "paste", "source", "profile")},
        "first": request.app.state.first,
        "beads": BEADS,
        "plans": better_plans(request.app.state.desk.out),
        "ports": [f"sim:{name}" for name in library.shipped("source")],
    }


async def plan(request: Request) -> Response:
    desk: Desk = request.app.state.desk
    if not desk.is_busy:
        request.app.state.first = given = await form(request)
        plan_at = plan_path(desk.out, given.get("plan", ""))
        desk.plan(replace(asked_for(given, request.app.state.shelf), **_given(plan_at)))
    return see("/")


def _given(plan_at: Path | None) -> dict[str, Any]:
    """A plan that is there already needs no profile."""
    return {"plan": plan_at, "profile": None} if plan_at else {}


def asked_for(given: dict[str, str], shelf: Shelf) -> Asked:
    """The options of ``run`` from the fields of the form; what is left empty is left to it."""

    def named(kind: str) -> str | None:
        return shelf.word(kind, given[kind]) if given.get(kind) else None

    return Asked(
        on=given.get("on", "").strip(),
        profile=named("profile"),
        source=named("source"),
        sensor=given["sensor"] if given.get("sensor") in BEADS else BEADS[0],
        paste=named("paste") or "sac305",
        board=named("board"),
        seed=int(given["seed"]) if given.get("seed", "").isdecimal() else 1,
    )


async def arm(request: Request) -> Response:
    request.app.state.desk.arm()
    return see(request.app.state.desk.home)


async def start(request: Request) -> Response:
    request.app.state.desk.start()
    return see(request.app.state.desk.home)


async def stop(request: Request) -> Response:
    desk: Desk = request.app.state.desk
    home = desk.home
    desk.stop()
    return see(home)


async def leave(request: Request) -> Response:
    desk: Desk = request.app.state.desk
    home = desk.home
    desk.leave()
    return see(home)


async def clear(request: Request) -> Response:
    request.app.state.desk.clear()
    return see(request.app.state.desk.home)


async def mark(request: Request) -> Response:
    verb = request.path_params["verb"]
    if verb in MARKS or verb == "here":
        request.app.state.desk.order("start" if verb == "here" else verb)
    return see(request.app.state.desk.home)


async def speed(request: Request) -> Response:
    given = (await form(request)).get("speed", "")
    if given.isdecimal() and int(given) in SPEEDS:
        request.app.state.desk.set_speed(float(given))
    return see(request.app.state.desk.home)


async def break_it(request: Request) -> Response:
    name = (await form(request)).get("fault", "")
    if name in BREAKABLE:
        request.app.state.desk.order("break", name)
    return see(request.app.state.desk.home)


async def live(socket: WebSocket) -> None:
    """Everything that changes, as it changes; a heartbeat where nothing does."""
    desk: Desk = socket.app.state.desk
    await socket.accept()
    client = desk.feed.join()
    try:
        while True:
            await socket.send_text(await client.next())
    except (WebSocketDisconnect, RuntimeError):
        # the page was closed
        pass
    finally:
        desk.feed.leave(client)


ROUTES = [
    Route("/", bench),
    Route("/plan", plan, methods=["POST"]),
    Route("/arm", arm, methods=["POST"]),
    Route("/start", start, methods=["POST"]),
    Route("/stop", stop, methods=["POST"]),
    Route("/leave", leave, methods=["POST"]),
    Route("/clear", clear, methods=["POST"]),
    Route("/melt/{verb}", mark, methods=["POST"]),
    Route("/speed", speed, methods=["POST"]),
    Route("/break", break_it, methods=["POST"]),
    WebSocketRoute("/live", live),
]
