"""The server is killed fifty times while a phone hands in its marks: what was acknowledged is in the book, once."""

from __future__ import annotations

import http.client
import json
import os
import random
import signal
import subprocess
import sys
import threading
import time
from pathlib import Path

import pytest

from firstsheet.acts import expose
from firstsheet.acts.sheet import sheet
from firstsheet.book.store import Book

KILLS = 50
MORTAL = Path(__file__).with_name("mortal.py")
HERE = {"X-Firstsheet": "1", "Content-Type": "application/json"}


def hand_in(port: int, code: str, marks: list[dict[str, object]]) -> list[str]:
    """What the server acknowledged; nothing where it died meanwhile."""
    asking = http.client.HTTPConnection("127.0.0.1", port, timeout=5)
    try:
        asking.request("POST", f"/api/sheets/{code}/marks", json.dumps({"marks": marks}), HERE)
        answer = asking.getresponse()
        return json.loads(answer.read())["kept"] if answer.status == 200 else []
    except (OSError, http.client.HTTPException):
        return []
    finally:
        asking.close()


@pytest.mark.skipif(not hasattr(os, "fork"), reason="needs fork")
def test_fifty_kills_lose_nothing_and_double_nothing(said, tmp_path):
    code = expose.keep(said).code
    expose.expose(said, code)
    said.close()
    path = tmp_path / "book.sqlite"
    chance = random.Random(11)
    server = subprocess.Popen([sys.executable, str(MORTAL), str(path)], stdout=subprocess.PIPE, text=True)
    assert server.stdout is not None
    port, lives = int(server.stdout.readline()), []
    done = threading.Event()

    def kill_them() -> None:
        assert server.stdout is not None
        for _ in range(KILLS):
            lives.append(int(server.stdout.readline()))
            time.sleep(chance.uniform(0.05, 0.35))
            os.kill(lives[-1], signal.SIGKILL)
        lives.append(int(server.stdout.readline()))
        done.set()

    killer = threading.Thread(target=kill_them, daemon=True)
    killer.start()
    acknowledged: set[str] = set()
    waiting: list[dict[str, object]] = []
    made = unheard = 0
    while not done.is_set() or waiting:
        for _ in range(chance.randint(1, 4) if not done.is_set() else 0):
            kind = "begun" if made == 0 else chance.choice(["lifted", "taken_back"])
            waiting.append(
                {"id": f"mark-{made:05d}", "kind": kind, "step": "", "elapsed_s": made / 10, "wall_ms": 1.77e12 + made}
            )
            made += 1
        kept = hand_in(port, code, waiting[:400])
        unheard += not kept
        acknowledged |= set(kept)
        waiting = [m for m in waiting if m["id"] not in acknowledged]
    server.kill()  # first, or it would raise one more successor
    server.wait()
    os.kill(lives[-1], signal.SIGKILL)
    with Book.open(path) as after:
        ids = [m["id"] for m in sheet(after, code).marks if str(m["id"]).startswith("mark-")]
    assert len(lives) == KILLS + 1
    assert unheard > 0  # some kills did fall between asking and answer
    assert len(ids) == len(set(ids)) == made
    assert acknowledged == set(ids)
