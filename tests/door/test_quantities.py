"""What people write becomes the right number, or is refused; never another exception, never a guess."""

from __future__ import annotations

import math
from collections.abc import Callable
from datetime import date

import pytest
from hypothesis import example, given
from hypothesis import strategies as st

from firstsheet import quantities as q
from firstsheet.refusal import Problems, Refusal


def refusal(parse: Callable[..., object], text: str, **given_: object) -> str:
    with pytest.raises(Refusal) as caught:
        parse(text, **given_)
    (problem,) = caught.value.problems
    assert problem.where == ""
    assert problem.allowed
    return f"{problem.allowed} {problem.hint}"


# 1 in = 25.4 mm, 1 ft = 304.8 mm, 1 yd = 914.4 mm exactly: NIST SP 811 (2008), Appendix B.8 [SP811];
# products by hand.
@pytest.mark.parametrize(
    ("text", "mm"),
    [
        ("600 mm", 600.0), ("60 cm", 600.0), ("3 m", 3000.0), ("3.0m", 3000.0), ("3,2 m", 3200.0),
        ("10 000 mm", 10000.0), ("2 m 30 cm", 2300.0), ("1 in", 25.4), ("1 ft", 304.8), ("1 yd", 914.4),
        ("5 ft 6 in", 1676.4),  # 66 × 25.4
        ("5'6\"", 1676.4), ("5′6″", 1676.4),
        ("5 ft 6½ in", 1689.1),  # 66.5 × 25.4
        ("6 3/4 in", 171.45),  # 6.75 × 25.4
        ("6¾ in", 171.45), ("6-3/4 in.", 171.45), ("118 in", 2997.2), ("16 inches", 406.4),
        ("5 feet", 1524.0), ("0 mm", 0.0),
    ],
)  # fmt: skip
def test_lengths(text: str, mm: float) -> None:
    assert q.length_mm(text) == mm


@pytest.mark.parametrize(
    ("text", "told"),
    [
        ("600", "600 mm"),
        ("1+9", "with its unit"),  # a dilution, not a length
        ("6 in 3/4", "6 3/4 in"),  # the fraction has lost its unit: refused, and the right form shown
        ("5' 6", "5 ft 6 in"), ("1,234 mm", "two ways"), ("1,234,567 mm", "two ways"),
        ("61/2 in", "two ways"),  # 6 1/2 with a lost space, or 30.5
        ("6 5/4 in", "two ways"), ("5 ft 14 in", "less than one ft"), ("5.5 ft 3 in", "fraction"),
        ("3 m 5 in", "with its unit"), ("1/0 in", "over nothing"), ("-3 m", "negative"),
        ("−3 m", "negative"), ("nan m", "finite"), ("inf m", "finite"), ("∞", "finite"),
        ("999999 km", "From 0.001 mm to 100 km."), ("0.0000001 mm", "From 0.001 mm to 100 km."),
        ("10² mm", "with its unit"),  # a power is not 102
        ("9" * 81 + " m", "80 characters"), ("", "must be said"), ("   ", "must be said"),
        ("2.5 s", "with its unit"), ("3 mmm", "with its unit"),
    ],
)  # fmt: skip
def test_lengths_refused(text: str, told: str) -> None:
    assert told in refusal(q.length_mm, text)


def test_a_bare_number_takes_the_unit_of_its_field_only_when_the_field_has_one() -> None:
    assert q.length_mm("3", bare="m") == 3000.0
    assert q.length_mm("6¾", bare="in") == 171.45
    assert q.length_mm("60 cm", bare="m") == 600.0
    assert q.duration_s("2.5", bare="s") == 2.5
    assert q.temperature_c("68", bare="F") == 20.0
    with pytest.raises(ValueError, match="bare"):
        q.length_mm("3", bare="furlong")


# Sexagesimal time by hand: 2·60 + 30 = 150, 1·3600 + 2·60 + 3 = 3723.
@pytest.mark.parametrize(
    ("text", "s"),
    [
        ("1/125", 0.008), ("1/125 s", 0.008), ("½", 0.5), ("2.5 s", 2.5), ("0,125 s", 0.125),
        ("2 min 30 s", 150.0), ("2:30", 150.0), ("1:02:03", 3723.0), ("90 sec", 90.0),
        ("3 minutes", 180.0), ("2.5 min", 150.0), ("1 h 2 min", 3720.0), ("250 ms", 0.25),
    ],
)  # fmt: skip
def test_durations(text: str, s: float) -> None:
    assert q.duration_s(text) == s


@pytest.mark.parametrize(
    ("text", "told"),
    [
        ("2", "2 s"), ("1 1/2", "is it"), ("2 m", "min"), ("2 m 30 s", "min"), ("2:75", "2:30"),
        ("2:5", "2:30"), ("1:75:00", "2:30"), ("2 min 90 s", "less than one min"),
        ("1/0", "over nothing"), ("30 s 2 min", "2 min 30 s"), ("100 days", "a millionth of a second to 31 days"),
        ("-1 s", "negative"), ("3 mm", "min"),
    ],
)  # fmt: skip
def test_durations_refused(text: str, told: str) -> None:
    assert told in refusal(q.duration_s, text)


def test_f_numbers() -> None:
    for text, n in [
        ("f/8", 8), ("f8", 8), ("F/5.6", 5.6), ("8", 8), ("f/5,6", 5.6), ("ƒ/11", 11), ("1:4.5", 4.5),
    ]:
        assert q.f_number(text) == n
    for text in ("f/0", "f/", "8½", "f/8 mm", "f/99999", "-8", "1/125"):
        refusal(q.f_number, text)


# 20 × 25.4 = 508, 24 × 25.4 = 609.6 (factor: [SP811] B.8).
@pytest.mark.parametrize(
    ("text", "size"),
    [
        ("20x24 in", (508.0, 609.6)), ("12×16 in", (304.8, 406.4)), ("30 x 40 cm", (300.0, 400.0)),
        ("12x16 inches", (304.8, 406.4)), ('16"x20"', (406.4, 508.0)), ("16″ × 20″", (406.4, 508.0)),
        ("8½x11 in", (215.9, 279.4)), ("16inx20in", (406.4, 508.0)), ("12 by 16 in", (304.8, 406.4)),
        ("40x30 cm", (400.0, 300.0)),
    ],
)  # fmt: skip
def test_sheet_sizes(text: str, size: tuple[float, float]) -> None:
    assert q.sheet_size_mm(text) == size


def test_sheet_sizes_refused() -> None:
    assert "20x24 in" in refusal(q.sheet_size_mm, "20x24")
    for text in ("20 in", '16" x 20', "1x2x3 in", "20x24 s", "0x24 in", "2000x24 in", "-20x24 in", "20x in"):
        refusal(q.sheet_size_mm, text)


# t/°C = (t/°F − 32)/1.8: [SP811] B.8. 68 °F = 20 °C, 32 °F = 0 °C, 212 °F = 100 °C, −40 °F = −40 °C.
@pytest.mark.parametrize(
    ("text", "c"),
    [
        ("20 C", 20), ("20 °C", 20), ("20℃", 20), ("20 deg C", 20), ("68 F", 20), ("68°F", 20),
        ("32 °F", 0), ("212 F", 100), ("−40 F", -40), ("20,5 °C", 20.5), ("-5 °C", -5),
    ],
)  # fmt: skip
def test_temperatures(text: str, c: float) -> None:
    assert q.temperature_c(text) == c


def test_temperatures_refused() -> None:
    assert "either" in refusal(q.temperature_c, "20")
    for text in ("20°", "-80 C", "400 F", "20 K", "C"):
        refusal(q.temperature_c, text)


def test_angles() -> None:
    assert q.angle_deg("60°") == q.angle_deg("60 deg") == q.angle_deg("60 degrees") == 60
    assert q.angle_deg("-51.5°", low=-90, high=90) == -51.5
    for text in ("60", "-5°", "400°", "1 rad"):
        refusal(q.angle_deg, text)


def test_money_keeps_the_currency_as_said() -> None:
    assert q.money("4.50") == (4.5, "")
    assert q.money("£4.50") == (4.5, "£")
    assert q.money("12 EUR") == q.money("eur 12") == (12.0, "EUR")
    assert q.money("4,50 €") == (4.5, "€")
    for text in ("-4", "£4 EUR", "1,234", "four", "99999999"):
        refusal(q.money, text)


def test_counts_speeds_and_plain_numbers() -> None:
    assert (q.count("12"), q.count("0"), q.count("1 000")) == (12, 0, 1000)
    for text in ("3.0", "-1", "½", "12 sheets", "9999999"):
        refusal(q.count, text)
    assert (q.iso_number("ISO 100"), q.iso_number("EI 6"), q.iso_number("0.5")) == (100, 6, 0.5)
    for text in ("0", "ISO", "21°", "-3"):
        refusal(q.iso_number, text)
    assert q.plain_number("-0.5", -1, 1) == -0.5
    assert q.plain_number("3/4", 0, 1) == 0.75
    assert "from 0 to 14" in refusal(q.plain_number, "15", low=0, high=14)
    assert "negative" in refusal(q.plain_number, "-1", low=0, high=14)


def test_days() -> None:
    for text in ("2026-05-03", "3 May 2026", "03 may 2026", "May 3, 2026", "May 3,2026"):
        assert q.day(text) == date(2026, 5, 3)
    assert q.day("29 Feb 2028") == date(2028, 2, 29)
    for text in (
        "03/05/2026",
        "2026-02-30",
        "29 Feb 2026",
        "May 2026",
        "3 May 3 2026",
        "3 Mai 2026",
        "0001-01-01",
    ):
        refusal(q.day, text)


def test_stops() -> None:
    for text, x in [
        ("+1/3", 1 / 3), ("-0.5 stop", -0.5), ("⅔", 2 / 3), ("+⅔", 2 / 3), ("1 1/3 stops", 4 / 3),
        ("−1", -1),
    ]:
        assert q.stops(text) == x
    for text in ("±1", "31", "1 s", "+-1", "11/3"):
        refusal(q.stops, text)


def test_light_as_illuminance_and_luminance() -> None:
    assert q.light_reading("10000 lx") == q.SaidReading("lux", lux_lx=10000.0)
    assert q.light_reading("10 klx").lux_lx == q.light_reading("10 000 lux").lux_lx == 10000.0
    assert q.light_reading("1.2 klx").lux_lx == 1200.0
    # footcandle → lux 1.076 391 E+01, footlambert → cd/m² 3.426 259 E+00: NIST SP 811, App. B.8 [SP811]
    assert q.light_reading("1 fc").lux_lx == pytest.approx(10.76391, rel=5e-8)
    assert q.light_reading("930 foot-candles").lux_lx == pytest.approx(930 * 10.76391, rel=5e-8)
    assert q.light_reading("1 fL").luminance_cdm2 == pytest.approx(3.426259, rel=2e-7)
    for text in ("400 cd/m2", "400 cd/m²", "400cd/m²", "400 nits"):
        assert q.light_reading(text) == q.SaidReading("luminance", luminance_cdm2=400.0)


def test_light_as_exposure_value() -> None:
    # EV100 = EV − log2(ISO/100): two stops for ISO 400; closed form.
    assert q.light_reading("EV 13 at ISO 400") == q.SaidReading("ev", ev100=11.0, iso=400.0)
    assert q.light_reading("EV 9, ISO 25").ev100 == 11.0
    assert q.light_reading("EV 11.3 at ISO 100") == q.SaidReading("ev", ev100=11.3, iso=100.0)
    assert q.light_reading("EV 11") == q.SaidReading("ev", ev100=11.0, iso=100.0, iso_assumed=True)
    assert q.light_reading("−2 EV").ev100 == q.light_reading("EV -2").ev100 == -2.0


def test_light_as_aperture_time_and_speed_in_any_order() -> None:
    said = q.SaidReading("triple", f_number=8.0, time_s=0.008, iso=100.0)
    for text in (
        "f/8 1/125 ISO 100",
        "ISO 100, 1/125, f/8",
        "f/8,1/125,ISO 100",
        "1/125 s at f8, iso100",
        "ISO 100 1/125 f/8",
    ):
        assert q.light_reading(text) == said
    assert q.light_reading("f/5,6 0,5 s ISO 6") == q.SaidReading("triple", f_number=5.6, time_s=0.5, iso=6.0)


@pytest.mark.parametrize(
    ("text", "told"),
    [
        ("f/8 1/125", "needs its ISO."), ("1/125 ISO 100", "needs its aperture."),
        ("f/8 ISO 100", "needs its time."), ("f/8", "needs its time and its ISO."),
        ("f/8,2 s, ISO 100", "needs its time."), ("10000", "unit"), ("lx", "10000 lx"), ("EV", "EV 11"),
        ("0 lx", "below its range"), ("-5 lx", "negative"), ("9 Mlx", "reading"),
        ("10,000 lx", "two ways"), ("f/8 f/11 1/125 ISO 100", "One exposure"),
        ("f/8 0 s ISO 100", "above nothing"), ("EV 99", "from −20"), ("nan", "finite"),
    ],
)  # fmt: skip
def test_light_refused(text: str, told: str) -> None:
    assert told in refusal(q.light_reading, text)


def test_light_as_a_word() -> None:
    assert q.light_reading("Open  shade") == q.SaidReading("word", word="open shade")
    assert q.light_reading("wolkig").word == "wolkig"


def test_the_field_is_named_by_the_form() -> None:
    problems = Problems()
    with problems.at("subject"):
        q.length_mm("3")
    assert problems.found[0].sentence().startswith("subject: “3”.")


@given(st.integers(1, 10**9))
def test_scaling_a_unit_scales_the_length(thousandths: int) -> None:
    inches = thousandths / 1000
    assert q.length_mm(f"{inches:.3f} in") == pytest.approx(25.4 * inches, rel=1e-12)  # [SP811] B.8


PARSERS: list[Callable[[str], object]] = [
    q.length_mm,
    q.duration_s,
    q.f_number,
    q.sheet_size_mm,
    q.temperature_c,
    q.angle_deg,
    q.money,
    q.count,
    q.iso_number,
    q.day,
    q.stops,
    q.light_reading,
    lambda t: q.plain_number(t, -5, 5),
    lambda t: q.length_mm(t, bare="in"),
    lambda t: q.duration_s(t, bare="min"),
    lambda t: q.angle_deg(t, low=-90),
    lambda t: q.temperature_c(t, bare="C"),
]
# Text near the grammar finds more than arbitrary text does.
NEAR = st.lists(
    st.sampled_from(
        [
            *"0123456789.,:/+-−×x'\"½¾²°$£% ",
            "mm",
            "in",
            "ft",
            " s",
            "min",
            "f/",
            "ISO ",
            "EV ",
            "lx",
            "cd/m²",
            "1/125",
            "nan",
            "inf",
            "e9",
            "stop",
            "C",
            "May",
            "٣",
            "\n",
            "\0",
            "and",
            "EUR",
        ]
    ),
    max_size=14,
).map("".join)


def numbers(value: object) -> list[float]:
    if isinstance(value, q.SaidReading):
        return [x for x in (getattr(value, n) for n in value.__slots__) if isinstance(x, float)]
    if isinstance(value, tuple):
        return [x for x in value if isinstance(x, float)]
    return [float(value)] if isinstance(value, int | float) else []


@given(st.one_of(NEAR, st.text(max_size=100)))
@example("1/0.")
@example("f/8 1/0 ISO 100")
@example("EV 1/0")
@example("0.0000001 s")
def test_any_text_is_a_finite_value_or_a_refusal(text: str) -> None:
    for parse in PARSERS:
        try:
            value = parse(text)
        except Refusal:
            continue
        assert all(math.isfinite(x) for x in numbers(value))
