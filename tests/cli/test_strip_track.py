"""`strip track` on the command line."""

from __future__ import annotations

import wave
from pathlib import Path

import pytest

from tests.cli.conftest import Command


def test_a_track_is_told_and_written(begun: Command, tmp_path: Path) -> None:
    to = tmp_path / "strip.wav"
    done = begun("strip", "track", str(to), "--way", "opal", "--first", "2.5 s", "--steps", "5")
    assert done.code == 0
    assert "1 open: 2.9 s more, 10 s in all" in done.out  # 2.5·√2⁴ = 10; 10 − 10/√2 = 2.93
    assert "Move the card one step" in done.out
    with wave.open(str(to)) as file:
        assert file.getnframes() / file.getframerate() > 60
    again = begun("strip", "track", str(to))
    assert again.code == 2
    assert "overwritten" in again.err


def test_a_kept_strip_has_its_own_times(begun: Command) -> None:
    begun("say", "--light", "overcast", "--subject", "3 m", "--reading", "EV 11")
    code = begun("expose", "--strip", "--json").data["code"]
    planned = begun("sheet", code, "--json").data["plan"]["strip"]["times_s"]
    told = begun("strip", "track", "--sheet", code, "--json").data
    assert [s["whole_s"] for s in told["steps"]] == pytest.approx(planned)
    assert begun("strip", "track", "--sheet", code, "--first", "2 s").code == 2
    assert begun("strip", "track", "--sheet", "ZZZZ").code == 3
    assert begun("strip", "track", "--first", "9999 s").code == 2


def test_a_sheet_s_sound(begun: Command, tmp_path: Path) -> None:
    begun("say", "--light", "overcast", "--subject", "3 m", "--reading", "EV 11")
    code = begun("expose", "--json").data["code"]
    to = tmp_path / "sheet.wav"
    done = begun("track", code, str(to))
    assert "Uncover the lens at the tone" in done.out
    told = begun("track", code, "--json").data
    assert told["close_s"] - told["open_s"] == pytest.approx(told["time_s"])
    with wave.open(str(to)) as file:
        assert file.getnframes() / file.getframerate() == pytest.approx(told["total_s"], abs=0.001)
    assert begun("track", "ZZZZ").code == 3


def test_from_the_box_to_white_light_and_the_exposure_alone(begun: Command) -> None:
    begun("say", "--light", "overcast", "--subject", "3 m", "--reading", "EV 11")
    code = begun("expose", "--json").data["code"]
    whole = begun("track", code)
    for words in ("Feel for the emulsion", "lift, and let it drain", "you may switch on the light", "MB as sound", "volume"):
        assert words in whole.out
    alone = begun("track", code, "--exposure", "--json").data
    assert not alone["whole"]
    assert alone["total_s"] < begun("track", code, "--json").data["total_s"]


def test_the_volume_test_is_written(begun: Command, tmp_path: Path) -> None:
    to = tmp_path / "volume.wav"
    assert "Did you hear" in begun("volume", str(to)).out
    with wave.open(str(to)) as file:
        assert file.getnframes() > 8000 * 20
    assert begun("volume", "--how", "shout").code == 2
