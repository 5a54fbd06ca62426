"""How long a plan takes once the page is served: GET /api/plan over loopback, beside an empty request.

python bench/warm_plan.py
"""

from __future__ import annotations

import argparse
import http.client
import os
import signal
import socket
import subprocess
import sys
import tempfile
import time
from pathlib import Path

from full_book import full_book

SERVE = "import sys; from firstsheet.web.serve import serve; serve(sys.argv[1], port=int(sys.argv[2]))"
EMPTY = "/favicon.ico"  # answered with 204 and nothing, through the same guard


def free_port() -> int:
    with socket.socket() as s:
        s.bind(("127.0.0.1", 0))
        return int(s.getsockname()[1])


def wait_for(port: int, server: subprocess.Popen[bytes]) -> None:
    until = time.monotonic() + 20
    while time.monotonic() < until and server.poll() is None:
        try:
            socket.create_connection(("127.0.0.1", port), timeout=0.2).close()
            return
        except OSError:
            time.sleep(0.05)
    sys.exit("The server did not come up.")


def times_ms(port: int, path: str, count: int, expect: int) -> list[float]:
    """Milliseconds of each of `count` requests one after another on one connection, after 20 that warm it; sorted."""
    connection = http.client.HTTPConnection("127.0.0.1", port, timeout=10)
    took = []
    for i in range(count + 20):
        began = time.perf_counter()
        connection.request("GET", path)
        answer = connection.getresponse()
        answer.read()
        if answer.status != expect:
            sys.exit(f"GET {path}: {answer.status}")
        if i >= 20:
            took.append((time.perf_counter() - began) * 1e3)
    connection.close()
    return sorted(took)


def main() -> None:
    ask = argparse.ArgumentParser(description=__doc__)
    ask.add_argument("--count", type=int, default=2000)
    ask.add_argument("--sheets", type=int, default=200)
    given = ask.parse_args()
    with tempfile.TemporaryDirectory() as folder:
        path = Path(folder) / "book.sqlite"
        full_book(path, given.sheets)
        port = free_port()
        env = dict(os.environ)
        server = subprocess.Popen(
            [sys.executable, "-c", SERVE, str(path), str(port)], env=env, stdout=subprocess.DEVNULL
        )
        try:
            wait_for(port, server)
            empty = times_ms(port, EMPTY, given.count, 204)
            plan = times_ms(port, "/api/plan", given.count, 200)
        finally:
            server.send_signal(signal.SIGTERM)
            server.wait(timeout=10)
    print(f"a book of {given.sheets} judged sheets, {given.count} requests one after another")
    print(f"{'':16s}p50         p99")
    for name, took in (("empty request", empty), ("GET /api/plan", plan)):
        print(f"{name:14s}{took[len(took) // 2]:7.2f} ms  {took[int(len(took) * 0.99)]:7.2f} ms")
    print(
        f"ratio         {plan[len(plan) // 2] / empty[len(empty) // 2]:7.1f} ×   {plan[int(len(plan) * 0.99)] / empty[int(len(empty) * 0.99)]:7.1f} ×"
    )


if __name__ == "__main__":
    main()
