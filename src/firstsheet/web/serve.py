"""Serve a book on this machine, or, when asked, to phones on the same network."""

from __future__ import annotations

import os
import socket
from typing import TYPE_CHECKING

from firstsheet.refusal import Refusal

if TYPE_CHECKING:
    from firstsheet.book.store import Book

PORT = 8765
UNROUTED = (
    "192.0.2.1",
    9,
)  # documentation address [RFC-5737]: a UDP socket to it finds our own address and sends nothing


def serve(
    book: Book | str | os.PathLike[str] | None, host: str = "127.0.0.1", port: int = PORT, lan: bool = False
) -> None:
    """Serve until interrupted. `lan` listens on the network and prints the address, a one-time code and its QR picture.

    Raises Refusal where another address than loopback is asked for without `lan`, or the port is taken.
    """
    import uvicorn

    from firstsheet.web.app import LOOPBACK_HOSTS, create_app
    from firstsheet.web.entry import new_code
    from firstsheet.web.guard import loopback

    if not lan and host != "localhost" and not loopback(host):
        raise Refusal.one(
            "host", host, "127.0.0.1 unless the network is asked for.", "Add --lan: it asks each phone for a code."
        )
    code, hosts, address = None, set(LOOPBACK_HOSTS), ""
    if lan:
        here = lan_address() if loopback(host) or host in ("0.0.0.0", "::", "localhost") else host
        host = "0.0.0.0" if loopback(host) or host == "localhost" else host
        code, address = new_code(), f"http://{here}:{port}"
        hosts.add(here)
    listening = _listen(host, port)
    # Blocks this large go back to the system when a picture is done with; smaller ones stay with each thread that read one.
    os.environ.setdefault("PILLOW_BLOCK_SIZE", "64m")
    app = create_app(book, lan_code=code, allowed_hosts=hosts, address=address)
    print(_greeting(port, address, code), flush=True)
    # proxy headers stay off: who is loopback must not be said by a header
    config = uvicorn.Config(
        app,
        log_level="warning",
        proxy_headers=False,
        server_header=False,
        access_log=False,
        timeout_graceful_shutdown=3,
    )
    try:
        uvicorn.Server(config).run(sockets=[listening])
    finally:
        listening.close()


def lan_address() -> str:
    """This machine's address on its network; Refusal if it is on none."""
    with socket.socket(socket.AF_INET, socket.SOCK_DGRAM) as s:
        try:
            s.connect(UNROUTED)
            return str(s.getsockname()[0])
        except OSError as error:
            raise Refusal.one("lan", "", "A network.", "Join one first, or name the address with --host.") from error


def _listen(host: str, port: int) -> socket.socket:
    family = socket.AF_INET6 if ":" in host else socket.AF_INET
    # The protocol is named, or asyncio leaves each answer 40 ms to Nagle.
    s = socket.socket(family, socket.SOCK_STREAM, socket.IPPROTO_TCP)
    try:
        s.setsockopt(socket.SOL_SOCKET, socket.SO_REUSEADDR, 1)
        s.bind((host, port))
        s.listen(128)
    except OSError as error:
        s.close()
        hint = "Another program has it, or it is not this machine’s. Try another --port."
        raise Refusal.one("port", f"{host}:{port}", "An address that is free.", hint, "busy") from error
    return s


def _greeting(port: int, address: str, code: str | None) -> str:
    lines = [f"firstsheet is at http://127.0.0.1:{port}  (Ctrl-C ends it)"]
    if code:
        import io

        import segno

        url = f"{address}/in?code={code}"
        out = io.StringIO()
        segno.make(url, error="m").terminal(out, compact=True)
        lines += [
            "",
            f"A phone on this network opens  {url}",
            f"This code works once. Another: http://127.0.0.1:{port}/link",
            out.getvalue(),
        ]
    return "\n".join(lines)
