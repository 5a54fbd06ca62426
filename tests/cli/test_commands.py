"""Every command, its ending and its two shapes of one answer. Whole evenings, typed."""

from __future__ import annotations

import io
from pathlib import Path

import pytest

from firstsheet import scenario
from tests.cli.conftest import Command


def code_of(done) -> str:
    return done.data["code"]


def test_a_whole_evening(said: Command) -> None:
    """Plan, expose, run, judge, know more: the doubt of the next plan is smaller."""
    before = said("plan", "--aperture", "f/16", "--json").data
    code = code_of(said("expose", "--json"))
    assert said("sheet", code, "--json").data["state"] == "exposed"
    assert said("run", code, "--speed", "100000").code == 0
    assert said("sheet", code, "--json").data["state"] == "processed"
    change = said("judge", code, "--border", "white", "--seen", "too_dark", "--dry", "--not-kept", "--json").data
    assert change["taught"] is True
    assert change["after_stops"] < change["before_stops"]  # a negative too dark: the box is faster than thought
    after = said("plan", "--aperture", "f/16", "--json").data
    assert after["sd_stops"] < before["sd_stops"]
    assert after["wanted_s"] < before["wanted_s"]
    assert said("known", "--json").data["sheets"] == 1
    assert said("takeback", code).code == 0
    again = said("plan", "--aperture", "f/16", "--json").data
    assert again["wanted_s"] == pytest.approx(before["wanted_s"])
    assert said("known", "--json").data["sheets"] == 0


def test_a_test_strip(said: Command) -> None:
    code = code_of(said("expose", "--strip", "--remark", "a scrap", "--json"))
    assert said("judge", code, "--border", "white", "--step", "2.5", "--dry").code == 0
    shown = said("sheet", code)
    assert "test strip" in shown.out
    assert "a scrap" in shown.out


def test_fog_teaches_nothing(said: Command) -> None:
    code = code_of(said("expose", "--json"))
    change = said("judge", code, "--border", "grey", "--seen", "too_dark", "--json").data
    assert change["taught"] is False


def test_one_answer_first(said: Command) -> None:
    """The first line alone is enough to work by, and says what JSON says."""
    plan = said("plan", "--json").data
    first = said("plan").out.splitlines()[0]
    assert "f/" in first
    assert plan["how_given"] in first


def test_lines_keep_to_the_width(said: Command, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setenv("COLUMNS", "80")
    for words in (["plan"], ["room"], ["known"], ["own"]):
        for line in said(*words).out.splitlines():
            assert len(line) <= 80, line


def test_json_and_book_before_or_after_the_name(said: Command, place: Path, tmp_path: Path) -> None:
    other = str(tmp_path / "another.sqlite")
    assert said("--json", "own").data == said("own", "--json").data
    assert said("--book", other, "own", "meter", "x").code == 0
    assert [m["name"] for m in said("own", "--book", other, "--json").data["meter"]] == ["x"]
    assert [m["name"] for m in said("own", "meter", "--book", other, "--json").data] == ["x"]
    assert [m["name"] for m in said("own", "--json").data["meter"]] == ["mine"]
    assert said("--book", other, "--json", "own", "meter", "--book", str(place)).data[0]["name"] == "mine"


# ── endings ──


def test_refused_is_2_and_says_everything_at_once(begun: Command) -> None:
    done = begun("plan", "--subject", "3", "--aperture", "f/x", "--json")
    assert done.code == 2
    assert {p["where"] for p in done.data["refused"]} >= {"subject", "aperture"}
    assert all(p["try"] for p in done.data["refused"])
    told = begun("plan", "--subject", "3", "--aperture", "f/x")
    assert told.code == 2
    assert told.out == ""
    assert "Traceback" not in told.err


def test_missing_is_3(said: Command, tmp_path: Path) -> None:
    assert said("sheet", "XXXX").code == 3
    assert said("plan", "--book", str(tmp_path / "nothing.sqlite")).code == 3
    assert not (tmp_path / "nothing.sqlite").exists(), "looking made a book"
    assert said("photo", str(tmp_path / "no.jpg")).code == 3


def test_no_book_is_4(command: Command, tmp_path: Path) -> None:
    bad = tmp_path / "not a book.sqlite"
    bad.write_bytes(b"this is a letter, not a book" * 100)
    for words in (["plan"], ["own"], ["say", "--light", "sun"]):
        assert command(*words, "--book", str(bad)).code == 4, words
    assert bad.read_bytes() == b"this is a letter, not a book" * 100


def test_misspelled_is_2_without_a_traceback(command: Command) -> None:
    for words in (["plann"], ["plan", "--bogus"], ["sheet"], ["sheets", "--limit", "0"], ["own", "boat", "x"]):
        done = command(*words)
        assert done.code == 2, words
        assert "Traceback" not in done.err
        assert command(*words, "--json").data["kind"] == "asked"


def test_unforeseen_is_1_and_calm(said: Command, monkeypatch: pytest.MonkeyPatch) -> None:
    import firstsheet.acts.plan

    def broken(*_: object) -> None:
        raise ZeroDivisionError("a mistake of ours")

    monkeypatch.setattr(firstsheet.acts.plan, "plan", broken)
    done = said("plan")
    assert done.code == 1
    assert len(done.err.splitlines()) == 1
    assert "FIRSTSHEET_TRACE=1" in done.err
    monkeypatch.setenv("FIRSTSHEET_TRACE", "1")
    assert "Traceback" in said("plan").err


def test_help_and_version(command: Command) -> None:
    assert "Exit codes" in command("--help").out
    assert command("--version").code == 0
    for name in (
        "own",
        "say",
        "room",
        "photo",
        "plan",
        "expose",
        "run",
        "judge",
        "takeback",
        "known",
        "sheets",
        "sheet",
    ):
        done = command(name, "--help")
        assert done.code == 0
        assert "--json" in done.out
        assert "--book" in done.out


# ── things, files ──


def test_owning(begun: Command) -> None:
    assert "boathouse" in begun("own").out
    assert begun("own", "camera").out.startswith("boathouse")
    done = begun("own", "box", "E", "--paper", "wallpaper", "--size", "12x16", "--json")
    assert done.code == 2
    assert {p["where"] for p in done.data["refused"]} == {"paper", "size", "sheets"}


def test_a_drawing_is_written_once(said: Command, tmp_path: Path) -> None:
    to = tmp_path / "the room.svg"
    assert said("room", "--drawing", str(to)).code == 0
    assert to.read_text(encoding="utf-8").startswith("<svg")
    again = said("room", "--drawing", str(to))
    assert again.code == 2
    assert "overwritten" in again.err


def test_a_photo_meters_and_is_compared(said: Command, tmp_path: Path) -> None:
    """The photo is drawn with a card of 512 cd/m², which is EV 12 at ISO 100 with K 12.5 [ISO-2720]."""
    photo = tmp_path / "scene.jpg"
    photo.write_bytes(scenario.photographed(512.0))
    seen = said("photo", str(photo), "--json").data
    assert set(seen) == {"photo"}
    x, y = scenario.CARD_AT
    spot = said("photo", str(photo), "--at", f"{x},{y}", "--tone", "grey_card", "--json").data
    assert spot["spot"]["luminance_cdm2"] == pytest.approx(512.0, rel=0.03)
    assert said("plan", "--json").data["readings"][0].endswith("in the photo")
    compared = said("photo", str(photo), "--at", f"{x},{y}", "--compare", "EV 11", "--json").data
    assert compared["compared"]["reads_high_stops"] == pytest.approx(1.0, abs=0.05)
    assert said("photo", str(photo), "--compare", "EV 11").code == 2
    assert said("photo", str(photo), "--at", "far left").code == 2


def test_a_picture_of_the_sheet(said: Command, tmp_path: Path) -> None:
    from PIL import Image

    out = io.BytesIO()
    Image.new("RGB", (64, 48), (90, 90, 90)).save(out, "JPEG")
    (tmp_path / "sheet.jpg").write_bytes(out.getvalue())
    code = code_of(said("expose", "--json"))
    done = said("judge", code, "--border", "white", "--seen", "as_wanted", "--picture", str(tmp_path / "sheet.jpg"))
    assert done.code == 0
    assert said("sheet", code, "--json").data["pictures"] == [1]


def test_backup_and_restore(said: Command, place: Path, tmp_path: Path) -> None:
    copy = tmp_path / "copy.sqlite"
    code = code_of(said("expose", "--json"))
    assert said("backup", str(copy), "--json").data["counts"]["sheet"] == 1
    assert said("backup", str(copy)).code == 4  # nothing is overwritten
    said("expose")
    done = said("restore", str(copy), "--json")
    assert done.code == 0
    assert Path(done.data["replaced"]).exists()
    assert [s["code"] for s in said("sheets", "--json").data] == [code]


def test_expose_corrects(said: Command) -> None:
    code = code_of(said("expose", "--json"))
    done = said("expose", code, "--given", "3.5", "--aperture", "f/11", "--json").data
    assert (done["given_s"], done["given_aperture"]) == (3.5, 11.0)
    assert said("expose", code, "--strip").code == 2
    assert len(said("sheets", "--json").data) == 1


def test_a_reader_who_has_gone_and_an_old_terminal(said: Command, place: Path) -> None:
    """As installed: output cut off by a pipe is no error; a terminal without “−” still gets its answer."""
    import os
    import subprocess
    import sys

    program = f'"{sys.executable}" -m firstsheet.cli.main plan'
    cut = subprocess.run(
        ["sh", "-c", f"{program} | head -1"], capture_output=True, text=True, encoding="utf-8", check=False
    )
    assert cut.returncode == 0
    assert cut.stderr == ""
    old = os.environ | {"PYTHONIOENCODING": "ascii"}
    done = subprocess.run(["sh", "-c", program], capture_output=True, text=True, env=old, check=False)
    assert done.returncode == 0
    assert " at f/" in done.stdout.splitlines()[0]


def test_what_was_not_said_is_asked_for_by_its_option(said: Command) -> None:
    told = said("own", "camera", "shed", "--focal", "600", "--f-number", "8").err
    assert "“”" not in told
    assert "board-min: " in told
    assert "focal: “600”." in told
