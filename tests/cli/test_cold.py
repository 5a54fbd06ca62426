"""A cold command is quick because it imports little. Each runs in a process of its own."""

from __future__ import annotations

import os
import subprocess
import sys
import time
from datetime import UTC, datetime
from pathlib import Path

import pytest

from firstsheet import Book, expose, judge, keep_plan, own, say

HEAVY = ("numpy", "PIL", "scipy", "sqlalchemy", "alembic", "fastapi", "starlette", "uvicorn", "jinja2", "rich")
LOOK = "import sys\nfrom firstsheet.cli.main import main\nended = main(sys.argv[1:])\nheavy = [m for m in {heavy!r} if m in sys.modules]\nprint('HEAVY', *heavy, file=sys.stderr)\nsys.exit(ended)"
SHEETS = 200


@pytest.fixture(scope="module")
def full(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """A book of 200 judged sheets."""
    path = tmp_path_factory.mktemp("full") / "book.sqlite"
    with Book.open(path, now=lambda: datetime.now(UTC)) as book, book.begin():
        own.add_camera(book, {"name": "boathouse", "focal": "600 mm", "f_number": "f/8", "coverage": "60°", "stops": "8 11 16 22 32",
                              "board_min": "610 mm", "board_max": "1200 mm", "length": "2.6 m", "width": "2.1 m", "height": "2.3 m"})  # fmt: skip
        own.add_box(book, {"name": "D", "paper": "enlarging", "size": "12x16 in", "sheets": "500"})
        own.add_developer(book, {"name": "coffee", "kind": "coffee"})
        own.add_meter(book, {"name": "mine", "kind": "hand"})
        say(book, {"light": "overcast", "subject": "3 m", "reading": "EV 11"})
        code = keep_plan(book).code
        expose(book, code)
        judge(book, code, {"border": "white", "seen": "a_little_dark"})
        first = book.get_sheet(code)
        marks = book.marks(first["id"])
        for _ in range(SHEETS - 1):
            number = book.add_sheet(book.new_code(), first["body"])
            kept = [
                {"client_id": f"{number}-{m['id']}", "kind": m["kind"], "wall": m["wall"], "body": m["body"]}
                for m in marks
            ]
            book.add_marks(number, kept)
    return path


def cold(path: Path, *words: str) -> tuple[float, subprocess.CompletedProcess[str]]:
    environment = os.environ | {"FIRSTSHEET_BOOK": str(path)}
    program = [sys.executable, "-c", LOOK.format(heavy=HEAVY), *words]
    began = time.perf_counter()
    done = subprocess.run(program, capture_output=True, text=True, encoding="utf-8", env=environment, check=False)
    return time.perf_counter() - began, done


@pytest.mark.parametrize(
    "words",
    [("plan", "--json"), ("plan",), ("room", "--json"), ("own",), ("known",), ("--help",), ("plan", "--help")],
    ids=" ".join,
)
def test_nothing_heavy_is_imported(full: Path, words: tuple[str, ...]) -> None:
    _, done = cold(full, *words)
    assert done.returncode == 0, done.stderr
    assert done.stderr.splitlines()[-1] == "HEAVY"


def test_importing_the_package_costs_nothing() -> None:
    done = subprocess.run(
        [sys.executable, "-c", f"import sys, firstsheet; print([m for m in {HEAVY!r} if m in sys.modules])"],
        capture_output=True, text=True, check=True,
    )  # fmt: skip
    assert done.stdout.strip() == "[]"
