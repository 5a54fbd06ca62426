"""The web face: one book, its pages and its JSON, behind one guard."""

from __future__ import annotations

import os
from collections.abc import Collection
from typing import TYPE_CHECKING

from fastapi import FastAPI, Request, Response
from fastapi.responses import FileResponse, JSONResponse
from fastapi.staticfiles import StaticFiles
from starlette.exceptions import HTTPException

from firstsheet.book.store import Book
from firstsheet.refusal import Refusal
from firstsheet.web import (
    ahead,
    api,
    api_looking,
    badday,
    card,
    composing,
    contrast,
    day,
    desk,
    inside,
    knowing,
    lensroom,
    lightcolour,
    linking,
    mixing,
    notebook,
    outside,
    packing,
    printing,
    readying,
    reflecting,
    scenerange,
    scraps,
    several,
    strips,
    striptrack,
    versions,
    ways,
    worthing,
)
from firstsheet.web.entry import Entry
from firstsheet.web.guard import Guard

if TYPE_CHECKING:
    from pathlib import Path

LOOPBACK_HOSTS = ("127.0.0.1", "localhost", "::1")


def create_app(
    book: Book | str | os.PathLike[str] | None = None,
    *,
    lan_code: str | None = None,
    allowed_hosts: Collection[str] = LOOPBACK_HOSTS,
    address: str = "",
) -> FastAPI:
    """The application on one book (opened here where a path is given).

    lan_code       the first one-time code for a device on the network; None serves this machine alone
    allowed_hosts  names and addresses by which it may be called
    address        what a phone is told to open, "http://192.168.1.20:8765"
    """
    opened = book if isinstance(book, Book) else Book.open(book)
    app = FastAPI(title="firstsheet", docs_url=None, redoc_url=None, openapi_url="/api/openapi.json")
    app.state.book = opened
    app.state.changes = {}
    app.state.entry = Entry(opened, lan_code, address)
    for router in (
        api.router,
        api_looking.router,
        outside.router,
        knowing.router,
        notebook.router,
        striptrack.router,
        card.router,
        inside.router,
        linking.router,
        strips.router,
    ):
        app.include_router(router)
    app.include_router(versions.router)
    app.include_router(ahead.router)
    app.include_router(ahead.api)
    app.include_router(composing.router)
    app.include_router(badday.router)
    app.include_router(worthing.router)
    app.include_router(scraps.router)
    app.include_router(mixing.router)
    app.include_router(several.router)
    app.include_router(ways.router)
    app.include_router(day.router)
    app.include_router(contrast.router)
    app.include_router(reflecting.router)
    app.include_router(printing.router)
    app.include_router(scenerange.router)
    app.include_router(lensroom.router)
    app.include_router(lightcolour.router)
    app.include_router(packing.router)
    app.include_router(lensroom.api)
    app.include_router(readying.router)
    app.include_router(readying.api)
    app.mount("/static", StaticFiles(directory=desk.HERE / "static"), name="static")
    app.add_api_route("/worker.js", _worker, include_in_schema=False)
    app.add_api_route("/favicon.ico", _nothing, include_in_schema=False)
    app.add_exception_handler(Refusal, _refused)
    app.add_exception_handler(HTTPException, _http)
    app.add_middleware(Guard, entry=app.state.entry, hosts=allowed_hosts)
    return app


def _worker() -> Response:
    path: Path = desk.HERE / "static" / "worker.js"
    return FileResponse(path, media_type="text/javascript", headers={"Service-Worker-Allowed": "/"})


def _nothing() -> Response:
    return Response(status_code=204)


def _refused(request: Request, error: Exception) -> Response:
    assert isinstance(error, Refusal)
    if request.url.path.startswith("/api/"):
        return JSONResponse(error.to_json(), status_code=desk.status_of(error))
    return desk.refused_page(request, error)


def _http(request: Request, error: Exception) -> Response:
    """What the routing itself refuses: no such page, or not in this way."""
    assert isinstance(error, HTTPException)
    words = "There is no such page." if error.status_code == 404 else "It is not asked in this way."
    refusal = Refusal.one("page", request.url.path[:60], words, "Begin at one of the five places.", "missing")
    if request.url.path.startswith("/api/"):
        return JSONResponse(refusal.to_json(), status_code=error.status_code, headers=error.headers)
    answer = desk.refused_page(request, refusal)
    answer.status_code = error.status_code
    return answer
