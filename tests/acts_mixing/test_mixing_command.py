"""The commands as typed: what they print, how they end, without a book where none is needed, and quickly."""

from __future__ import annotations

import json
import subprocess
import sys
from pathlib import Path

import pytest

from firstsheet.cli.main import main


@pytest.fixture(autouse=True)
def _own_book(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setenv("FIRSTSHEET_BOOK", str(tmp_path / "book.sqlite"))
    monkeypatch.setenv("COLUMNS", "90")


def test_without_a_book_recipes_and_weights_are_told(capsys: pytest.CaptureFixture[str]) -> None:
    assert main(["mix", "recipes"]) == 0
    assert main(["mix", "make", "coffee", "--volume", "1 l"]) == 0
    out = capsys.readouterr().out
    assert "54 g sodium carbonate" in out
    assert "dust" in out


def test_the_codes_are_the_house_s(capsys: pytest.CaptureFixture[str]) -> None:
    assert main(["mix", "make", "coffee", "--volume", "1 gal"]) == 2
    assert main(["mix", "make", "nothing", "--volume", "1 l"]) == 3
    assert main(["mix", "substances", "gravel"]) == 3
    assert main(["mix", "label", "7"]) == 3
    assert "imperial" in capsys.readouterr().err


def test_a_refusal_is_data_too(capsys: pytest.CaptureFixture[str]) -> None:
    assert main(["mix", "make", "coffee", "--volume", "1 l", "--have", "baking soda", "--json"]) == 2
    assert "nothing develops" in json.loads(capsys.readouterr().out)["refused"][0]["allowed"]


def test_kept_carded_labelled_spent(capsys: pytest.CaptureFixture[str]) -> None:
    assert main(["mix", "keep", "coffee", "--volume", "2 l", "--name", "tonight"]) == 0
    assert main(["mix", "spoon", "coffee", "--weight", "23 g"]) == 0
    capsys.readouterr()
    assert main(["mix"]) == 0
    number = capsys.readouterr().out.split()[0]
    assert main(["mix", "card", number]) == 0
    assert main(["mix", "label", number]) == 0
    assert main(["mix", "spend", number]) == 0
    out = capsys.readouterr().out
    assert "108 g" in out  # 2 l at 54 g/l
    assert "Not a drink" in out
    assert "thrown away" in out


def test_nothing_heavy_is_loaded_to_say_what_to_weigh() -> None:
    code = (
        "import sys; from firstsheet.cli.main import main; main(['mix', 'make', 'coffee', '--volume', '1 l']);"
        "print([m for m in ('numpy', 'scipy', 'PIL', 'sqlalchemy', 'alembic', 'fastapi') if m in sys.modules])"
    )
    done = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, check=True)
    assert done.stdout.splitlines()[-1] == "[]"
