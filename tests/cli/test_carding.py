"""The run card from the command line, and its marks brought back: each kept once, nonsense refused."""

from __future__ import annotations

import io
import json
from pathlib import Path
from typing import Any

import pytest

from tests.cli.conftest import Command


@pytest.fixture
def code(said: Command) -> str:
    return str(said("expose", "--json").data["code"])


def handed(code: str, marks: list[dict[str, Any]]) -> str:
    return json.dumps({"form": "marks of a run", "sheet": code, "marks": marks})


def mark(n: int, kind: str, step: str = "", elapsed_s: float = 0.0) -> dict[str, Any]:
    return {"id": f"{n:032x}", "kind": kind, "step": step, "elapsed_s": elapsed_s, "wall_ms": 1.8e12 + 1000 * elapsed_s}


MARKS = [
    mark(1, "begun"),
    mark(2, "lifted", "developer", 390),
    mark(3, "wrong_tray", "developer", 405),
    mark(4, "abandoned", "", 410),
]


def test_a_card_is_one_file_that_asks_for_nothing(code: str, command: Command, tmp_path: Path) -> None:
    to = tmp_path / "card.html"
    done = command("runcard", code, str(to), "--json")
    assert (done.code, done.data["code"]) == (0, code)
    html = to.read_text(encoding="utf-8")
    assert done.data["bytes"] == len(html.encode())
    assert "http://" not in html.replace("http://www.w3.org", "")
    assert "https://" not in html
    assert "default-src" in html
    assert command("runcard", code, str(to)).code == 2  # nothing is written over
    assert command("runcard", "ZZZZ", str(tmp_path / "x.html")).code == 3


def test_marks_are_kept_once(code: str, command: Command, tmp_path: Path) -> None:
    file = tmp_path / "marks.json"
    file.write_text(handed(code, MARKS[:2]), encoding="utf-8")
    assert command("handin", str(file), "--json").data == {
        "code": code,
        "kept": 2,
        "known": 0,
        "words": f"2 marks of sheet {code} kept.",
    }
    file.write_text(handed(code, MARKS), encoding="utf-8")
    again = command("handin", str(file), "--json").data
    assert (again["kept"], again["known"]) == (2, 2)
    assert command("handin", str(file), "--json").data["kept"] == 0
    sheet = command("sheet", code, "--json").data
    kinds = [m["kind"] for m in sheet["marks"] if m["kind"] != "exposed"]
    assert kinds == ["begun", "lifted", "wrong_tray", "abandoned"]
    assert sheet["state"] == "given up"


def test_pasted_text_is_taken_too(code: str, command: Command, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr("sys.stdin", io.StringIO(handed(code, MARKS)))
    assert command("handin", "-", "--json").data["kept"] == 4


@pytest.mark.parametrize(
    ("text", "code_", "says"),
    [
        ("", 2, "Choose the card"),
        ("hello", 2, "first {"),
        ("[1, 2]", 2, "first {"),
        ("[" * 100_000, 2, "first {"),
        (json.dumps({"form": "a letter", "sheet": "K7QD", "marks": []}), 2, "first {"),
        (handed("K7QD", []), 2, "has begun"),
        (handed("ZZZZ", MARKS), 3, "ZZZZ"),
        (handed("{code}", MARKS).replace("390", "NaN"), 2, "first {"),
    ],
)
def test_nonsense_is_refused(code: str, command: Command, tmp_path: Path, text: str, code_: int, says: str) -> None:
    file = tmp_path / "marks.json"
    file.write_text(text.replace("{code}", code), encoding="utf-8")
    done = command("handin", str(file))
    assert done.code == code_
    assert says in done.err


def test_all_faults_at_once_and_nothing_kept(code: str, command: Command, tmp_path: Path) -> None:
    file = tmp_path / "marks.json"
    file.write_text(handed(code, [MARKS[0], mark(8, "sneezed"), mark(9, "lifted", "stop", -4)]), encoding="utf-8")
    done = command("handin", str(file))
    assert done.code == 2
    assert "sneezed" in done.err
    assert "-4" in done.err
    assert [m["kind"] for m in command("sheet", code, "--json").data["marks"]] == ["exposed"]


def test_a_file_that_is_no_text(code: str, command: Command, tmp_path: Path) -> None:
    file = tmp_path / "marks.json"
    file.write_bytes(b"\xff\xfe\x00")
    assert command("handin", str(file)).code == 2
    assert command("handin", str(tmp_path / "none.json")).code == 3
