"""What people write, turned into numbers in the units used inside; what is doubtful is refused.

A unit must be said: a bare number is refused unless the caller names the unit of its field (`bare="m"`).
Arithmetic is done in exact fractions and turned into a float once, at the end. Factors: [SP811], Appendix B.
Whatever the text, a function answers or raises Refusal, with an empty `where` for the caller to fill in.
"""

from __future__ import annotations

import math
import re
from dataclasses import dataclass
from datetime import date
from decimal import Decimal
from fractions import Fraction
from typing import Literal

from firstsheet.refusal import Refusal

LONGEST_TEXT = 80

_FRACTION_SIGNS = {
    "½": "1/2",
    "⅓": "1/3",
    "⅔": "2/3",
    "¼": "1/4",
    "¾": "3/4",
    "⅕": "1/5",
    "⅖": "2/5",
    "⅗": "3/5",
    "⅘": "4/5",
    "⅙": "1/6",
    "⅚": "5/6",
    "⅐": "1/7",
    "⅛": "1/8",
    "⅜": "3/8",
    "⅝": "5/8",
    "⅞": "7/8",
    "⅑": "1/9",
    "⅒": "1/10",
}
_ALIKE = {"-": "−–‒", "x": "×✕⨯", "'": "′’‘ʹ", '"': "″”“ʺ", "/": "⁄∕", "°": "º˚", "°c": "℃", "°f": "℉"}
_SIGNS = str.maketrans(
    {sign: f" {plain} " for sign, plain in _FRACTION_SIGNS.items()}
    | {sign: plain for plain, signs in _ALIKE.items() for sign in signs}
    | {"ƒ": "f"}
)

# A decimal (point or comma, spaces between groups of three), a fraction, or a whole number with a fraction.
_DECIMAL = r"(?:[0-9]{1,3}(?: [0-9]{3})+(?![0-9])(?:[.,][0-9]+)?|[0-9]+(?:[.,][0-9]+)?|\.[0-9]+)"
_FRACTION = r"(?:[0-9]+[ -])?[0-9]+ ?/ ?[0-9]+(?:\.[0-9]+)?"
_NUMBER = rf"(?:{_FRACTION}|{_DECIMAL})"
# The same inside a list with commas: in "f/8,1/125" the comma ends the number.
_IN_LIST = r"([0-9]+(?:\.[0-9]+|,[0-9]+(?![0-9]*/))?)(?![0-9a-z])"


def _no(asked: object, allowed: str, hint: str = "") -> Refusal:
    return Refusal.one(where="", asked=asked, allowed=allowed, hint=hint)


def _clean(text: str, signed: bool = False) -> str:
    """One way of writing for every sign that has several; refuses by name what no quantity can be."""
    if not isinstance(text, str) or not text.strip():
        raise _no(text, "Something must be said here.", "Leave the field out if it is not known.")
    if len(text) > LONGEST_TEXT:
        raise _no(text, f"At most {LONGEST_TEXT} characters.", "Write only the number and its unit.")
    plain = re.sub(r"(?<=[mM])\s?²", "2", text.strip()).translate(_SIGNS).lower().replace("''", '"')
    plain = " ".join(plain.split())
    if re.search(r"(?<![^\W_])(nan|inf|infinity)(?![^\W_])|∞", plain):
        raise _no(text, "A finite number.", "Write it in digits.")
    if re.search(r"(?<![0-9.,])[1-9][0-9]{0,2}(?:,[0-9]{3})+(?![0-9])", plain):
        raise _no(text, "This comma can be read two ways.", "Write “1234” or “1.234”, whichever is meant.")
    if not signed and re.match(r"- ?[0-9.]", plain):
        raise _no(text, "It cannot be negative.", "Leave out the minus sign.")
    return plain


def _value(number: str, asked: str) -> Fraction:
    """The exact value of text that matched _NUMBER."""
    parts = re.fullmatch(r"(?:([0-9]+)[ -])?([0-9]+) ?/ ?([0-9.]+)", number)
    if parts is None:
        return Fraction(number.replace(" ", "").replace(",", "."))
    whole, top, bottom = int(parts[1] or 0), int(parts[2]), Fraction(parts[3])
    if bottom == 0:
        raise _no(asked, "A fraction cannot be over nothing.", "Write it like “1/8”.")
    if top > bottom and (parts[1] or len(parts[2]) > 1):  # "61/2" is more likely a lost space than 30.5
        raise _no(asked, "This fraction can be read two ways.", "Write it like “6 1/2” or “6.5”.")
    return whole + top / bottom


def _within(value: Fraction, low: float, high: float, asked: str, allowed: str) -> float:
    """`value` as a float if low ≤ value ≤ high, the ends as they are written: the float 0.01 lies a hair above 1/100."""
    if not Fraction(repr(low)) <= value <= Fraction(repr(high)):
        raise _no(asked, allowed, "Check the number and its unit.")
    return float(value)


@dataclass(frozen=True, slots=True)
class _Kind:
    """One kind of quantity: its units as written (name → short name, factor) and what is credible."""

    units: dict[str, tuple[str, Fraction]]
    pattern: re.Pattern[str]
    allowed: str
    hint: str
    low: float
    high: float
    unit: str
    reach: str  # from low to high, in words; "" where `allowed` says it
    pairs: tuple[str, ...] = ()  # units that may follow one another, larger first ("ft in")


def _kind(units: dict[str, Fraction], allowed: str, hint: str, span: tuple[float, float], reach: str = "", pairs: str = "") -> _Kind:
    names = {name: (row.split("|")[0], f) for row, f in units.items() for name in row.split("|")}
    either = "|".join(re.escape(n) for n in sorted(names, key=len, reverse=True))
    pattern = re.compile(rf"({_NUMBER}) ?({either})(?:\.(?![0-9]))?(?![^\W\d_]) ?")
    first = next(iter(units)).split("|")[0]
    return _Kind(names, pattern, allowed, hint, *span, first, reach, tuple(pairs.split(", ")))


_INCH_MM = Fraction(254, 10)  # exact, [SP811] B.8
_FOOT_M = Fraction(3048, 10000)  # exact, [SP811] B.8

_LENGTH = _kind(
    {"mm|millimetre|millimetres|millimeter|millimeters": Fraction(1),
     "cm|centimetre|centimetres|centimeter|centimeters": Fraction(10),
     "m|metre|metres|meter|meters": Fraction(1000),
     "km|kilometre|kilometres|kilometer|kilometers": Fraction(1_000_000),
     'in|inch|inches|"': _INCH_MM, "ft|foot|feet|'": 12 * _INCH_MM, "yd|yard|yards": 36 * _INCH_MM},
    "A length with its unit: mm, cm, m, in or ft.",
    "Write it like “600 mm”, “3.2 m”, “6 3/4 in” or “5 ft 6 in”.",
    (0.001, 1e8), "0.001 mm to 100 km", "ft in, m cm, m mm")  # fmt: skip
_DURATION = _kind(
    {"s|sec|secs|second|seconds|\"": Fraction(1), "ms|millisecond|milliseconds": Fraction(1, 1000),
     "min|mins|minute|minutes|'": Fraction(60),
     "h|hr|hrs|hour|hours": Fraction(3600), "d|day|days": Fraction(86400)},
    "A time with its unit: s, min or h.",
    "Write it like “1/125”, “2.5 s”, “2 min 30 s” or “2:30” (minutes:seconds).",
    (1e-6, 31 * 86400.0), "a millionth of a second to 31 days", "d h, h min, min s")  # fmt: skip
# 1 fc = 1 lm/ft² = 10.763 91 lx; 1 fL = (1/π) cd/ft² = 3.426 259 cd/m², [SP811] B.8
_LIGHT_HINT = "Write it like “10000 lx”, “400 cd/m²”, “EV 11 at ISO 100” or “f/8 1/125 ISO 100”."
_LIGHT_ALLOWED = "A light reading: lx, foot-candles, cd/m², EV, or aperture, time and ISO together."
_LUX = _kind(
    {"lx|lux": Fraction(1), "klx|klux|kilolux": Fraction(1000),
     "fc|ftc|ft-c|footcandle|footcandles|foot-candle|foot-candles|foot candle|foot candles": 1 / _FOOT_M**2},
    "An illuminance from 0.000001 to 1 000 000 lx; a meter that shows 0 is below its range.", _LIGHT_HINT,
    (1e-6, 1e6))  # fmt: skip
_LUMINANCE = _kind(
    {"cd/m2|cd/m^2|cd m-2|nit|nits": Fraction(1),
     "fl|ft-l|footlambert|footlamberts|foot-lambert|foot-lamberts": 1 / (Fraction(math.pi) * _FOOT_M**2)},
    "A luminance from 0.000001 to 10 000 000 000 cd/m²; a meter that shows 0 is below its range.",
    _LIGHT_HINT, (1e-6, 1e10))  # fmt: skip


def _measure(kind: _Kind, text: str, bare: str | None, zero: bool = True) -> float:
    if bare is not None and bare not in kind.units:
        raise ValueError(f"bare={bare!r} is not one of {sorted(kind.units)}")
    plain = _clean(text)
    if re.fullmatch(_NUMBER, plain):
        if bare is None:
            raise _no(text, kind.allowed, f"Say the unit: is it “{text.strip()} {kind.unit}”?")
        plain = f"{plain} {bare}"
    total, at, before = Fraction(0), 0, ("", Fraction(0))
    while at < len(plain):
        part = kind.pattern.match(plain, at)
        if part is None:
            raise _no(text, kind.allowed, kind.hint)
        value, unit = _value(part[1], text), kind.units[part[2]]
        if at and f"{before[0]} {unit[0]}" not in kind.pairs:
            raise _no(text, kind.allowed, kind.hint)
        if at and (total / before[1]).denominator != 1:
            raise _no(text, "Only the smallest unit may carry a fraction.", kind.hint)
        if at and value * unit[1] >= before[1]:
            raise _no(text, f"The {unit[0]} after {before[0]} must be less than one {before[0]}.", kind.hint)
        total, at, before = total + value * unit[1], part.end(), unit
    if zero and total == 0:
        return 0.0
    reach = f" From {kind.reach}." if zero and kind.reach else ""
    return _within(total, kind.low, kind.high, text, kind.allowed + reach)


def length_mm(text: str, bare: str | None = None) -> float:
    """A length [mm], 0 or 0.001 mm to 100 km: "600 mm", "3,2 m", `5'6"`, "6¾ in". "6 in 3/4" is refused."""
    return _measure(_LENGTH, text, bare)


def duration_s(text: str, bare: str | None = None) -> float:
    """A time [s], 0 or 1 µs to 31 days. A fraction ("1/125") is seconds; "2:30" is minutes:seconds."""
    plain = _clean(text)
    clock = re.fullmatch(r"(?:([0-9]{1,3}):)?([0-9]{1,3}):([0-5][0-9](?:[.,][0-9]+)?)", plain)
    if clock and not (clock[1] and int(clock[2]) > 59):
        total = int(clock[1] or 0) * 3600 + int(clock[2]) * 60 + _value(clock[3], text)
        return _within(total, 0, _DURATION.high, text, _DURATION.allowed)
    if re.search(r"[0-9] ?m(?![a-z])", plain):
        raise _no(text, "“m” is a metre here.", "Write “min” for minutes.")
    is_fraction = re.fullmatch(r"[0-9]+ ?/ ?[0-9.]+", plain)
    return _measure(_DURATION, text, "s" if is_fraction else bare)


def f_number(text: str) -> float:
    """An f-number, 0.5 to 2000: "f/8", "f8", "F/5.6", "8", or as engraved, "1:4.5"."""
    allowed = "An f-number from 0.5 to 2000."
    match = re.fullmatch(r"(?:f ?[/:]? ?|1 ?: ?)?([0-9]+(?:[.,][0-9]+)?|\.[0-9]+)", _clean(text))
    if match is None:
        raise _no(text, allowed, "Write it like “f/8” or “5.6”.")
    return _within(_value(match[1], text), 0.5, 2000, text, allowed)


_SIDE = rf"({_NUMBER}) ?([a-z\"']+)?\.?"
_SHEET = re.compile(rf"{_SIDE} ?(?:x|(?<![a-z])by(?![a-z])) ?{_SIDE}")


def sheet_size_mm(text: str) -> tuple[float, float]:
    """Width and height [mm, mm] as said, each 10 mm to 20 m: "20x24 in", "30 x 40 cm", `16"x20"`."""
    how = "Write it like “20x24 in” or “30 x 40 cm”: width, then height, then the unit."
    allowed = "Two sides with their unit (mm, cm, m, in), each from 10 mm to 20 m."
    # The unit may touch the x ("16inx20in"), so a unit is cut loose before the sides are read.
    match = _SHEET.fullmatch(re.sub(r"(?<=[a-z\"'])x(?= ?[0-9.])", " x", _clean(text)))
    if match is None:
        raise _no(text, allowed, how)
    first, last = match[2] or match[4], match[4]
    if first not in _LENGTH.units or last not in _LENGTH.units:
        raise _no(text, allowed, how if first else f"Say the unit: is it “{text.strip()} in”, or cm?")
    said = ((match[1], first), (match[3], last))
    sides = [_value(number, text) * _LENGTH.units[unit][1] for number, unit in said]
    width, height = (_within(side, 10, 20_000, text, allowed) for side in sides)
    return width, height


def temperature_c(text: str, bare: Literal["C", "F"] | None = None) -> float:
    """A temperature [°C], −60 to 150 °C: "20 °C", "68 F". t/°C = (t/°F − 32)/1.8, [SP811] B.8."""
    allowed = "A temperature with C or F, from −60 °C to 150 °C."
    unit = r"(?:°|deg |degrees? )? ?(c|f|celsius|fahrenheit)"
    plain = _clean(text, signed=True)
    if bare is not None and re.fullmatch(r"[+-]?[0-9., ]+", plain):
        plain = f"{plain} {bare.lower()}"
    match = re.fullmatch(rf"([+-]?) ?({_DECIMAL}) ?{unit}", plain)
    if match is None:
        raise _no(text, allowed, "Write it like “20 °C” or “68 °F”; a number alone could be either.")
    degrees = _value(match[2], text) * (-1 if match[1] == "-" else 1)
    celsius = degrees if match[3][0] == "c" else (degrees - 32) / Fraction(9, 5)
    return _within(celsius, -60, 150, text, allowed)


def angle_deg(text: str, low: float = 0.0, high: float = 360.0) -> float:
    """An angle [°] between `low` and `high`: "60°", "60 deg"."""
    allowed = f"An angle in degrees from {low:g}° to {high:g}°.".replace("-", "−")
    match = re.fullmatch(rf"([+-]?) ?({_NUMBER}) ?(?:°|deg|degrees?)", _clean(text, signed=low < 0))
    if match is None:
        raise _no(text, allowed, "Write it like “60°” or “60 deg”.")
    return _within(_value(match[2], text) * (-1 if match[1] == "-" else 1), low, high, text, allowed)


def money(text: str) -> tuple[float, str]:
    """An amount and its currency as said ("£", "EUR"; "" when unsaid), 0 to 10 000 000."""
    allowed = "An amount of money, with or without its currency, up to 10 000 000."
    unit = r"([a-z]{3}|[a-z]{0,2}[$€£¥₩₹₽₺₪₫₴₦₱฿])?"
    match = re.fullmatch(rf"{unit} ?({_DECIMAL}) ?{unit}", _clean(text))
    if match is None or (match[1] and match[3]):
        raise _no(text, allowed, "Write it like “4.50”, “£4.50” or “12 EUR”.")
    return _within(_value(match[2], text), 0, 1e7, text, allowed), (match[1] or match[3] or "").upper()


def count(text: str) -> int:
    """A whole number, 0 to 1 000 000."""
    allowed = "A whole number from 0 to 1 000 000."
    match = re.fullmatch(r"[0-9]{1,3}(?: [0-9]{3})+|[0-9]+", _clean(text))
    if match is None:
        raise _no(text, allowed, "Write it like “12”.")
    return int(_within(_value(match[0], text), 0, 1_000_000, text, allowed))


def iso_number(text: str) -> float:
    """An arithmetic ISO speed or exposure index, 0.001 to 1 000 000: "ISO 100", "EI 6", "3"."""
    allowed = "An ISO speed or exposure index from 0.001 to 1 000 000."
    match = re.fullmatch(rf"(?:iso|ei)? ?({_DECIMAL})", _clean(text))
    if match is None:
        raise _no(text, allowed, "Write it like “100” or “ISO 6”.")
    return _within(_value(match[1], text), 0.001, 1e6, text, allowed)


def written(x: float) -> str:
    """A number as a person would write it: whole as it is, else to six figures, and never in powers of ten."""
    return f"{Decimal(int(x) if x == int(x) else f'{x:.6g}'):f}"


def plain_number(text: str, low: float, high: float) -> float:
    """A number without unit, low ≤ number ≤ high."""
    allowed = f"A number from {written(low)} to {written(high)}.".replace("-", "−")
    match = re.fullmatch(rf"([+-]?) ?({_NUMBER})", _clean(text, signed=low < 0))
    if match is None:
        raise _no(text, allowed, "Write only the number, in digits.")
    return _within(_value(match[2], text) * (-1 if match[1] == "-" else 1), low, high, text, allowed)


def stops(text: str) -> float:
    """A difference in stops (log2), −30 to 30: "+1/3", "-0.5 stop", "⅔", "1 1/3 stops"."""
    allowed = "A difference in stops from −30 to +30."
    match = re.fullmatch(rf"([+-]?) ?({_NUMBER}) ?(?:stops?)?", _clean(text, signed=True))
    if match is None:
        raise _no(text, allowed, "Write it like “+1/3”, “−0.5” or “1 1/3 stops”.")
    return _within(_value(match[2], text) * (-1 if match[1] == "-" else 1), -30, 30, text, allowed)


_MONTHS = ("january", "february", "march", "april", "may", "june", "july", "august", "september", "october",
           "november", "december")  # fmt: skip


def day(text: str) -> date:
    """A day, years 1800 to 2200: "2026-05-03", "3 May 2026", "May 3, 2026". "03/05/2026" is refused."""
    plain = _clean(text)
    year, month, number = "0", "0", "0"
    if iso := re.fullmatch(r"([0-9]{4})-([0-9]{2})-([0-9]{2})", plain):
        year, month, number = iso.groups()
    elif said := re.fullmatch(r"([0-9]{1,2} )?([a-z]{3,9})\.?( [0-9]{1,2})?(?:, ?| )([0-9]{4})", plain):
        number, year = (said[1] or "") + (said[3] or ""), said[4]  # two day numbers do not make an int below
        month = next((str(i) for i, m in enumerate(_MONTHS, 1) if said[2] in (m, m[:3], m[:4])), "0")
    try:
        found = date(int(year), int(month), int(number))
    except ValueError:
        found = date.min
    if not 1800 <= found.year <= 2200:
        raise _no(text, "A day of the calendar, 1800 to 2200.", "Write “2026-05-03” or “3 May 2026”.")
    return found


@dataclass(frozen=True, slots=True)
class SaidReading:
    """A light reading as said; what the kind does not use is None.

    lux_lx           illuminance [lx]
    luminance_cdm2   luminance [cd/m²]
    ev100            exposure value for ISO 100 [log2]: EV − log2(ISO/100)
    iso, iso_assumed the ISO said with the EV; 100 and True when none was said
    word             a word for the light, in small letters; the caller knows the list
    """

    kind: Literal["lux", "luminance", "ev", "triple", "word"]
    lux_lx: float | None = None
    luminance_cdm2: float | None = None
    ev100: float | None = None
    f_number: float | None = None
    time_s: float | None = None
    iso: float | None = None
    word: str | None = None
    iso_assumed: bool = False


_ISO_AFTER = rf"(?:,? ?(?:at |@)? ?(?:iso|ei) ?({_DECIMAL}))?"
_EV_FORMS = (rf"ev ?([+-]?) ?({_NUMBER}){_ISO_AFTER}", rf"([+-]?) ?({_NUMBER}) ?ev{_ISO_AFTER}")
_F_IN_LIST = re.compile(rf"(?<![a-z0-9])f ?[/:]? ?{_IN_LIST}")
_ISO_IN_LIST = re.compile(rf"(?<![a-z])(?:iso|ei) ?{_IN_LIST}")


def light_reading(text: str) -> SaidReading:
    """Lux, foot-candles, cd/m², EV (with ISO), aperture with time and ISO in any order, or a word."""
    plain = _clean(text, signed=True)
    if re.fullmatch(r"[^\W\d_]+(?:[ '-]+[^\W\d_]+)*", plain):
        if plain in {"ev", "iso", "ei", "f"} | set(_LUX.units) | set(_LUMINANCE.units) | set(_DURATION.units):
            raise _no(text, _LIGHT_ALLOWED, _LIGHT_HINT)
        return SaidReading("word", word=plain)
    for form in _EV_FORMS:
        if match := re.fullmatch(form, plain):
            return _exposure_value(text, *match.groups())
    plain = _clean(text)
    if _LUX.pattern.fullmatch(plain):
        return SaidReading("lux", lux_lx=_measure(_LUX, text, None, zero=False))
    if _LUMINANCE.pattern.fullmatch(plain):
        return SaidReading("luminance", luminance_cdm2=_measure(_LUMINANCE, text, None, zero=False))
    return _triple(text, plain)


def _exposure_value(text: str, sign: str, number: str, iso_said: str | None) -> SaidReading:
    value = _value(number, text) * (-1 if sign == "-" else 1)
    ev = _within(value, -20, 40, text, "An exposure value from −20 to 40.")
    iso = iso_number(iso_said) if iso_said else 100.0
    return SaidReading("ev", ev100=ev - math.log2(iso / 100), iso=iso, iso_assumed=iso_said is None)


def _triple(text: str, plain: str) -> SaidReading:
    apertures, isos = _F_IN_LIST.findall(plain), _ISO_IN_LIST.findall(plain)
    rest = _ISO_IN_LIST.sub(" ", _F_IN_LIST.sub(" ", plain))
    rest = re.sub(r"(?<![0-9]),|,(?![0-9])|[;@]|\b(?:at|and)\b", " ", rest).strip()
    if len(apertures) > 1 or len(isos) > 1:
        raise _no(text, "One exposure at a time.", "Write it like “f/8 1/125 ISO 100”.")
    looks_like_a_time = re.match(rf"{_FRACTION}$|.*[0-9] ?(?:s|sec|seconds?|min|minutes?)$", rest)
    if not (apertures or isos or looks_like_a_time):
        hint = "Say the unit: lx, cd/m² or EV." if re.fullmatch(_NUMBER, plain) else _LIGHT_HINT
        raise _no(text, _LIGHT_ALLOWED, hint)
    rest = rest if re.search("[0-9]", rest) else ""
    time_s = duration_s(rest) if rest else None
    missing = [n for n, there in (("aperture", apertures), ("time", rest), ("ISO", isos)) if not there]
    if missing:
        needs = f"An exposure needs its {' and its '.join(missing)}."
        raise _no(text, needs, "Write it like “f/8 1/125 ISO 100”.")
    if not time_s:
        raise _no(text, "An exposure time above nothing.", "Write it like “1/125” or “2 s”.")
    return SaidReading("triple", f_number=f_number(apertures[0]), time_s=time_s, iso=iso_number(isos[0]))
