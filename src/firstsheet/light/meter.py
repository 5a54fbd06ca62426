"""What a meter says, turned into the luminance a correct meter would call mid-tone.

Everything downstream meters by t = K·N²/(L·S) with K 12.5, so an incident reading becomes L = K·E/C: then
t = C·N²/(E·S) comes out exactly. Standards are quoted as cited in [CONRAD]; clause wording not seen.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import Literal

from firstsheet.refusal import Problems, Refusal

How = Literal["incident_flat", "incident_dome", "reflected"]

K = 12.5  # reflected-light constant; recommended 10.6 to 13.4 [ISO-2720]; 14 is in use
C_FLAT = 250.0  # incident, flat (cosine) receptor; 240 to 400, from memory [ISO-2720]
C_DOME = 340.0  # incident, hemispherical receptor; 320 to 540, from memory [ISO-2720]
ALLOWED_CONSTANT: dict[str, tuple[float, float]] = {
    "reflected": (10.6, 14.0),  # the recommended range, widened to the 14 that is in use
    "incident_flat": (240.0, 400.0),
    "incident_dome": (320.0, 540.0),
}
Q = 0.65  # camera factor of H = q·L·t/N²: T 0.90, v 0.98, 10° off axis give 0.6516 [ISO-12232]
METER_SD_STOPS = 0.15  # a hand meter; the recommended range of K alone is ± 0.17
BOARD_SD_STOPS = 0.10  # a lux meter on the board: no lens, stop or fall-off in between

LUX_LX = (1e-3, 200_000.0)  # the sun outside the air gives 133 100 lx [IES, from memory]
LUMINANCE_CDM2 = (1e-5, 1e6)  # bright cloud is 1e4; beyond 1e6 one is reading a lamp or the sun
EV100 = (-10.0, 20.0)


@dataclass(frozen=True, slots=True)
class Step:
    """One link from what was read to what it means.

    stops   its size [stop, + more light], None where a size means nothing
    source  bibliography key in square brackets, or where else it came from
    value, unit  the running quantity after this step, where there is one
    """

    name: str
    stops: float | None
    source: str
    value: float | None = None
    unit: str = ""


@dataclass(frozen=True, slots=True)
class MidTone:
    """The luminance a correct meter (K 12.5) would call mid-tone.

    luminance_cdm2      [cd/m²]
    sd_stops            doubt, all causes of this reading together [stop]
    range_stops         brightest minus darkest of what was read, as read [stop]; 0 for one reading
    disagreement_stops  how much the readings, each placed on its tone, differ: standard deviation [stop]
    """

    luminance_cdm2: float
    sd_stops: float
    steps: tuple[Step, ...]
    range_stops: float = 0.0
    disagreement_stops: float = 0.0


@dataclass(frozen=True, slots=True)
class OnBoard:
    """Illuminance of a mid-tone on the paper [lx], read inside: the lens is already in it."""

    illuminance_lx: float
    sd_stops: float
    steps: tuple[Step, ...]


# --- conversions ----------------------------------------------------------------------------------


def luminance_of_ev100(ev100: float, k: float = K) -> float:
    """[cd/m²] of a reflected EV at ISO 100: K·2^EV/100 = 0.125·2^EV for K 12.5. [ISO-2720]"""
    return k / 100.0 * math.exp2(ev100)


def ev100_of_luminance(luminance_cdm2: float, k: float = K) -> float:
    """Inverse of `luminance_of_ev100`; luminance > 0 [cd/m²]."""
    return math.log2(luminance_cdm2 * 100.0 / k)


def lux_of_ev100(ev100: float, c: float = C_FLAT) -> float:
    """[lx] of an incident EV at ISO 100: C·2^EV/100 = 2.5·2^EV for C 250. [ISO-2720]"""
    return c / 100.0 * math.exp2(ev100)


def ev100_of_lux(lux_lx: float, c: float = C_FLAT) -> float:
    """Inverse of `lux_of_ev100`; illuminance > 0 [lx]."""
    return math.log2(lux_lx * 100.0 / c)


def ev100_of_triple(f_number: float, time_s: float, iso: float) -> float:
    """EV at ISO 100 of a setting: log2(N²/t · 100/S); all > 0. f/16 at 1/100 s is 14.64, not 15."""
    return math.log2(f_number * f_number / time_s * 100.0 / iso)


# --- one reading ----------------------------------------------------------------------------------


def midtone_luminance(
    *,
    how: How,
    lux_lx: float | None = None,
    luminance_cdm2: float | None = None,
    ev100: float | None = None,
    triple: tuple[float, float, float] | None = None,
    tone_stops: float = 0.0,
    constant: float | None = None,
) -> MidTone:
    """The mid-tone luminance of one reading given in exactly one form.

    how             incident_flat, incident_dome or reflected
    lux_lx          light falling on a flat or domed receptor, incident only [lx]
    luminance_cdm2  light coming from a tone, reflected only [cd/m²]; a photo's luminance goes this way
    ev100, triple   EV at ISO 100, or (f-number, time [s], ISO) the meter showed; either way of reading
    tone_stops      where the tone read lies from mid-tone, reflected only [stop, + brighter]
    constant        the meter's own C or K where it is known; None for C 250, C 340 or K 12.5

    Refuses a form that does not fit the way of reading, and values no daylight or lamp gives.
    Left out: the meter's colour response (belief carries it) and its angle of view.
    """
    check_given(how, {"lux": lux_lx, "luminance": luminance_cdm2, "ev": ev100, "triple": triple}, tone_stops)
    const, const_step = _constant(how, constant)
    ev = ev100 if triple is None else _checked_triple(triple)
    if how == "reflected":
        if ev is not None:
            check_range("ev", ev, EV100, "EV at ISO 100")
            luminance_cdm2 = luminance_of_ev100(ev, const)
        assert luminance_cdm2 is not None
        check_range("luminance", luminance_cdm2, LUMINANCE_CDM2, "cd/m²")
        read = Step("read by reflection", None, "reading", luminance_cdm2, "cd/m²")
        middle = luminance_cdm2 / math.exp2(tone_stops)
        placed = Step("the tone read, placed", -tone_stops, "placement", middle, "cd/m²")
        return MidTone(middle, METER_SD_STOPS, (read, *([const_step] if ev is not None else []), placed))
    if ev is not None:
        check_range("ev", ev, EV100, "EV at ISO 100")
        lux_lx = lux_of_ev100(ev, const)
    assert lux_lx is not None
    check_range("lux", lux_lx, LUX_LX, "lx")
    middle = K * lux_lx / const
    read = Step("read as incident light", None, "reading", lux_lx, "lx")
    turned = Step("mid-tone by L = K·E/C, K 12.5", None, "[ISO-2720] [CONRAD]", middle, "cd/m²")
    return MidTone(middle, METER_SD_STOPS, (read, const_step, turned))


def on_board(lux_lx: float, tone_stops: float = 0.0) -> OnBoard:
    """Mid-tone illuminance on the paper from a lux meter held where a tone of the picture falls on the board.

    lux_lx      [lx], the receptor flat on the board, the reader out of the light
    tone_stops  where that tone lies from mid-tone [stop, + brighter]

    Skips lens, stop, extension, filter and fall-off: none of them may be applied again.
    """
    check_range("board", lux_lx, (1e-4, 1e5), "lx")
    check_range("tone", tone_stops, (-6.0, 6.0), "stops")
    middle = lux_lx / math.exp2(tone_stops)
    read = Step("read on the board", None, "reading", lux_lx, "lx")
    placed = Step("the tone read, placed", -tone_stops, "placement", middle, "lx")
    return OnBoard(middle, BOARD_SD_STOPS, (read, placed))


def board_lux_of_luminance(luminance_cdm2: float, reflectance: float = 0.85) -> float:
    """Illuminance on a matt board from its luminance: E = π·L/ρ [lx]; closed form, diffuse surface.

    reflectance  0 < ρ ≤ 1; matt white paint 0.80 to 0.90, a grey patch 0.18 (common practice, no source)
    """
    check_range("board", luminance_cdm2, (1e-5, 1e5), "cd/m²")
    check_range("reflectance", reflectance, (0.01, 1.0), "reflectance")
    return math.pi * luminance_cdm2 / reflectance


# --- checks ---------------------------------------------------------------------------------------


def check_range(where: str, value: float, allowed: tuple[float, float], unit: str) -> None:
    """Refuse a value that is not a finite number within `allowed`, ends included."""
    low, high = allowed
    if not (isinstance(value, (int, float)) and math.isfinite(value) and low <= value <= high):
        lowest, highest = (f"{end:g}".replace("-", "−") for end in allowed)
        hint = "Check the decimal point and the unit." if value else "Leave out a reading too dark to make."
        raise Refusal.one(where, value, f"From {lowest} to {highest} {unit}.", hint)


def check_given(how: str, forms: dict[str, object], tone_stops: float) -> None:
    """Refuse, all at once, what does not fit the way of reading."""
    problems = Problems()
    given = [name for name, value in forms.items() if value is not None]
    if how not in ALLOWED_CONSTANT:
        problems.add("how", how, "Incident (flat or dome) or reflected.", "Say where the meter was pointed.")
    if len(given) != 1:
        asked = " and ".join(given) or "nothing"
        problems.add("reading", asked, "One: lx, cd/m², EV, or f-number with time and ISO.", "")
    if how == "reflected" and "lux" in given:
        problems.add("how", how, "Lux is light falling on something.", "Say incident, or read cd/m² or EV.")
    if how != "reflected" and "luminance" in given:
        problems.add("how", how, "cd/m² is light coming from a tone.", "Say reflected, and the tone.")
    with problems.at("tone"):
        check_range("tone", tone_stops, (-6.0, 6.0), "stops from mid-tone")
    if how != "reflected" and tone_stops:
        problems.add("tone", tone_stops, "Incident light falls on every tone alike.", "Leave the tone out.")
    problems.raise_if_any()


def _checked_triple(triple: tuple[float, float, float]) -> float:
    problems = Problems()
    limits = (("f_number", (0.5, 1024.0), ""), ("time", (1e-6, 86_400.0), "s"), ("iso", (0.1, 1e7), "ISO"))
    for value, (where, allowed, unit) in zip(triple, limits, strict=True):
        with problems.at(where):
            check_range(where, value, allowed, unit)
    problems.raise_if_any()
    return ev100_of_triple(*triple)


def _constant(how: How, said: float | None) -> tuple[float, Step]:
    """The meter's constant and the step that shows it: dome against flat is 0.44 stop, never silent."""
    usual = {"reflected": K, "incident_flat": C_FLAT, "incident_dome": C_DOME}[how]
    if said is not None:
        check_range("constant", said, ALLOWED_CONSTANT[how], "as a meter's constant")
    const = usual if said is None else said
    if how == "reflected":
        return const, Step(f"meter constant K {const:g}", math.log2(const / K), "[ISO-2720] [CONRAD]")
    receptor = "flat" if how == "incident_flat" else "dome"
    return const, Step(f"{receptor} receptor, C {const:g}", math.log2(C_FLAT / const), "[ISO-2720]")
