"""Spectra of light on a grid of 5 nm from 350 to 780 nm: daylight, clear sky by the sun's height, sky, glass, lamps.

A spectrum is a tuple of relative power per nanometre, one figure for each wavelength of `GRID_NM`. Nothing here is imported that
takes time; sums are plain Python.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass
from functools import cache
from typing import Any

from firstsheet import tables
from firstsheet.refusal import Refusal

GRID_NM = tuple(range(350, 781, 5))
Spectrum = tuple[float, ...]
C2 = 1.4388e-2  # m·K: second radiation constant of the temperature scale in force [CIE-15]
KELVIN = (4000.0, 25_000.0)  # of CIE daylight
PLANCK_KELVIN = (1500.0, 20_000.0)
HEIGHT_DEG = (4.0, 90.0)  # below it no clear-sky model of this kind holds
WATER_CM, OZONE_CM, AEROSOL, GROUND = 1.5, 0.30, 0.10, 0.20  # ordinary clear air; common practice, no source
ALBEDO_400, ALPHA, VARIES, FORWARD = 0.945, 1.14, 0.095, 0.65  # rural aerosol [BIRD-1986]


@dataclass(frozen=True, slots=True)
class Kind:
    """One kind of light: its spectrum, words, source, and how far its temperature scatters [mired, one sd]."""

    key: str
    words: str
    spectrum: Spectrum
    source: str
    mired_sd: float


def _table(key: str) -> tuple[float, ...]:
    return tuple(float(v) for v in tables.load("spectra")[key])


@cache
def bar(key: str) -> Spectrum:
    """x_bar, y_bar or z_bar of the 2° observer. [CIE-15]"""
    return _table(key)


def eye() -> Spectrum:
    """V(λ), the eye by day. [CIE-15]"""
    return bar("y_bar")


def daylight(kelvin: float) -> Spectrum:
    """CIE daylight of a correlated colour temperature, 100 at 560 nm; 4000 to 25 000 K. [CIE-15]

    The nominal temperatures of D50 to D75 are of an older temperature scale: `daylight(6500 * 1.4388 / 1.4380)` is D65.
    """
    _within("kelvin", kelvin, KELVIN, "K")
    inverse = 1000.0 / kelvin
    if kelvin <= 7000.0:
        x = 0.244063 + 0.09911 * inverse + 2.9678 * inverse**2 - 4.6070 * inverse**3
    else:
        x = 0.237040 + 0.24748 * inverse + 1.9018 * inverse**2 - 2.0064 * inverse**3
    y = -3.000 * x * x + 2.870 * x - 0.275
    m = 0.0241 + 0.2562 * x - 0.7341 * y
    m1 = round((-1.3515 - 1.7703 * x + 5.9114 * y) / m, 3)
    m2 = round((0.0300 - 31.4424 * x + 30.0717 * y) / m, 3)
    return tuple(a + m1 * b + m2 * c for a, b, c in zip(_table("s0"), _table("s1"), _table("s2"), strict=True))


def planck(kelvin: float) -> Spectrum:
    """A glowing body, 1 at 560 nm; 1500 to 20 000 K. [CIE-15]"""
    _within("kelvin", kelvin, PLANCK_KELVIN, "K")

    def power(nm: float) -> float:
        return (nm / 560.0) ** -5 / math.expm1(C2 / (nm * 1e-9 * kelvin))

    middle = power(560.0)
    return tuple(power(nm) / middle for nm in GRID_NM)


def clear_sky(height_deg: float) -> tuple[Spectrum, Spectrum]:
    """Direct sun on a face turned to it, and the sky on level ground, in clear air [W/m²/nm]; sun from 4° up. [BIRD-1986]

    Sea level, water 1.5 cm, ozone 0.3 cm, aerosol 0.1 at 500 nm, ground 0.2; the earth's mean distance.
    """
    _within("height", height_deg, HEIGHT_DEG, "°")
    zenith = 90.0 - height_deg
    cos_z = math.cos(math.radians(zenith))
    mass = 1.0 / (cos_z + 0.50572 * (96.07995 - zenith) ** -1.6364)
    h0 = 22.0 / 6370.0
    ozone_mass = (1.0 + h0) / math.sqrt(cos_z**2 + 2.0 * h0)
    alg = math.log(1.0 - FORWARD)
    bfs = alg * (0.0783 + alg * (-0.3824 - alg * 0.5874))
    afs = alg * (1.459 + alg * (0.1595 + alg * 0.4129))
    fs = 1.0 - 0.5 * math.exp((afs + bfs * cos_z) * cos_z)
    fsp = 1.0 - 0.5 * math.exp((afs + bfs / 1.8) / 1.8)
    beam, sky = [], []
    for row in tables.load("spectra")["clear"]:
        here = _through_air(row, mass, ozone_mass)
        steep = _through_air(row, 1.8, ozone_mass)
        direct = row[1] * here["ray"] * here["aer"] * here["water"] * here["ozone"] * here["mixed"]
        back = steep["mixed"] * steep["water"] * steep["absorbed"] * (0.5 * (1 - steep["ray"]) + (1 - fsp) * steep["ray"] * (1 - steep["scattered"]))
        common = row[1] * cos_z * here["ozone"] * here["mixed"] * here["water"] * here["absorbed"]
        rayleigh = common * (1 - here["ray"] ** 0.95) * 0.5
        aerosol = common * here["ray"] ** 1.5 * (1 - here["scattered"]) * fs
        ground = (direct * cos_z + rayleigh + aerosol) * back * GROUND / (1 - back * GROUND)
        blue = ((row[0] + 550.0) / 1000.0) ** 1.8 if row[0] <= 450.0 else 1.0
        beam.append(direct)
        sky.append((rayleigh + aerosol + ground) * blue)
    wave = [float(row[0]) for row in tables.load("spectra")["clear"]]
    return on_grid(wave, beam), on_grid(wave, sky)


def _through_air(row: Sequence[float], mass: float, ozone_mass: float) -> dict[str, float]:
    """What the air lets through at one wavelength, by cause [1]."""
    nm, _, water, ozone, mixed = row
    um = nm / 1000.0
    absolute = mass * 1013.25 / 1013.0
    depth = AEROSOL * (nm / 500.0) ** -ALPHA
    albedo = ALBEDO_400 * math.exp(-VARIES * math.log(nm / 400.0) ** 2)
    wet, gases = water * WATER_CM * mass, mixed * absolute
    return {
        "ray": math.exp(-absolute / (um**4 * (115.6406 - 1.3366 / um**2))),
        "aer": math.exp(-depth * mass),
        "water": math.exp(-0.2385 * wet / (1 + 20.07 * wet) ** 0.45),
        "ozone": math.exp(-ozone * OZONE_CM * ozone_mass),
        "mixed": math.exp(-1.41 * gases / (1 + 118.3 * gases) ** 0.45),
        "scattered": math.exp(-albedo * depth * mass),
        "absorbed": math.exp(-(1 - albedo) * depth * mass),
    }


def in_sun(height_deg: float) -> Spectrum:
    """Sun and sky together on a face turned to the sun: the beam, and half the sky an upright face sees."""
    beam, sky = clear_sky(height_deg)
    return tuple(b + 0.5 * s for b, s in zip(beam, sky, strict=True))


def led(kelvin: float = 4000.0) -> Spectrum:
    """A white lamp of a blue diode and a phosphor: a bell curve at 448 nm and a lopsided one near 580, in the proportion this
    temperature asks for. Middles and widths fitted to the CIE's LED-B3, 4100 K [CIE-15]; such lamps differ by maker.
    """
    _within("kelvin", kelvin, (2500.0, 7000.0), "K")
    middle = 629.0 - 0.012 * kelvin

    def mixed(blue: float) -> Spectrum:
        return tuple(blue * math.exp(-0.5 * ((nm - 448.0) / 10.0) ** 2) + math.exp(-0.5 * ((nm - middle) / (60.0 if nm < middle else 65.0)) ** 2) for nm in GRID_NM)

    want = chromaticity(planck(kelvin) if kelvin < 4000 else daylight(max(kelvin, 4000.0)))
    low, high = 0.0, 5.0
    for _ in range(40):
        blue = 0.5 * (low + high)
        x, y = chromaticity(mixed(blue))
        low, high = (blue, high) if x + y > want[0] + want[1] else (low, blue)
    return mixed(0.5 * (low + high))


def window_glass() -> Spectrum:
    """What ordinary window glass lets through [1]: 0.88, falling away below 380 nm. From memory; old greenish glass passes less."""
    return tuple(0.88 / (1.0 + math.exp(-(nm - 340.0) / 9.0)) * (1.0 - 0.03 * max(nm - 650.0, 0.0) / 130.0) for nm in GRID_NM)


def lens_glass(cut_nm: float = 365.0) -> Spectrum:
    """What a lens lets through relative to green [1]: half at `cut_nm`, steep there; old or yellowed glass cuts higher, to 420."""
    _within("cut", cut_nm, (330.0, 450.0), "nm")
    return tuple(1.0 / (1.0 + math.exp(-(nm - cut_nm) / 8.0)) for nm in GRID_NM)


def mired(kelvin: float) -> float:
    """10⁶/K [mired]. Domain: kelvin > 0."""
    return 1e6 / kelvin


def chromaticity(spectrum: Spectrum) -> tuple[float, float]:
    """x, y of the 2° observer. [CIE-15]"""
    big = [total(spectrum, bar(k)) for k in ("x_bar", "y_bar", "z_bar")]
    return big[0] / sum(big), big[1] / sum(big)


def total(*parts: Sequence[float]) -> float:
    """Sum of the product of spectra over the grid, each figure standing for its 5 nm, as the CIE sums [unit·nm]. [CIE-15]

    Trapezia would halve the first 5 nm: up to 0.02 stop on blue-seeing paper with no glass before it.
    """
    products: list[float] = [math.prod(each) for each in zip(*parts, strict=True)]
    return 5.0 * sum(products)


@cache
def kinds() -> dict[str, Kind]:
    """The kinds of light by the keys of the table of lights."""
    sky_alone = clear_sky(40.0)[1]
    glass = window_glass()
    out = {
        "sun": Kind("sun", "direct sun", daylight(5500.0), "CIE daylight of 5500 K [CIE-15]", 12.0),
        "overcast": Kind("overcast", "overcast", daylight(6700.0), "CIE daylight of 6700 K: 6000 to 7000 K, photographic tables [CIE-15]", 10.0),
        "open_shade": Kind("open_shade", "open shade", sky_alone, "the clear sky's own light, sun at 40° [BIRD-1986]", 20.0),
        "low_sun": Kind("low_sun", "low sun", in_sun(7.0), "sun at 7° and half the sky [BIRD-1986]", 30.0),
        "window": Kind("window", "window light indoors", tuple(a * b for a, b in zip(daylight(7500.0), glass, strict=True)), "CIE daylight of 7500 K through glass [CIE-15]", 25.0),
        "tungsten": Kind("tungsten", "tungsten lamp", planck(2900.0), "a glowing body of 2900 K [CIE-15]", 15.0),
        "led": Kind("led", "white LED", led(5000.0), "a diode and a phosphor of 5000 K, after LED-B3 [CIE-15]", 35.0),
        "flash": Kind("flash", "electronic flash", daylight(5800.0), "near CIE daylight of 5800 K, from memory", 12.0),
    }
    return out


def warmed(spectrum: Spectrum, by_mired: float) -> Spectrum:
    """The spectrum through an ideal converter: + is yellower. Wien's form, 1 at 560 nm: exp(−c₂·Δ·(1/λ − 1/560 nm))."""
    return tuple(e * math.exp(-C2 * by_mired * 1e-6 * (1e9 / nm - 1e9 / 560.0)) for e, nm in zip(spectrum, GRID_NM, strict=True))


def on_grid(wave: Sequence[float], values: Sequence[float]) -> Spectrum:
    """Points at rising wavelengths [nm] that span the grid, straight between them."""
    out, i = [], 0
    for nm in GRID_NM:
        while wave[i + 1] < nm:
            i += 1
        part = (nm - wave[i]) / (wave[i + 1] - wave[i])
        out.append(values[i] * (1 - part) + values[i + 1] * part)
    return tuple(out)


def _within(where: str, value: Any, limits: tuple[float, float], unit: str) -> None:
    if not (isinstance(value, int | float) and math.isfinite(value) and limits[0] <= value <= limits[1]):
        raise Refusal.one(where, value, f"From {limits[0]:g} to {limits[1]:g} {unit}.")
