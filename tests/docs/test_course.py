"""The course, run as written: every `$` line of its console blocks is a command, what follows is what it prints.

FIRSTSHEET_FILL=1 writes what is printed now into the chapters; read the difference before it is kept.
"""

from __future__ import annotations

import os
import re
import shlex
from collections.abc import Callable, Iterator
from datetime import UTC, datetime
from functools import partialmethod
from pathlib import Path
from typing import TYPE_CHECKING

import pytest

from firstsheet.book.quick import QuickReader
from firstsheet.book.store import Book
from firstsheet.cli.main import main
from firstsheet.scenario import photographed
from tests.acts_ahead.test_ahead import board_photo
from tests.foresee.sheets import Print, photo
from tests.printing import backlight

if TYPE_CHECKING:
    from sqlalchemy import Engine

COURSE = sorted((Path(__file__).parents[2] / "docs" / "course").glob("*.md"), key=lambda p: int(p.stem.split("-")[0]))
README = Path(__file__).parents[2] / "README.md"
BLOCK = re.compile(r"```console\n(.*?)```", re.DOTALL)
CODES = ("A7KX", "CFH4")
FILL = bool(os.environ.get("FIRSTSHEET_FILL"))
# The course is printed with its dates: its book lives on one day for ever, and its clock runs.
DAY, BEGAN = datetime(2026, 11, 25, 10, 0, tzinfo=UTC), datetime.now(UTC)


def course_now() -> datetime:
    return DAY + (datetime.now(UTC) - BEGAN)


def opened(self: Book, plain: Callable[..., None], where: Path | str, engine: Engine, now: object) -> None:
    plain(self, where, engine, course_now)


@pytest.fixture(scope="module")
def evening(tmp_path_factory: pytest.TempPathFactory) -> Iterator[None]:
    """One book for the whole course, with codes that can be printed in it."""
    codes = iter(CODES)
    with pytest.MonkeyPatch.context() as patch:
        folder = tmp_path_factory.mktemp("course")
        patch.setenv("FIRSTSHEET_BOOK", str(folder / "book.sqlite"))
        patch.setenv("COLUMNS", "90")
        patch.setattr(Book, "new_code", lambda self, rng=None: next(codes))
        patch.setattr(Book, "__init__", partialmethod(opened, Book.__init__))
        patch.setattr(QuickReader, "now", lambda self: course_now())
        patch.chdir(folder)
        (folder / "sheet.jpg").write_bytes(
            photo(Print(1).density())
        )  # a wet negative that came out as it did, invented
        (folder / "scene.jpg").write_bytes(photographed(512.0))  # an invented boathouse, its card at 512 cd/m²
        (folder / "board.jpg").write_bytes(board_photo())  # the picture on the board, invented
        (folder / "negative.jpg").write_bytes(backlight.photo(backlight.wedge((0.5, 0.8, 1.1, 1.5))))  # on a light, a coin beside it, invented
        (folder / "light.jpg").write_bytes(backlight.photo(None, seed=2))
        yield


def printed(command: str, capsys: pytest.CaptureFixture[str]) -> str:
    words = shlex.split(command)
    assert words[0] == "firstsheet"
    main(words[1:])
    out = capsys.readouterr()
    return out.out + out.err


def rerun(block: str, capsys: pytest.CaptureFixture[str]) -> str:
    lines = [line for line in block.splitlines() if line.startswith("$ ")]
    return "".join(f"{line}\n{printed(line[2:], capsys)}" for line in lines)


@pytest.mark.parametrize("chapter", COURSE, ids=lambda p: p.stem)
def test_a_chapter_is_true(chapter: Path, evening: None, capsys: pytest.CaptureFixture[str]) -> None:
    text = chapter.read_text(encoding="utf-8")
    blocks = BLOCK.findall(text)
    assert blocks
    found = [rerun(block, capsys) for block in blocks]
    if FILL:
        fresh = iter(found)
        chapter.write_text(BLOCK.sub(lambda _: f"```console\n{next(fresh)}```", text), encoding="utf-8")
        return
    for block, got in zip(blocks, found, strict=True):
        assert got == block


def test_the_readme_shows_what_is_printed() -> None:
    """Each line of its console block stands in the course, which is run; “…” stands for what was left out."""
    course = "\n".join(p.read_text(encoding="utf-8") for p in COURSE)
    (block,) = BLOCK.findall(README.read_text(encoding="utf-8"))
    for line in block.splitlines()[1:]:
        assert "…" in line or line in course, line


def test_the_readme_speaks_python(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    """Its commands, then its Python, on a book of their own."""
    monkeypatch.chdir(tmp_path)
    monkeypatch.setenv("FIRSTSHEET_BOOK", str(tmp_path / "book.sqlite"))
    text = README.read_text(encoding="utf-8")
    for command in re.findall(r"^firstsheet own (?:.*\\\n)*.*$", text, re.MULTILINE):
        assert main(shlex.split(command.replace("\\\n", " "))[1:]) == 0
    capsys.readouterr()
    (python,) = re.findall(r"```python\n(.*?)```", text, re.DOTALL)
    exec(compile(python, "README.md", "exec"), {})
    assert " at f/" in capsys.readouterr().out


def test_the_course_is_in_the_order_of_the_work() -> None:
    numbers = [int(p.stem.split("-")[0]) for p in COURSE]
    assert numbers == sorted(set(numbers))
    assert numbers[:7] == list(range(1, 8))
