"""Readings as people take them: doubt, age, tone, several at once."""

from __future__ import annotations

import math
from dataclasses import dataclass
from datetime import UTC, datetime, timedelta

import pytest
from hypothesis import given
from hypothesis import strategies as st

from firstsheet.light.reading import Reading, age_sd_stops, midtone_of, midtone_of_all, midtone_on_board
from firstsheet.refusal import Refusal

NOW = datetime(2026, 5, 3, 12, 0, tzinfo=UTC)


def lux(value, meter="hand", **more):
    return Reading("lux", "incident_flat", lux_lx=value, meter=meter, taken_wall=NOW, **more)


def spot(value, tone="grey_card", **more):
    return Reading("luminance", "reflected", tone=tone, luminance_cdm2=value, meter="spot", taken_wall=NOW, **more)


def test_a_face_is_placed():
    """Light skin one stop up (common practice): 1000 cd/m² on it puts mid-tone at 500."""
    mid = midtone_of(spot(1000, "face_light", place="at the face"), NOW)
    assert mid.luminance_cdm2 == pytest.approx(500)
    assert mid.sd_stops == pytest.approx(math.hypot(0.15, 0.3))
    assert any(s.stops == -1.0 and "light skin" in s.name for s in mid.steps)
    assert any("at the face" in s.name for s in mid.steps)
    assert all(s.source for s in mid.steps)


def test_age_grows_as_a_root():
    """0.25 stop after ten minutes, twice that after forty (the stated model)."""
    assert age_sd_stops(0) == 0
    assert age_sd_stops(600) == 0.25
    assert age_sd_stops(2400) == 0.5
    assert age_sd_stops(-30) == 0  # clocks disagree a little
    for bad in (-3600, float("nan")):
        with pytest.raises(Refusal):
            age_sd_stops(bad)
    fresh = midtone_of(lux(10_000), NOW).sd_stops
    old = midtone_of(lux(10_000), NOW + timedelta(minutes=10)).sd_stops
    assert old == pytest.approx(math.hypot(fresh, 0.25))


def test_mean_in_stops():
    """Two equal readings two stops apart: geometric mean, range two stops, s/√n = 1 stop added."""
    mid = midtone_of_all([lux(4000, "a"), lux(16_000, "b")], NOW)
    assert mid.luminance_cdm2 == pytest.approx(12.5 * 8000 / 250)
    assert mid.range_stops == pytest.approx(2.0)
    assert mid.disagreement_stops == pytest.approx(1.0)
    assert mid.sd_stops == pytest.approx(math.sqrt(0.15**2 / 2 + 1.0**2))


def test_one_meter_keeps_its_own_error():
    same = midtone_of_all([lux(8000)] * 4, NOW)
    assert same.sd_stops == pytest.approx(0.15)
    others = midtone_of_all([lux(8000, m) for m in "abcd"], NOW)
    assert others.sd_stops == pytest.approx(0.075)


def test_range_is_as_read_and_disagreement_is_after_placing():
    """White shirt at +2.32 and black cloth at −2.17 in one light: 4.49 stops of scene, no disagreement."""
    readings = [spot(500 * 2**2.32, "white_shirt"), spot(500 * 2**-2.17, "black_cloth")]
    mid = midtone_of_all(readings, NOW)
    assert mid.luminance_cdm2 == pytest.approx(500)
    assert mid.range_stops == pytest.approx(4.49)
    assert mid.disagreement_stops == pytest.approx(0.0, abs=1e-9)


def test_a_meter_outweighs_a_word():
    """Inverse-variance mean, closed form for two readings with sd 0.15 and 0.7."""
    sky = Reading("word", word="bright cloud, no shadows", taken_wall=NOW)
    mid = midtone_of_all([lux(28_600), sky], NOW)
    a, b = 1 / 0.15**2, 1 / 0.7**2
    expected = (a * math.log2(28_600) + b * math.log2(14_300)) / (a + b)
    assert math.log2(mid.luminance_cdm2 / 0.05) == pytest.approx(expected, abs=1e-9)


@given(st.lists(st.floats(1, 1e5), min_size=1, max_size=6))
def test_the_mean_lies_within(values):
    mid = midtone_of_all([lux(v) for v in values], NOW)
    assert min(values) * 0.05 * (1 - 1e-9) <= mid.luminance_cdm2 <= max(values) * 0.05 * (1 + 1e-9)
    assert mid.sd_stops >= 0.15 - 1e-12


def test_sky_word():
    mid = midtone_of(Reading("word", word="heavy cloud"), NOW)
    assert mid.sd_stops == pytest.approx(0.7)
    assert mid.luminance_cdm2 == pytest.approx(12.5 * 7160 / 250)


def test_board():
    board = midtone_on_board(Reading("board", tone="white_shirt", lux_lx=50.0, taken_wall=NOW), NOW)
    assert board.illuminance_lx == pytest.approx(10.0, rel=0.005)  # 50·0.18/0.90
    assert board.sd_stops == pytest.approx(math.hypot(0.1, 0.25))
    with pytest.raises(Refusal):
        midtone_of(Reading("board", lux_lx=50.0))


def test_what_was_said():
    @dataclass
    class Said:
        kind: str = "triple"
        lux_lx: float | None = None
        luminance_cdm2: float | None = None
        ev100: float | None = 12.0
        f_number: float | None = 16.0
        time_s: float | None = 0.01
        iso: float | None = 100.0
        iso_assumed: bool = True
        word: str | None = None

    mid = midtone_of(Reading.from_said(Said(), "reflected", meter="hand", taken_wall=NOW), NOW)
    assert mid.luminance_cdm2 == pytest.approx(3200)  # sunny-16 [CONRAD]
    assert any("assumed" in s.name for s in mid.steps)
    with pytest.raises(Refusal, match="ISO"):
        midtone_of(Reading.from_said(Said(iso=None), "reflected"), NOW)
    with pytest.raises(Refusal):
        Reading.from_said(Said(kind="smell"), "reflected")


@pytest.mark.parametrize(
    "reading",
    [
        Reading("ev", ev100=12.0),
        Reading("ev", "reflected"),
        Reading("ev", "reflected", "a hat", ev100=12.0),
        Reading("word"),
        Reading("word", word="purple"),
        Reading("lux", "incident_flat", lux_lx=5.0, sd_stops=-1.0),
        Reading("lux", "incident_flat", lux_lx=5.0, taken_wall=datetime(2026, 5, 3)),  # no zone
        Reading("lux", "incident_flat", lux_lx=5.0, taken_wall=NOW + timedelta(days=1)),
    ],
)
def test_refused(reading):
    with pytest.raises(Refusal):
        midtone_of(reading, NOW)
    with pytest.raises(Refusal) as caught:
        midtone_of_all([lux(5.0), reading], NOW)
    assert all(p.where.startswith("readings.1") for p in caught.value.problems)


def test_none_at_all():
    with pytest.raises(Refusal):
        midtone_of_all([], NOW)
