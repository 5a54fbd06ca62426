"""Numbers as people read them: rounded to what they are worth, and read back as what they were."""

from __future__ import annotations

import math
from collections.abc import Callable

import pytest
from hypothesis import given
from hypothesis import strategies as st

from firstsheet import quantities as q
from firstsheet import wording as w

# The wordings are decisions of this program, stated in the docstrings of `wording`: no outside source.


@pytest.mark.parametrize(
    ("s", "text", "figure"),
    [
        (2.634, "2.6 s", ("2.6", "seconds")),
        (0.125, "1/8 s", ("1/8", "second")),
        (0.008, "1/125 s", ("1/125", "second")),
        (0.29, "0.29 s", ("0.29", "seconds")),
        (1 / 3.7, "0.27 s", ("0.27", "seconds")),
        (0.252, "1/4 s", ("1/4", "second")),
        (1 / 6, "1/6 s", ("1/6", "second")),
        (0.16, "0.16 s", ("0.16", "seconds")),
        (0.103, "1/10 s", ("1/10", "second")),
        (1 / 33, "1/33 s", ("1/33", "second")),
        (0.3, "0.30 s", ("0.30", "seconds")),
        (3.0, "3.0 s", ("3.0", "seconds")),
        (9.96, "10 s", ("10", "seconds")),
        (12.5, "13 s", ("13", "seconds")),
        (100.0, "100 s", ("100", "seconds")),
        (101.0, "1 min 41 s", ("1:41", "minutes")),
        (120.0, "2 min", ("2:00", "minutes")),
        (130.0, "2 min 10 s", ("2:10", "minutes")),
        (3599.6, "1 h", ("1:00", "hours")),
        (3725.0, "1 h 2 min", ("1:02", "hours")),
        (0.0, "0 s", ("0", "seconds")),
        (-0.4, "−0.40 s", ("−0.40", "seconds")),
    ],
)
def test_seconds(s: float, text: str, figure: tuple[str, str]) -> None:
    assert w.seconds(s) == text
    assert w.seconds_figure(s) == figure


@given(st.floats(1e-4, 86400))
def test_seconds_are_read_back_within_their_rounding(s: float) -> None:
    back = q.duration_s(w.seconds(s))
    # Half a step of the figure: 1 in 20 for fractions and two figures, then half a second, half a minute.
    worst = 0.051 * s if s < 9.95 else 0.5001 if s < 3599.5 else 30.001
    assert abs(back - s) <= worst
    assert w.seconds(back) == w.seconds(s)  # what is shown is stable


def test_stops() -> None:
    assert w.stops(0.62) == "+0.6 stop"
    assert w.stops(-0.3) == "−0.3 stop"
    assert w.stops(0) == w.stops(-0.04) == "0 stop"
    assert w.stops(1.04) == "+1.0 stop"
    assert w.stops(-1.25) == "−1.3 stops"
    assert w.stops_pm(0.4) == "±0.4 stop"
    assert w.stops_pm(1.2) == "±1.2 stops"
    assert w.stops_pm(0.01) == "±0.1 stop"  # a doubt is never rounded to none


@given(st.floats(-29, 29))
def test_stops_are_read_back(x: float) -> None:
    assert abs(q.stops(w.stops(x)) - x) <= 0.0501


def test_lengths() -> None:
    assert w.length(750) == "750 mm"
    assert w.length(3000) == "3.0 m"
    assert w.length(2.5) == "2.5 mm"
    assert w.length(999.6) == "1.0 m"
    assert w.length(12_400) == "12 m"
    assert w.length(0) == "0 mm"
    assert w.length(0.01) == "under 0.1 mm"
    assert w.millimetres(1250) == "1250 mm"
    assert w.inches(171.45) == "6.75 in"  # 6.75 × 25.4, [SP811] B.8
    assert w.sheet_size(508.0, 609.6) == "20 × 24 in"
    assert w.sheet_size(215.9, 279.4) == "8.5 × 11 in"
    assert w.sheet_size(300, 400) == "300 × 400 mm"


@given(st.integers(0, 10_000_000))
def test_millimetres_are_read_back(mm: int) -> None:
    assert q.length_mm(w.millimetres(mm)) == mm


@given(st.integers(1, 400_000))
def test_inches_are_read_back(hundredths: int) -> None:
    mm = hundredths * 0.254  # 1 in = 25.4 mm, [SP811] B.8
    assert q.length_mm(w.inches(mm)) == pytest.approx(mm, rel=1e-12)


@given(st.integers(2, 200), st.integers(2, 200))
def test_sheet_sizes_are_read_back(quarter_w: int, quarter_h: int) -> None:
    size = (quarter_w * 6.35, quarter_h * 6.35)
    assert q.sheet_size_mm(w.sheet_size(*size)) == pytest.approx(size, rel=1e-12)


def test_light() -> None:
    thin = "\N{NARROW NO-BREAK SPACE}"
    assert w.lux(10_000) == f"10{thin}000 lx"
    assert w.lux(1234) == "1230 lx"
    assert w.lux(9996) == f"10{thin}000 lx"
    assert w.lux(0.5) == "0.5 lx"
    assert w.lux(0) == "0 lx"
    assert w.lux(1e-9) == "under 0.000001 lx"
    assert w.luminance(400) == "400 cd/m²"
    assert w.luminance(1.6e9) == f"1{thin}600{thin}000{thin}000 cd/m²"


@given(st.floats(1e-5, 1e6))
def test_light_is_read_back_to_three_figures(x: float) -> None:
    assert q.light_reading(w.lux(x)).lux_lx == pytest.approx(x, rel=0.00501)
    assert q.light_reading(w.luminance(x)).luminance_cdm2 == pytest.approx(x, rel=0.00501)


# Marks of the full stops against 2^(k/2): common practice, no source.
def test_f_numbers() -> None:
    marks = ["1", "1.4", "2", "2.8", "4", "5.6", "8", "11", "16", "22", "32", "45", "64", "90", "128"]
    for k, mark in enumerate(marks):
        assert w.f_number(math.sqrt(2) ** k) == f"f/{mark}"
        assert w.f_number(float(mark)) == f"f/{mark}"
    assert (w.f_number(3.5), w.f_number(4.5), w.f_number(9.97), w.f_number(300)) == (
        "f/3.5",
        "f/4.5",
        "f/10",
        "f/300",
    )
    with pytest.raises(ValueError, match="above nothing"):
        w.f_number(0)


@pytest.mark.parametrize(
    ("p", "text"),
    [
        (0.71, "7 in 10"),
        (0.5, "5 in 10"),
        (0.0, "fewer than 1 in 20"),
        (0.049, "fewer than 1 in 20"),
        (0.05, "1 in 20"),
        (0.08, "1 in 10"),
        (0.92, "9 in 10"),
        (0.94, "19 in 20"),
        (0.95, "19 in 20"),
        (1.0, "more than 19 in 20"),
    ],
)
def test_chances(p: float, text: str) -> None:
    assert w.chance(p) == text


@given(st.floats(0, 1))
def test_a_chance_is_never_none_or_all(p: float) -> None:
    text = w.chance(p)
    assert text not in ("0 in 10", "10 in 10")
    if text.endswith("in 10"):
        assert abs(int(text.split()[0]) / 10 - p) <= 0.0501


def test_money_and_temperature() -> None:
    assert w.money(4.5, "£") == "£4.50"
    assert w.money(12, "EUR") == "12.00 EUR"
    assert w.money(4.5) == "4.50"
    assert w.temperature(20) == "20 °C"
    assert w.temperature(-5.04) == "−5 °C"
    assert w.temperature(-0.04) == "0 °C"


@given(st.integers(0, 10_000_000), st.sampled_from(["", "£", "€", "$", "EUR"]))
def test_money_is_read_back(pence: int, currency: str) -> None:
    assert q.money(w.money(pence / 100, currency)) == (pence / 100, currency)


@pytest.mark.parametrize(
    ("s", "text"),
    [
        (5, "less than a minute ago"),
        (60, "1 minute ago"),
        (720, "12 minutes ago"),
        (3569, "59 minutes ago"),
        (3570, "1 hour ago"),
        (7200, "2 hours ago"),
        (86400 * 1.5, "36 hours ago"),
        (86400 * 3, "3 days ago"),
        (86400 * 100, "3 months ago"),
        (86400 * 900, "2 years ago"),
        (-3, "dated after now"),
    ],
)
def test_ages(s: float, text: str) -> None:
    assert w.age(s) == text


SHOWN: list[Callable[[float], object]] = [
    w.seconds,
    w.stops,
    w.stops_pm,
    w.length,
    w.millimetres,
    w.inches,
    w.lux,
    w.luminance,
    w.f_number,
    w.chance,
    w.money,
    w.temperature,
    w.age,
]


@pytest.mark.parametrize("show", SHOWN)
@pytest.mark.parametrize("x", [math.nan, math.inf, -math.inf])
def test_what_is_not_a_number_is_never_shown_as_one(show: Callable[[float], object], x: float) -> None:
    if show is w.age and x == -math.inf:
        return
    with pytest.raises(ValueError, match=r"."):
        show(x)


@given(st.floats(0, 1e12))
def test_every_finite_size_can_be_shown(x: float) -> None:
    for show in SHOWN:
        if show is w.chance or (show is w.f_number and x == 0):
            continue
        assert str(show(x))
