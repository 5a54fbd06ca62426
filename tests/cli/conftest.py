"""A book as a person would begin one, and the command run inside this process."""

from __future__ import annotations

import json
from collections.abc import Callable
from dataclasses import dataclass
from pathlib import Path
from typing import Any

import pytest

from firstsheet.cli.main import main

CAMERA = (
    "own camera boathouse --focal|600 mm|--f-number|f/8|--coverage|60°|--stops|8 11 16 22 32|--board-min|610 mm|--board-max|"
    "1200 mm|--length|2.6 m|--width|2.1 m|--height|2.3 m"
)


@dataclass
class Done:
    """What a command that was run left behind."""

    code: int
    out: str
    err: str

    @property
    def data(self) -> Any:
        return json.loads(self.out)


Command = Callable[..., Done]


@pytest.fixture
def place(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    """A book in a folder with a blank; nobody's real book is ever touched."""
    at = tmp_path / "a shelf" / "book.sqlite"
    monkeypatch.setenv("FIRSTSHEET_BOOK", str(at))
    monkeypatch.setenv("COLUMNS", "80")
    return at


@pytest.fixture
def command(place: Path, capsys: pytest.CaptureFixture[str]) -> Command:
    def run(*words: str) -> Done:
        code = main(list(words))
        out = capsys.readouterr()
        return Done(code, out.out, out.err)

    return run


@pytest.fixture
def begun(command: Command) -> Command:
    """The command over a book with a camera, a box, a developer, a meter."""
    first, *rest = CAMERA.split("|")
    assert command(*first.split(), *rest).code == 0
    assert command("own", "box", "D", "--paper", "enlarging", "--size", "12x16 in", "--sheets", "25").code == 0
    assert command("own", "developer", "coffee", "--kind", "coffee").code == 0
    assert command("own", "meter", "mine", "--kind", "hand").code == 0
    return command


@pytest.fixture
def said(begun: Command) -> Command:
    """And with a light, a sitter's place and a reading."""
    assert begun("say", "--light", "overcast", "--subject", "3 m", "--reading", "EV 11").code == 0
    return begun
