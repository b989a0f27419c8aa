"""The page's server: one program on this computer, one page for everybody who looks."""

from __future__ import annotations

import asyncio
import multiprocessing
import os
import socket
from collections.abc import AsyncIterator, Callable
from concurrent.futures import ProcessPoolExecutor
from contextlib import asynccontextmanager
from dataclasses import dataclass, field
from functools import cache
from pathlib import Path

from starlette.applications import Starlette
from starlette.exceptions import HTTPException
from starlette.middleware import Middleware
from starlette.requests import Request
from starlette.responses import Response
from starlette.routing import Mount, Route
from starlette.staticfiles import StaticFiles

from heatwright import sentences
from heatwright.errors import BadInput, Fault
from heatwright.page import (
    bench_view,
    coach_view,
    documents_view,
    form_view,
    learn_view,
    lesson_view,
    runs_view,
)
from heatwright.page.desk import Desk
from heatwright.page.guard import Guard
from heatwright.page.rendering import HERE, NotHere, page
from heatwright.page.shelf import Shelf

LOOPBACK, EVERYWHERE = "127.0.0.1", "0.0.0.0"
PORT = 8617
HEARTBEAT_S = 1.0


@dataclass(frozen=True)
class Setting:
    """How a page is served. ``first`` fills the form until a person does."""

    out: Path = Path("runs")
    own: Path = Path("documents")
    port: int = PORT
    lan: bool = False
    speed: float = 1.0
    first: dict[str, str] = field(default_factory=dict)


def application(setting: Setting, token: str = "") -> Starlette:
    """The whole page; ``token`` is asked for with ``setting.lan``."""
    app = Starlette(
        routes=[
            *bench_view.ROUTES,
            *documents_view.ROUTES,
            *form_view.ROUTES,
            *runs_view.ROUTES,
            *lesson_view.ROUTES,
            *learn_view.ROUTES,
            *coach_view.ROUTES,
            Route("/about", about),
            Route("/chart.js", chart_script),
            Route("/chart.css", chart_style),
            Mount("/static", StaticFiles(directory=HERE / "static")),
        ],
        middleware=[Middleware(Guard, lan=setting.lan, token=token)],
        exception_handlers={404: _no_page, 405: _no_page},
        lifespan=_lives,
    )
    app.state.desk = Desk(setting.out, setting.speed, setting.lan)
    app.state.shelf = Shelf(setting.own)
    app.state.first = dict(setting.first)
    app.state.lessons = {}
    # what was typed last on the pages of the source and of the coach
    app.state.learning = {key: setting.first[key] for key in ("on", "seed") if key in setting.first}
    app.state.coaching = {}
    app.state.sensor_checked = False
    return app


@asynccontextmanager
async def _lives(app: Starlette) -> AsyncIterator[None]:
    desk: Desk = app.state.desk
    spawn = multiprocessing.get_context("spawn")
    app.state.computes = ProcessPoolExecutor(1, mp_context=spawn, initializer=_yields)
    app.state.computes.submit(os.getpid)
    beats = asyncio.create_task(_beat(desk))
    yield
    beats.cancel()
    desk.close()
    app.state.computes.shutdown(wait=False, cancel_futures=True)


def _yields() -> None:
    """What judges and draws lets the page and the run go first."""
    os.nice(5)


async def _beat(desk: Desk) -> None:
    """So that a page can tell a dead link from a quiet one."""
    while True:
        await asyncio.sleep(HEARTBEAT_S)
        desk.feed.tell({"beat": True})


def _no_page(request: Request, error: Exception) -> Response:
    """An address that is none, or one that a form is sent to: STOP stands there too."""
    status = error.status_code if isinstance(error, HTTPException) else 404
    why = error.detail if isinstance(error, NotHere) else sentences.PAGE_NO_PAGE
    return page(request, "refused", status, why=why)


def about(request: Request) -> Response:
    return page(request, "about", licence=_chart_licence())


@cache
def _chart_licence() -> str:
    from heatwright.reporting.html import PARTS

    return (PARTS / "uplot-licence.txt").read_text(encoding="utf-8")


def chart_script(request: Request) -> Response:
    from youplot import vendor

    return Response(vendor.uplot_js(), media_type="text/javascript")


def chart_style(request: Request) -> Response:
    from youplot import vendor

    return Response(vendor.uplot_css(), media_type="text/css")


def serve(setting: Setting, token: str, ready: Callable[[str], None]) -> None:
    """Serve until Ctrl-C; ``ready`` is told the address. Raises `BadInput` where it's taken."""
    import uvicorn

    listener = _listener(setting)
    port = listener.getsockname()[1]
    config = uvicorn.Config(
        application(setting, token),
        log_level="error",
        ws="websockets-sansio",
        ws_max_queue=8,
        # a line here costs less than squeezing it, twenty times over
        ws_per_message_deflate=False,
        timeout_graceful_shutdown=2,
        lifespan="on",
    )
    ready(_address(setting, port, token))
    uvicorn.Server(config).run([listener])


def _listener(setting: Setting) -> socket.socket:
    host = EVERYWHERE if setting.lan else LOOPBACK
    listener = socket.socket()
    listener.setsockopt(socket.SOL_SOCKET, socket.SO_REUSEADDR, 1)
    try:
        listener.bind((host, setting.port))
        listener.listen(128)
    except OSError as error:
        listener.close()
        fault = Fault(
            sentences.PAGE_PORT_TAKEN,
            f"--http-port {setting.port}",
            str(error.strerror),
            cure=sentences.PAGE_PORT_CURE,
        )
        raise BadInput(fault) from error
    return listener


def _address(setting: Setting, port: int, token: str) -> str:
    if not setting.lan:
        return f"http://{LOOPBACK}:{port}/"
    return f"http://{_own_address()}:{port}/?token={token}"


def _own_address() -> str:
    """This computer's address on the way out; nothing is sent to find it."""
    with socket.socket(socket.AF_INET, socket.SOCK_DGRAM) as probe:
        try:
            probe.connect(("192.0.2.1", 9))
        except OSError:
            return LOOPBACK
        return str(probe.getsockname()[0])
