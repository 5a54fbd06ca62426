"""Metering against published values and closed forms."""

from __future__ import annotations

import math
import subprocess
import sys
import tomllib
from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st

from firstsheet.light import meter, words
from firstsheet.refusal import Refusal

BOOK = tomllib.loads((Path(__file__).parents[2] / "authorities/light/cases.toml").read_text(encoding="utf-8"))
CASES = {c["id"]: c for c in BOOK["case"]}


@pytest.mark.parametrize("row", BOOK["ev"], ids=lambda r: f"EV{r['ev']}")
def test_ev_table(row):
    """LV/EV100 table: exact for K 12.5 and C 250, to the rounding printed for C 340."""
    assert meter.luminance_of_ev100(row["ev"]) == row["luminance_cdm2"]
    assert meter.lux_of_ev100(row["ev"]) == row["lux_flat"]
    assert meter.lux_of_ev100(row["ev"], meter.C_DOME) == pytest.approx(row["lux_dome"], abs=0.5)
    assert meter.ev100_of_luminance(row["luminance_cdm2"]) == row["ev"]
    assert meter.ev100_of_lux(row["lux_flat"]) == row["ev"]


def test_sunny_sixteen():
    """[CONRAD]: K 12.5 and f/16 at 1/S give 3200 cd/m²; EV 14.64, not the nominal 15."""
    case = CASES["sunny-16-luminance"]
    triple = tuple(case["inputs"].values())
    assert meter.midtone_luminance(how="reflected", triple=triple).luminance_cdm2 == pytest.approx(3200, rel=1e-12)
    assert meter.ev100_of_triple(*triple) == pytest.approx(case["expected"]["ev100"], abs=1e-12)


def test_against_the_reference_library():
    """colour-hdri 0.2.6 [COLOUR-HDRI]."""
    f8 = CASES["ev100-f8-250th-iso400"]
    assert meter.ev100_of_triple(8.0, 1 / 250, 400) == pytest.approx(f8["expected"]["ev100"], abs=f8["tolerance"])
    assert meter.ev100_of_luminance(4000) == pytest.approx(CASES["ev100-of-4000"]["expected"]["ev100"], abs=5e-6)
    assert meter.ev100_of_lux(82_000) == pytest.approx(CASES["ev100-of-82000"]["expected"]["ev100"], abs=5e-6)
    ev = meter.ev100_of_triple(8.0, 1 / 250, 100)
    average = CASES["average-luminance-f8-250th-iso100"]["expected"]
    assert meter.luminance_of_ev100(ev) == pytest.approx(average["luminance_cdm2"], rel=1e-9)
    assert meter.lux_of_ev100(ev) == pytest.approx(average["lux_lx"], rel=1e-9)


def test_worked_incident_reading():
    """10 000 lx, C 250: mid-tone 500 cd/m²; t = C·N²/(E·S) = 0.8963 s at N 14.6667, EI 6 (by hand)."""
    mid = meter.midtone_luminance(how="incident_flat", lux_lx=10_000)
    assert mid.luminance_cdm2 == pytest.approx(500.0, rel=1e-12)
    n_eff, ei = 44 / 3, 6
    assert meter.K * n_eff**2 / (mid.luminance_cdm2 * ei) == pytest.approx(0.8963, abs=5e-5)
    assert meter.K * n_eff**2 / (mid.luminance_cdm2 * ei) == pytest.approx(250 * n_eff**2 / (10_000 * ei), rel=1e-12)


def test_an_18_percent_card_reads_a_fifth_of_a_stop_above():
    """Diffuse card L = ρE/π = 572.96 cd/m² at 10 000 lx; against 500: log2(0.18·C/(π·K)) = 0.197."""
    card = meter.midtone_luminance(how="reflected", luminance_cdm2=0.18 * 10_000 / math.pi)
    assert card.luminance_cdm2 == pytest.approx(572.96, abs=0.005)
    light = meter.midtone_luminance(how="incident_flat", lux_lx=10_000)
    apart = math.log2(card.luminance_cdm2 / light.luminance_cdm2)
    assert apart == pytest.approx(0.1965, abs=5e-4)
    assert meter.board_lux_of_luminance(572.9578, 0.18) == pytest.approx(10_000, rel=1e-6)


def test_dome_against_flat():
    """log2(340/250) = 0.4436 stop, and it is shown."""
    flat = meter.midtone_luminance(how="incident_flat", lux_lx=10_000)
    dome = meter.midtone_luminance(how="incident_dome", lux_lx=10_000)
    assert math.log2(flat.luminance_cdm2 / dome.luminance_cdm2) == pytest.approx(0.4436, abs=5e-5)
    assert any(s.stops == pytest.approx(-0.4436, abs=5e-5) for s in dome.steps)


def test_an_incident_ev_does_not_depend_on_the_receptor():
    """E = 2.5·2^EV·(C/250), L = K·E/C: L = 0.125·2^EV whatever C."""
    for how in ("incident_flat", "incident_dome"):
        assert meter.midtone_luminance(how=how, ev100=12.0).luminance_cdm2 == pytest.approx(512, rel=1e-12)
    assert meter.midtone_luminance(how="reflected", ev100=12.0).luminance_cdm2 == 512


@given(st.floats(1, 1e5), st.floats(-3, 3))
def test_placing_halves_and_doubles(luminance, stops):
    """Law: a tone read k stops above mid-tone puts mid-tone at L/2^k; back again is the same."""
    mid = meter.midtone_luminance(how="reflected", luminance_cdm2=luminance, tone_stops=stops)
    assert mid.luminance_cdm2 * 2.0**stops == pytest.approx(luminance, rel=1e-12)
    on_board = meter.on_board(luminance, stops)
    assert on_board.illuminance_lx * 2.0**stops == pytest.approx(luminance, rel=1e-12)


@given(st.floats(-10, 20))
def test_ev_there_and_back(ev):
    assert meter.ev100_of_luminance(meter.luminance_of_ev100(ev)) == pytest.approx(ev, abs=1e-9)
    assert meter.ev100_of_lux(meter.lux_of_ev100(ev, 340), 340) == pytest.approx(ev, abs=1e-9)


@pytest.mark.parametrize(
    "asked",
    [
        {"how": "reflected", "lux_lx": 500.0},
        {"how": "incident_flat", "luminance_cdm2": 500.0},
        {"how": "incident_flat"},
        {"how": "incident_flat", "lux_lx": 500.0, "ev100": 3.0},
        {"how": "incident_flat", "lux_lx": 0.0},
        {"how": "incident_flat", "lux_lx": -1.0},
        {"how": "incident_flat", "lux_lx": float("nan")},
        {"how": "incident_flat", "lux_lx": float("inf")},
        {"how": "incident_flat", "lux_lx": 500.0, "tone_stops": 1.0},
        {"how": "incident_flat", "lux_lx": 500.0, "constant": 12.5},
        {"how": "reflected", "ev100": 40.0},
        {"how": "reflected", "ev100": 12.0, "tone_stops": float("nan")},
        {"how": "reflected", "triple": (0.0, 0.01, 100.0)},
        {"how": "sideways", "ev100": 12.0},
    ],
)
def test_refused(asked):
    with pytest.raises(Refusal):
        meter.midtone_luminance(**asked)


def test_all_problems_at_once():
    with pytest.raises(Refusal) as caught:
        meter.midtone_luminance(how="reflected", triple=(0.0, -1.0, 0.0))
    assert {p.where for p in caught.value.problems} == {"f_number", "time", "iso"}


def test_tones_follow_from_reflectance():
    """stops = log2(ρ/0.18) wherever a reflectance is given (closed form)."""
    for tone in words.tones().values():
        assert tone.source
        assert tone.sd_stops > 0
        if tone.reflectance is not None:
            assert tone.stops == pytest.approx(math.log2(tone.reflectance / 0.18), abs=0.01)
    assert words.tone("a white shirt").key == "white_shirt"
    with pytest.raises(Refusal):
        words.tone("a hat")


def test_skies_follow_the_handbook_factors():
    """Sunny-16 is 64 000 lx at C 250 [CONRAD]; other skies are so many times that (handbook ranges)."""
    skies = words.skies()
    assert skies["clear_sun"].lux_lx == 250 * 256
    handbook = {"hazy_sun": (2, 2.5), "bright_cloud": (4, 5), "heavy_cloud": (8, 10), "low_sun": (5, 10)}
    for key, (few, many) in handbook.items():
        assert skies[key].lux_lx == pytest.approx(64_000 / math.sqrt(few * many), rel=0.005)
    for sky in skies.values():
        assert sky.ev100 == pytest.approx(math.log2(sky.lux_lx / 2.5), abs=0.01)
        assert sky.light in {"sun", "open_shade", "overcast", "low_sun", "window", "tungsten"}
    # "Lux", encyclopaedia table: direct sun 32 000 to 100 000; daylight without sun 10 000 to 25 000
    assert 32_000 <= skies["clear_sun"].lux_lx <= 100_000
    assert 10_000 <= skies["bright_cloud"].lux_lx <= 25_000
    # a sky word has one meaning only
    names = [n for s in skies.values() for n in {s.key.replace("_", " "), s.words, *s.also}]
    assert len(names) == len(set(names))


def test_light_stays_light():
    """Reading a figure must not wait for picture libraries."""
    code = (
        "import sys, firstsheet.light.meter, firstsheet.light.reading, firstsheet.light.photo;"
        "import firstsheet.light.spot; print([m for m in ('numpy', 'PIL') if m in sys.modules])"
    )
    done = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, check=True)
    assert done.stdout.strip() == "[]"
