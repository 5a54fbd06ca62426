"""A server that may be killed: whoever is killed is succeeded, on the same address and the same book. Started by a test.

Everything is imported once; each successor is a fork, so that fifty lives take seconds. A line per life: its process id.
"""

from __future__ import annotations

import os
import socket
import sys

import uvicorn

from firstsheet.book.store import Book
from firstsheet.web.app import create_app


def live(path: str, listening: socket.socket) -> None:
    app = create_app(Book.open(path))
    uvicorn.Server(uvicorn.Config(app, log_level="error", access_log=False)).run(sockets=[listening])


def main(path: str) -> None:
    listening = socket.socket()
    listening.bind(("127.0.0.1", 0))
    listening.listen(16)
    print(listening.getsockname()[1], flush=True)
    while True:
        child = os.fork()
        if child == 0:
            live(path, listening)
            os._exit(0)
        print(child, flush=True)
        os.waitpid(child, 0)


if __name__ == "__main__":
    main(sys.argv[1])
