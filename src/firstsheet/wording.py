"""Numbers turned into words for people, rounded to what they are worth.

Halves round away from zero. A minus is the sign "−". A figure and its unit are parted by an ordinary space,
thousands by a narrow no-break one from five digits on; four stay together (SI Brochure 5.4.4, [SI-BROCHURE]).
Every function raises ValueError for a number that is not finite: what is missing is the caller's to say.
"""

from __future__ import annotations

import math
from decimal import ROUND_HALF_UP, Decimal

MINUS = "−"
GROUP = "\N{NARROW NO-BREAK SPACE}"
_INCH_MM = 25.4  # exact, [SP811] B.8


def _fixed(x: float, places: int) -> str:
    """|x| with `places` decimals (negative: rounded to tens, hundreds …), thousands parted."""
    if not math.isfinite(x):
        raise ValueError(f"not a finite number: {x!r}")
    exact = Decimal(repr(abs(float(x))))
    # Rounded by scaling, not quantize to the unit, so that 28 digits of context always suffice.
    rounded = exact.scaleb(places).to_integral_value(ROUND_HALF_UP).scaleb(-places)
    text = f"{rounded:.{max(places, 0)}f}"
    whole, dot, rest = text.partition(".")
    return (f"{int(whole):,}".replace(",", GROUP) if len(whole) > 4 else whole) + dot + rest


def _significant(x: float, figures: int) -> str:
    """|x| to `figures` significant figures, zeros kept ("3.0")."""
    if not math.isfinite(x):
        raise ValueError(f"not a finite number: {x!r}")
    if x == 0:
        return "0"
    exact = Decimal(repr(abs(float(x))))
    places = figures - 1 - exact.adjusted()
    if exact.scaleb(places).to_integral_value(ROUND_HALF_UP).adjusted() >= figures:  # 9.96 → 10, not 10.0
        places -= 1
    return _fixed(x, places)


def _number(text: str) -> float:
    return float(text.replace(GROUP, ""))


def _trimmed(text: str) -> str:
    return text.rstrip("0").rstrip(".") if "." in text else text


def _minus(x: float, text: str) -> str:
    """`text` with a minus when x is below zero and the figure shown is not."""
    return MINUS + text if x < 0 and any(c in "123456789" for c in text) else text


def seconds(time_s: float) -> str:
    """A time [s]: two figures to 10 s, whole to 100 s, then "2 min 10 s", "1 h 2 min"; below a tenth as shutters mark it, "1/30 s".

    From a tenth to 0.3 s a fraction only where shutters have that mark ("1/4 s", but "0.27 s"): within 5 % of `time_s`.
    """
    figure, unit = seconds_figure(time_s)
    if unit in ("second", "seconds"):
        return f"{figure} s"
    large, _, small = figure.partition(":")
    first, second = ("min", "s") if unit == "minutes" else ("h", "min")
    return f"{large} {first}" + (f" {int(small)} {second}" if int(small) else "")


def seconds_figure(time_s: float) -> tuple[str, str]:
    """The figure of `seconds` and its word: ("2.6", "seconds"), ("1/8", "second"), ("2:10", "minutes")."""
    size = abs(time_s)
    if size == 0:
        return "0", "seconds"
    if size < 0.3:
        denominator = 1 / size if size > 1e-12 else math.inf
        if not math.isfinite(denominator):
            return "0", "seconds"
        marked = _marked(size, denominator)
        return (
            (_minus(time_s, f"1/{marked}"), "second") if marked else (_minus(time_s, _significant(size, 2)), "seconds")
        )
    if size < 9.95:
        return _minus(time_s, _significant(size, 2)), "seconds"
    whole = int(_number(_fixed(size, 0)))
    if whole <= 100:
        return _minus(time_s, str(whole)), "seconds"
    if whole < 3600:
        return _minus(time_s, f"{whole // 60}:{whole % 60:02d}"), "minutes"
    minutes = int(_number(_fixed(size / 60, 0)))
    return _minus(time_s, f"{minutes // 60}:{minutes % 60:02d}"), "hours"


# Marks of shutters between a tenth and 0.3 s. Common practice, no source.
_SPEEDS = (4, 5, 6, 8, 10)


def _marked(size: float, denominator: float) -> str:
    """The denominator by which shutters mark this time [s]; "" where none is near. What is shown reads back as itself."""
    if size < 0.1:
        return _fixed(denominator, 0).replace(GROUP, "")
    shown = _number(_significant(size, 2))
    near = [n for n in _SPEEDS if abs(denominator / n - 1) < 0.01 or abs(shown * n - 1) < 1e-9]
    return str(near[0]) if near else ""


def _stops_word(shown: str) -> str:
    return "stops" if _number(shown) > 1 else "stop"


def stops(difference: float) -> str:
    """A difference [stops] to a tenth, always signed: "+0.6 stop", "−1.3 stops", "0 stop".

    "stops" when the figure shown is larger than 1.0 either way, else "stop".
    """
    shown = _fixed(difference, 1)
    if shown == "0.0":
        return "0 stop"
    return f"{'+' if difference > 0 else MINUS}{shown} {_stops_word(shown)}"


def stops_apart(difference: float) -> str:
    """A distance [stops] to a tenth, without its sign: "0.6 stop", "1.3 stops"."""
    shown = _fixed(abs(difference), 1)
    return f"{shown} {_stops_word(shown)}"


def stops_pm(sd: float) -> str:
    """A doubt [stops] to a tenth: "±0.4 stop". A doubt above nothing is never shown as less than 0.1."""
    if sd < 0:
        raise ValueError("a doubt cannot be negative")
    shown = _fixed(max(sd, 0.1) if sd > 0 else sd, 1)
    return "±0 stop" if shown == "0.0" else f"±{shown} {_stops_word(shown)}"


def length(length_mm: float) -> str:
    """A length [mm] said at a glance: "2.5 mm", "750 mm", then metres to two figures, "3.0 m".

    For what is set with a rule (the board's place) use `millimetres`: 1250 mm is "1.3 m" here.
    """
    size = abs(length_mm)
    if 0 < size < 0.05:
        return "under 0.1 mm"
    if size < 9.95:
        text = f"{_fixed(size, 1)} mm" if size else "0 mm"
    elif size < 999.5:
        text = f"{_fixed(size, 0)} mm"
    else:
        text = f"{_significant(size / 1000, 2) if size < 99_500 else _fixed(size / 1000, 0)} m"
    return _minus(length_mm, text)


def millimetres(length_mm: float) -> str:
    """A length [mm] to the millimetre: "1250 mm"."""
    return _minus(length_mm, f"{_fixed(length_mm, 0)} mm")


def inches(length_mm: float) -> str:
    """A length [mm] in inches to a hundredth: "20 in", "6.75 in"."""
    return _minus(length_mm, f"{_trimmed(_fixed(length_mm / _INCH_MM, 2))} in")


def sheet_size(width_mm: float, height_mm: float) -> str:
    """A sheet [mm, mm]: "20 × 24 in" if both sides are quarter-inches to 0.05 mm, else "300 × 400 mm"."""
    quarters = [side / (_INCH_MM / 4) for side in (width_mm, height_mm)]
    if all(round(q) > 0 and abs(q - round(q)) * _INCH_MM / 4 < 0.05 for q in quarters):
        return " × ".join(_trimmed(_fixed(round(q) / 4, 2)) for q in quarters) + " in"
    return f"{_fixed(width_mm, 0)} × {_fixed(height_mm, 0)} mm"


def _light(value: float, unit: str) -> str:
    if value < 0:
        raise ValueError("light cannot be negative")
    if 0 < value < 1e-6:
        return f"under 0.000001 {unit}"
    return f"{_trimmed(_significant(value, 3))} {unit}"


def lux(illuminance_lx: float) -> str:
    """An illuminance [lx] to three figures at most: "10 000 lx", "0.5 lx"."""
    return _light(illuminance_lx, "lx")


def luminance(luminance_cdm2: float) -> str:
    """A luminance [cd/m²] to three figures at most: "400 cd/m²"."""
    return _light(luminance_cdm2, "cd/m²")


# The marks engraved for the full stops; the exact value of the k-th is 2^(k/2). Common practice, no source.
_MARKS = ("1", "1.4", "2", "2.8", "4", "5.6", "8", "11", "16", "22", "32", "45", "64", "90", "128")


def f_number(n: float) -> str:
    """An f-number: "f/5.6", "f/11". Within 1/50 stop of a full stop its engraved mark (5.657 → 5.6)."""
    if not (math.isfinite(n) and n > 0):
        raise ValueError("an f-number is above nothing")
    k = 2 * math.log2(n)
    if 0 <= round(k) < len(_MARKS) and abs(k - round(k)) <= 0.02:
        return f"f/{_MARKS[round(k)]}"
    return f"f/{_trimmed(_fixed(n, 1 if n < 9.95 else 0))}"


def chance(p: float) -> str:
    """A chance, 0 to 1, as "7 in 10"; certainty is never claimed.

    The nearest tenth; near the ends also "1 in 20" and "19 in 20"; beyond those
    "fewer than 1 in 20" (p < 0.05) and "more than 19 in 20" (p > 0.95).
    """
    if not 0 <= p <= 1:
        raise ValueError(f"a chance lies between 0 and 1: {p!r}")
    if p < 0.05:
        return "fewer than 1 in 20"
    if p > 0.95:
        return "more than 19 in 20"
    if p < 0.075:
        return "1 in 20"
    if p > 0.925:
        return "19 in 20"
    return f"{_fixed(10 * p, 0)} in 10"


def share(part: float) -> str:
    """A share, 0 to 1, in whole hundredths: "37 %"; a share above nothing is never shown as none."""
    if not 0 <= part <= 1:
        raise ValueError(f"a share lies between 0 and 1: {part!r}")
    return "under 1 %" if 0 < part < 0.005 else f"{_fixed(100 * part, 0)} %"


def money(amount: float, currency: str = "") -> str:
    """An amount to the hundredth: "£4.50", "12.00 EUR"; without currency when none is known."""
    figure = _fixed(amount, 2)
    if not currency:
        return _minus(amount, figure)
    return _minus(amount, f"{figure} {currency}" if currency.isalpha() else f"{currency}{figure}")


def about(amount: float, currency: str = "") -> str:
    """An amount that is only estimated, to two figures: "7.5 EUR", "£12", "0.35 EUR"; never below a hundredth."""
    size = max(abs(amount), 0.01) if amount else 0.0
    figure = _significant(size, 2) if size >= 0.1 else _fixed(size, 2)
    if not currency:
        return _minus(amount, figure)
    return _minus(amount, f"{figure} {currency}" if currency.isalpha() else f"{currency}{figure}")


def temperature(temperature_c: float) -> str:
    """A temperature [°C] to a tenth, ".0" dropped: "20 °C", "20.5 °C"."""
    return _minus(temperature_c, f"{_trimmed(_fixed(temperature_c, 1))} °C")


# Largest first: the unit, its seconds, and the least number of it that is shown (so 40 hours, not 2 days).
_AGES = (("year", 365.25 * 86400, 2), ("month", 30.4375 * 86400, 2), ("day", 86400.0, 2), ("hour", 3600.0, 1))


def age(age_s: float) -> str:
    """How long ago [s], to the nearest of its unit: "12 minutes ago", "2 hours ago", "40 hours ago".

    Under a minute "less than a minute ago". Days, months and years from two on. Below zero (a clock was set
    back, or another was ahead) "dated after now".
    """
    if not math.isfinite(age_s):
        raise ValueError(f"not a finite number: {age_s!r}")
    if age_s < 0:
        return "dated after now"
    if age_s < 60:
        return "less than a minute ago"
    for unit, size_s, least in _AGES:
        number = int(_number(_fixed(age_s / size_s, 0)))
        if age_s >= least * size_s or (unit == "hour" and age_s >= 59.5 * 60):
            return f"{_fixed(number, 0)} {unit}{'' if number == 1 else 's'} ago"
    number = int(_number(_fixed(age_s / 60, 0)))
    return f"{number} minute{'' if number == 1 else 's'} ago"
