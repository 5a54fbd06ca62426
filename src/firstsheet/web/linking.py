"""The light a device stands in, and how a phone is let in."""

from __future__ import annotations

import io
from typing import Annotated

from fastapi import APIRouter, Depends, Request, Response

from firstsheet.refusal import Refusal
from firstsheet.web import bodies, desk
from firstsheet.web.bodies import Sent
from firstsheet.web.entry import COOKIE, Entry

router = APIRouter(include_in_schema=False)
Form = Annotated[Sent, Depends(bodies.form)]
YEAR_S = 365 * 86400


@router.get("/light")
def light(request: Request) -> Response:
    """Choose a light; with `to` it is kept for this device. `back` is a page of ours."""
    q = request.query_params
    back = q.get("back", "/")
    if not back.startswith("/") or back.startswith(("//", "/\\")) or not back.isprintable() or not back.isascii():
        back = "/"
    to = q.get("to")
    if to not in desk.LIGHTS:
        return desk.page(request, "light.html", "", back=back)
    answer = desk.onward(back)
    answer.set_cookie("light", to, max_age=YEAR_S, samesite="strict", httponly=True)
    return answer


def _entry(request: Request) -> Entry:
    entry: Entry = request.app.state.entry
    return entry


@router.get("/link")
def link(request: Request) -> Response:
    """Only the computer itself sees this page; the guard has seen to that."""
    entry = _entry(request)
    code = entry.code()
    url = f"{entry.address}/in?code={code}" if code else ""
    return desk.page(request, "link.html", "", open=entry.open, url=url, qr=_qr(url) if url else "")


@router.post("/link")
def renew(request: Request, sent: Form) -> Response:
    entry = _entry(request)
    if sent.fields.get("do") == "forget":
        entry.forget()
    elif entry.open:
        entry.renew()
    return desk.onward("/link")


@router.get("/in")
def at_the_door(request: Request) -> Response:
    """One touch more: a preview of the address must not use the code up."""
    return desk.page(request, "in.html", "", code=request.query_params.get("code", "")[:64])


@router.post("/in")
def come_in(request: Request, sent: Form) -> Response:
    if not _entry(request).open:
        raise Refusal.one("code", "", "This program serves this computer alone.", "Start it with --lan.")
    token = _entry(request).exchange(sent.fields.get("code", ""))
    answer = desk.onward("/")
    answer.set_cookie(
        COOKIE, token, max_age=YEAR_S, httponly=True, samesite="strict", secure=request.url.scheme == "https"
    )
    return answer


def _qr(url: str) -> str:
    import segno

    out = io.BytesIO()
    segno.make(url, error="m").save(
        out,
        kind="svg",
        scale=6,
        border=4,
        xmldecl=False,
        svgns=True,
        dark="#000",
        light="#fff",
        svgclass="qr",
        lineclass=None,
    )
    return out.getvalue().decode()
