"""Makes authorities/light/spectra_*.csv and the shipped tables of spectra, from two open reference libraries.

Run in an environment of its own that has colour-science 0.4.7 and pvlib 0.16.1 (neither is needed to use or test the project):

    python builders/spectra.py
"""

from __future__ import annotations

import csv
import math
import os
import sys
import warnings
from pathlib import Path

warnings.filterwarnings("ignore")
import importlib  # noqa: E402

import colour  # noqa: E402
import numpy as np  # noqa: E402
from colour.colorimetry import SDS_BASIS_FUNCTIONS_CIE_ILLUMINANT_D_SERIES as BASIS  # noqa: E402
from pvlib import spectrum  # noqa: E402

ROOT = Path(__file__).resolve().parents[1]
GRID = np.arange(350, 781, 5)
SHAPE = colour.SpectralShape(350, 780, 5)
OUT = ROOT / "authorities" / "light"
TABLE = ROOT / "src" / "firstsheet" / "tables" / "spectra.toml"


def at(sd) -> np.ndarray:
    """A distribution on our grid, straight between its points; beyond them nothing."""
    return np.interp(GRID, sd.wavelengths, sd.values, left=0.0, right=0.0)


def rows(name: str, head: list[str], body: list[list[float]], said: str) -> None:
    with (OUT / name).open("w", encoding="utf-8", newline="") as file:
        file.write(f"# {said}\n")
        writer = csv.writer(file, lineterminator="\n")
        writer.writerow(head)
        for row in body:
            writer.writerow([f"{v:.6g}" if isinstance(v, float | np.floating) else v for v in row])


def shipped() -> None:
    s = [at(BASIS[k]) for k in ("S0", "S1", "S2")]
    eye = at(colour.SDS_LEFS["CIE 1924 Photopic Standard Observer"])
    cmf = colour.MSDS_CMFS["CIE 1931 2 Degree Standard Observer"]
    bars = [np.interp(GRID, cmf.wavelengths, cmf.values[:, i], left=0.0, right=0.0) for i in range(3)]
    constants = importlib.import_module("pvlib.spectrum.spectrl2")._SPECTRL2_COEFFS
    wave = np.asarray(constants["wavelength"], dtype=float)
    part = (wave >= 340) & (wave <= 800)
    text = [
        "# Spectra on a grid of 5 nm from 350 to 780 nm, and what the clear-sky model takes from the air.",
        "# Made by builders/spectra.py; do not edit. rights: facts, free to use.",
        "# s0, s1, s2  components of daylight [CIE-15]; below 380 nm too. y_eye: the eye by day, V(λ) [CIE-15]",
        "# x_bar, y_bar, z_bar  the 2° observer [CIE-15]; y_bar is the eye",
        "# clear: wavelength [nm], the sun outside the air [W/m²/nm], absorption of water, ozone and mixed gases [BIRD-1986]",
        'source = "[CIE-15], by an open library [COLOUR-SCIENCE]; [BIRD-1986], by an open library [PVLIB-2018]"',
    ]
    for key, values in (("s0", s[0]), ("s1", s[1]), ("s2", s[2]), ("x_bar", bars[0]), ("y_bar", bars[1]), ("z_bar", bars[2])):
        text.append(f"{key} = [{', '.join(f'{v:.6g}' for v in values)}]")
    assert np.allclose(bars[1], eye, atol=0.002)
    names = ("wavelength", "spectral_irradiance_et", "water_vapor_absorption", "ozone_absorption", "mixed_absorption")
    table = np.stack([np.asarray(constants[n], dtype=float)[part] for n in names], axis=1)
    text.append("clear = [")
    text += [f"  [{', '.join(f'{v:.6g}' for v in row)}]," for row in table]
    text.append("]")
    TABLE.write_text("\n".join(text) + "\n", encoding="utf-8")


def clear_sky() -> None:
    body = []
    for height in (60.0, 40.0, 20.0, 10.0, 5.0):
        zenith = 90.0 - height
        mass = 1.0 / (math.cos(math.radians(zenith)) + 0.50572 * (96.07995 - zenith) ** -1.6364)
        got = spectrum.spectrl2(apparent_zenith=zenith, aoi=zenith, surface_tilt=0, ground_albedo=0.2, surface_pressure=101325.0,
                                relative_airmass=mass, precipitable_water=1.5, ozone=0.3, aerosol_turbidity_500nm=0.1, dayofyear=80)  # fmt: skip
        wave = np.asarray(got["wavelength"])
        for i in np.flatnonzero((wave >= 350) & (wave <= 780)):
            body.append([height, float(wave[i]), float(np.ravel(got["dni"][i])[0]), float(np.ravel(got["dhi"][i])[0])])
    rows("spectra_clear.csv", ["height_deg", "wavelength_nm", "beam", "sky"], body,
         "pvlib 0.16.1, spectrum.spectrl2: 1013 hPa, water 1.5 cm, ozone 0.3 cm, aerosol 0.1 at 500 nm, ground 0.2, day 80; kind: reference; W/m²/nm [PVLIB-2018]")  # fmt: skip


def daylight() -> None:
    body = []
    for name in ("D50", "D55", "D65", "D75"):
        xy = colour.CCS_ILLUMINANTS["CIE 1931 2 Degree Standard Observer"][name]
        body.append([name, float(xy[0]), float(xy[1]), *[float(v) for v in at(colour.SDS_ILLUMINANTS[name])]])
    rows("spectra_daylight.csv", ["name", "x", "y", *[str(w) for w in GRID]], body,
         "colour-science 0.4.7, the tables of CIE 15 built in: chromaticity and relative spectrum, 100 at 560 nm; kind: published [CIE-15]")  # fmt: skip


def patches() -> None:
    """The emulsions of ours over 190 measured patches under six lights, summed by the library's own integration at 5 nm."""
    sys.path.insert(0, str(ROOT / "src"))
    from firstsheet.paper import emulsion

    folder = Path(os.path.dirname(colour.__file__)) / "characterisation" / "datasets" / "rawtoaces"
    data = list(csv.reader((folder / "190_Patches.csv").open()))
    wave = np.array([float(r[0]) for r in data if r and r[0].replace(".", "").isdigit()])
    values = np.array([[float(v) for v in r[1:] if v] for r in data if r and r[0].replace(".", "").isdigit()])
    body = []
    lights = ("A", "D50", "D65", "LED-B3", "FL11", "ISO 7589 Photographic Daylight")
    for light in lights:
        e = at(colour.SDS_ILLUMINANTS[light])
        for key in ("blue", "blue_green", "panchromatic"):
            s = np.array(emulsion.sensitivity(key))
            shape = colour.SpectralShape(GRID[0], GRID[-1], 5)
            observer = colour.MultiSpectralDistributions(np.column_stack([s, s, s]), GRID)  # the emulsion in an observer's place
            for i in range(values.shape[1]):
                r = np.interp(GRID, wave, values[:, i], left=values[0, i], right=values[-1, i])
                found = colour.colorimetry.sd_to_XYZ_integration(colour.SpectralDistribution(r, GRID), observer, colour.SpectralDistribution(e, GRID), shape=shape)
                body.append([light, key, i, math.log2(float(found[1]) / 100.0)])
    rows("spectra_patches.csv", ["light", "emulsion", "patch", "stops"], body,
         "colour-science 0.4.7, 190 measured training reflectances (BSD-3) and its lights, with this project's emulsions: log2 of exposure over a perfect white's; kind: reference [COLOUR-SCIENCE]")  # fmt: skip
    with (OUT / "spectra_reflectances.csv").open("w", encoding="utf-8", newline="") as file:
        file.write("# colour-science 0.4.7: 190 measured training reflectances and six of its lights, on 350 to 780 nm in steps of 5; rights: BSD-3-Clause [COLOUR-SCIENCE]\n")
        writer = csv.writer(file, lineterminator="\n")
        for light in lights:
            writer.writerow([light, *[f"{v:.5g}" for v in at(colour.SDS_ILLUMINANTS[light])]])
        for i in range(values.shape[1]):
            r = np.interp(GRID, wave, values[:, i], left=values[0, i], right=values[-1, i])
            writer.writerow([i, *[f"{v:.4g}" for v in r]])


if __name__ == "__main__":
    OUT.mkdir(parents=True, exist_ok=True)
    {"tables": shipped, "clear": clear_sky, "daylight": daylight, "patches": patches}[sys.argv[1]]() if len(sys.argv) > 1 else [f() for f in (shipped, clear_sky, daylight, patches)]
