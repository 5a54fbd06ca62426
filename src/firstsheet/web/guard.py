"""The outermost layer: who asks, from where, how much; and what every answer carries. Nothing inside can be
reached around it."""

from __future__ import annotations

import json
import logging
from collections.abc import Awaitable, Callable, Collection, MutableMapping
from html import escape
from http.cookies import CookieError, SimpleCookie
from ipaddress import ip_address
from typing import Any

from starlette.requests import ClientDisconnect

from firstsheet.refusal import Refusal
from firstsheet.web.entry import COOKIE, Entry

Scope = MutableMapping[str, Any]
Message = MutableMapping[str, Any]
Receive = Callable[[], Awaitable[Message]]
Send = Callable[[Message], Awaitable[None]]
App = Callable[[Scope, Receive, Send], Awaitable[None]]

LOG = logging.getLogger("firstsheet.web")
BODY_BYTES = 256 * 1024
PHOTO_BYTES = 40 * 1000 * 1000
PHOTO_BODY_BYTES = PHOTO_BYTES + 128 * 1024  # the picture and the form around it
NOTEBOOK_BYTES = 2_000_000
DRAIN_BYTES = 4 * PHOTO_BYTES  # a browser shows the answer only once it could send everything
CSP = (
    "default-src 'none'; script-src 'self'; style-src 'self'; img-src 'self' data: blob:; media-src 'self' blob:; "
    "connect-src 'self'; manifest-src 'self'; worker-src 'self'; form-action 'self'; base-uri 'none'; "
    "frame-ancestors 'none'"
)
HEADERS = {
    "content-security-policy": CSP,
    "x-content-type-options": "nosniff",
    # not no-referrer: with it a browser sends “Origin: null” for our own forms, and on a plain-HTTP network
    # there is no Sec-Fetch-Site to tell them from a stranger's
    "referrer-policy": "same-origin",
    "cross-origin-opener-policy": "same-origin",
    "cross-origin-resource-policy": "same-origin",
    "permissions-policy": "geolocation=(), microphone=(), payment=(), usb=()",
}


class TooLarge(Refusal):
    """More was sent than is taken here."""


class Guard:
    """ASGI middleware. Loopback needs nothing; others need the cookie. POST only from our own pages."""

    def __init__(self, app: App, entry: Entry, hosts: Collection[str]) -> None:
        self.app = app
        self.entry = entry
        self.hosts = {h.lower().strip("[]") for h in hosts}

    async def __call__(self, scope: Scope, receive: Receive, send: Send) -> None:
        if scope["type"] != "http":
            if scope["type"] == "lifespan":
                await self.app(scope, receive, send)
            return
        begun = False
        headers = {k.decode("latin-1").lower(): v.decode("latin-1") for k, v in scope["headers"]}
        path = str(scope["path"])
        asks_head = scope["method"] == "HEAD"

        async def sending(message: Message) -> None:
            nonlocal begun
            if message["type"] == "http.response.start":
                begun = True
                message["headers"] = _with_headers(message.get("headers", []), path)
            elif asks_head and message["type"] == "http.response.body":
                message = {**message, "body": b""}
            await send(message)

        refused = self._refused(scope, headers, path)
        if refused:
            await _answer(sending, path, *refused)
            return
        if asks_head:  # the same answer as to GET, without its body
            scope = {**scope, "method": "GET"}
        try:
            await self.app(scope, _counted(receive, _limit(path), headers.get("content-length")), sending)
        except ClientDisconnect:
            LOG.debug("%s %s: gone before all of it had come", scope["method"], path)  # nobody is there to be answered
        except Exception:
            LOG.exception("%s %s failed", scope["method"], path)
            if begun:
                raise
            words = "Something went wrong here. Nothing that was kept is lost; it was noted in the terminal."
            await _answer(sending, path, 500, words)

    def _refused(self, scope: Scope, headers: dict[str, str], path: str) -> tuple[int, str] | None:
        host = headers.get("host", "")
        if host_name(host) not in self.hosts:
            return 421, "This address is not one of this program's own."
        client = (scope.get("client") or ("", 0))[0]
        free = path in ("/in", "/favicon.ico") or path.startswith("/static/")
        if not loopback(client):
            if path.startswith("/link"):
                return 403, "Only the computer itself links a phone."
            if not free and not (self.entry.open and self.entry.knows(_cookie(headers.get("cookie", "")))):
                return 403, "This device is not linked. On the computer open “Link a phone” and read its code."
        if scope["method"] not in ("GET", "HEAD") and not _own_form(headers, host):
            return 403, "This came from another page than this program's own."
        if {".", ".."} & set(path.split("/")):  # the routing would send the asker on to some other page
            return 404, "There is no such page."
        return None


def loopback(client: str) -> bool:
    """Whether the client's address is this machine itself."""
    try:
        address = ip_address(client)
    except ValueError:
        return False
    mapped = getattr(address, "ipv4_mapped", None)
    return bool((mapped or address).is_loopback)


def host_name(host: str) -> str:
    """The name in a Host header, without its port, in small letters; "" for what is none."""
    host = host.strip().lower()
    if host.startswith("["):
        name, _, port = host[1:].partition("]")
        port = port.removeprefix(":")
    else:
        name, _, port = host.partition(":")
    return name if not port or port.isdigit() else ""


def _own_form(headers: dict[str, str], host: str) -> bool:
    """A page of another site can neither set our header nor hide where its form comes from."""
    site, origin = headers.get("sec-fetch-site"), headers.get("origin")
    if site is not None and site != "same-origin":
        return False
    if origin is not None and origin not in (f"http://{host}", f"https://{host}"):
        return False
    return headers.get("x-firstsheet") is not None or origin is not None or site is not None


def _cookie(text: str) -> str | None:
    try:
        found = SimpleCookie(text).get(COOKIE)
    except CookieError:
        return None
    return found.value if found else None


def _limit(path: str) -> int:
    with_photo = path in ("/photos", "/api/photos", "/strips", "/api/strips") or path.startswith("/bench/")
    with_photo = with_photo or (path.startswith("/api/sheets/") and path.endswith("/versions"))
    if path in ("/notebook", "/api/notebooks"):
        return NOTEBOOK_BYTES + BODY_BYTES
    return PHOTO_BODY_BYTES if with_photo else BODY_BYTES


def _counted(receive: Receive, limit: int, declared: str | None) -> Receive:
    """Count what comes in; past the limit the rest is thrown away as it comes and TooLarge raised at its end."""
    so_far = 0

    async def counting() -> Message:
        nonlocal so_far
        message = await receive()
        so_far += len(message.get("body", b""))
        if so_far <= limit:
            return message
        while message.get("more_body") and so_far < DRAIN_BYTES:
            message = await receive()
            so_far += len(message.get("body", b""))
        # a declared length need not be true, so what came is counted and what was declared only told
        size = int(declared) if declared and declared.isdigit() and len(declared) < 16 else so_far
        raise too_large(max(size, so_far), limit)

    return counting


def too_large(size: int, limit: int) -> TooLarge:
    if limit >= PHOTO_BYTES:
        told, name, unit, per, hint = (
            PHOTO_BYTES,
            "photo",
            "MB",
            1e6,
            "Send the picture as the phone made it, or smaller.",
        )
    elif limit > BODY_BYTES:
        told, name, unit, per, hint = NOTEBOOK_BYTES, "notebook", "MB", 1e6, "Bring it in year by year."
    else:
        told, name, unit, per, hint = limit, "body", "kB", 1e3, "Send less at once."
    refusal = TooLarge.one(name, f"{size / per:.0f} {unit}", f"At most {told / per:.0f} {unit}.", hint)
    return TooLarge(*refusal.problems)


def _with_headers(have: Any, path: str) -> list[tuple[bytes, bytes]]:
    out = [(bytes(k), bytes(v)) for k, v in have]
    names = {k.lower() for k, _ in out}
    more = dict(HEADERS)
    more["cache-control"] = "no-cache" if path.startswith("/static/") or path == "/worker.js" else "no-store"
    out += [(k.encode(), v.encode()) for k, v in more.items() if k.encode() not in names]
    return out


async def _answer(send: Send, path: str, status: int, words: str) -> None:
    if path.startswith("/api/"):
        kind, text = (
            "application/json",
            json.dumps({"refused": [{"where": "", "asked": "", "allowed": words, "try": ""}], "kind": "guard"}),
        )
    else:
        kind = "text/html; charset=utf-8"
        # black: nobody knows here which light this device stands in
        text = (
            '<!doctype html><html lang="en" data-light="red"><head><meta charset="utf-8"><title>Not here</title>'
            '<meta name="viewport" content="width=device-width, initial-scale=1">'
            '<link rel="stylesheet" href="/static/page.css"></head>'
            f'<body class="bare"><main><h1>Not here</h1><p>{escape(words)}</p></main></body></html>'
        )
    body = text.encode()
    head = [(b"content-type", kind.encode()), (b"content-length", str(len(body)).encode())]
    await send({"type": "http.response.start", "status": status, "headers": head})
    await send({"type": "http.response.body", "body": body})
