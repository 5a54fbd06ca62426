"""Optics against figures printed elsewhere; each table's header says whose they are."""

from __future__ import annotations

import math

import pytest

from firstsheet.camera import coverage, focus, sunburn
from firstsheet.camera.lens import Lens
from tests.camera.optics_tables import numbers, rows


@pytest.mark.parametrize("row", rows("extension.csv"), ids=lambda r: r["id"])
def test_exposure_factor_as_printed(row: dict[str, str]) -> None:
    size, against = float(row["board_or_image"]), float(row["focal_or_original"])
    m = size / against if row["rule"] == "image" else focus.magnification_at_board(against, size)
    assert focus.extension_factor(m) == pytest.approx(float(row["factor"]), abs=float(row["tolerance"]))


def test_eight_seconds_become_eighteen() -> None:
    """[SS0512]: extension 18 in, focal length 12 in, basic exposure 8 s at f/16 → 18 s at f/16."""
    assert 8 * focus.extension_factor(focus.magnification_at_board(12, 18)) == pytest.approx(18)


def test_a_factor_is_not_stops() -> None:
    """A circulating example calls a factor of 1.44 one and a half stops; log2 1.44 is 0.53. (Published
    error.)"""
    m = math.sqrt(1.44) - 1
    assert focus.extension_stops(m) == pytest.approx(0.526, abs=0.001)
    assert abs(focus.extension_stops(m) - 1.5) > 0.9


@pytest.mark.parametrize(("u", "v", "m", "factor", "stops", "n_eff"), numbers("conjugates.csv"))
def test_conjugates(u: float, v: float, m: float, factor: float, stops: float, n_eff: float) -> None:
    board = focus.board_for_subject(1000, u)
    got = focus.magnification_at_board(1000, board)
    assert board == pytest.approx(v, abs=0.006)
    assert got == pytest.approx(m, abs=6e-5)
    assert focus.extension_factor(got) == pytest.approx(factor, abs=6e-5)
    assert focus.extension_stops(got) == pytest.approx(stops, abs=6e-4)
    assert focus.effective_f_number(16, got) == pytest.approx(n_eff, abs=0.006)


@pytest.mark.parametrize(("pupil", "factor"), numbers("pupils.csv"))
def test_unsymmetrical_lens(pupil: float, factor: float) -> None:
    assert focus.extension_factor(0.5, pupil) == pytest.approx(factor)


@pytest.mark.parametrize(("angle", "factor", "stops"), numbers("cos4.csv"))
def test_falloff(angle: float, factor: float, stops: float) -> None:
    got = coverage.falloff_stops(math.tan(math.radians(angle)) * 1000, 1000)
    assert got == pytest.approx(stops, abs=6e-4)
    assert 2**got == pytest.approx(factor, abs=6e-5)


@pytest.mark.parametrize(("f", "n", "c", "u", "near", "far", "total", "close_up"), numbers("depth.csv"))
def test_depth(f: float, n: float, c: float, u: float, near: float, far: float, total: float,
               close_up: float) -> None:
    m = focus.magnification_at_board(f, focus.board_for_subject(f, u))
    before, behind = focus.depth_mm(f, n, m, c)
    assert u - before == pytest.approx(near, abs=0.006)
    assert u + behind == pytest.approx(far, abs=0.006)
    assert before + behind == pytest.approx(total, abs=0.012)
    assert focus.depth_close_up_mm(n, m, c) == pytest.approx(close_up, abs=0.006)


@pytest.mark.parametrize(("f", "n", "c", "hyperfocal"), numbers("hyperfocal.csv"))
def test_hyperfocal(f: float, n: float, c: float, hyperfocal: float) -> None:
    assert focus.hyperfocal_mm(f, n, c) == pytest.approx(hyperfocal, abs=0.006)


@pytest.mark.parametrize(("n", "airy_um"), numbers("diffraction.csv"))
def test_diffraction(n: float, airy_um: float) -> None:
    assert focus.airy_mm(n) * 1000 == pytest.approx(airy_um, abs=0.06)


@pytest.mark.parametrize(("m", "circle"), numbers("coverage.csv"))
def test_circle_grows_with_extension(m: float, circle: float) -> None:
    by_angle = Lens("a", 1000, 11, coverage_deg=60)
    by_circle = Lens("b", 1000, 11, circle_mm=1154.7005)
    assert coverage.circle_mm(by_angle, m) == pytest.approx(circle, abs=0.06)
    assert coverage.circle_mm(by_circle, m) == pytest.approx(circle, abs=0.06)


@pytest.mark.parametrize(("w", "h", "circle"), numbers("sheets.csv"))
def test_circle_a_sheet_needs(w: float, h: float, circle: float) -> None:
    # 20 × 24 in is listed as 794, by Pythagoras 793.5: the list rounds up
    assert coverage.needed_circle_mm((w * 25.4, h * 25.4)) == pytest.approx(circle, abs=0.7)


@pytest.mark.parametrize(("n", "concentration", "kw"), numbers("sun.csv"))
def test_sun_at_the_focus(n: float, concentration: float, kw: float) -> None:
    rounding = 0.51 if concentration >= 10 else 0.051  # the last printed digit
    assert sunburn.concentration(n) == pytest.approx(concentration, abs=rounding)
    assert sunburn.focus_irradiance_kw_m2(n, 0.85, 0.9) == pytest.approx(kw, rel=0.01)


@pytest.mark.parametrize(("board", "spot", "kw"), numbers("sun_off_focus.csv"))
def test_sun_on_a_board_behind_the_focus(board: float, spot: float, kw: float) -> None:
    assert sunburn.spot_mm(1000, 8, board) == pytest.approx(spot, abs=0.06)
    assert sunburn.spot_kw_m2(Lens("a", 1000, 8, transmission=0.85), board, 0.9) == pytest.approx(kw, abs=0.12)
    assert sunburn.spot_kw_m2(Lens("a", 1000, 8), 1000.0) == pytest.approx(sunburn.focus_irradiance_kw_m2(8, Lens("a", 1000, 8).transmission), rel=2e-3)


def test_sun_is_as_wide_as_its_angle() -> None:
    """Angle from the sun's nominal radius, 695 700 km (IAU 2015), at 149 597 870.7 km."""
    assert sunburn.sun_image_mm(1000) == pytest.approx(1000 * 2 * 695_700 / 149_597_870.7, rel=1e-3)


def test_depth_of_focus_at_half_life_size() -> None:
    """f/16, m 0.5, c 0.5 mm: ± 12 mm. Closed form N(1 + m)c."""
    assert focus.depth_of_focus_mm(focus.effective_f_number(16, 0.5), 0.5) == pytest.approx(12)
