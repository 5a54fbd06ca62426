"""A mark that was acknowledged is in the book, whatever moment the program is killed at."""

from __future__ import annotations

import os
import random
import signal
import sqlite3
import time
from contextlib import closing
from pathlib import Path

import pytest

from firstsheet.book.store import Book

CUTS = 50
TOGETHER = 3


def deliver_for_ever(path: Path, life: int, out: int) -> None:
    with Book.open(path) as book:
        found = book.sheets(limit=1)
        sheet = found[0]["id"] if found else book.add_sheet(book.new_code(), {})
        n = 0
        while True:
            marks = [
                {"client_id": f"{life}-{n + i}", "kind": "tick", "wall": book.now(), "body": {"n": n + i}}
                for i in range(TOGETHER)
            ]
            told = book.add_marks(sheet, marks)
            os.write(out, "".join(f"{one}\n" for one in told.client_ids).encode())
            n += TOGETHER


def live_and_be_killed(path: Path, life: int, seconds: float) -> list[str]:
    """Another process, forked to start at once, killed after so many seconds; what it acknowledged."""
    reads, writes = os.pipe()
    child = os.fork()
    if child == 0:
        try:
            os.close(reads)
            deliver_for_ever(path, life, writes)
        finally:
            os._exit(1)
    os.close(writes)
    time.sleep(seconds)
    os.kill(child, signal.SIGKILL)
    with os.fdopen(reads, "rb") as pipe:
        said = pipe.read().decode()
    _, status = os.waitpid(child, 0)
    assert os.WIFSIGNALED(status), "the process ended by itself"
    return said.split("\n")[:-1]  # an acknowledgement cut in half was never heard


@pytest.mark.skipif(not hasattr(os, "fork"), reason="needs POSIX processes")
def test_every_acknowledged_mark_is_kept_through_fifty_kills(path: Path) -> None:
    rng = random.Random(20261125)
    Book.open(memory=True).close()  # loads the libraries once, before the forks
    acknowledged: list[str] = []
    for life in range(CUTS):
        # The first lives are cut while the book is being made; most while marks are being written.
        acknowledged += live_and_be_killed(path, life, rng.uniform(0.001, 0.02 if life < 10 else 0.15))
        with closing(sqlite3.connect(path)) as conn:
            assert conn.execute("PRAGMA integrity_check").fetchone() == ("ok",)
    assert len(acknowledged) > CUTS
    with Book.open(path) as book:
        kept = book.all_marks()
        by_id = {row["client_id"]: row for row in kept}
        assert len(by_id) == len(kept)
        assert set(acknowledged) <= set(by_id)
        assert all(row["body"] == {"n": int(row["client_id"].partition("-")[2])} for row in kept)
        # Each delivery whole or not at all: of every life, the first so many marks and no gap.
        for life in range(CUTS):
            numbers = [row["body"]["n"] for row in kept if row["client_id"].startswith(f"{life}-")]
            assert numbers == list(range(len(numbers)))
            assert len(numbers) % TOGETHER == 0
