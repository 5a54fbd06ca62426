"""The grain of a paper base from a photo on a light. Every photo is synthetic: an invented picture, its base's scatter known to the test alone."""

from __future__ import annotations

import numpy as np
import pytest

from firstsheet.acts import contact, contact_kept, contact_photo
from firstsheet.foresee import tone
from firstsheet.printing import mottle
from tests.printing.backlight import BARE, BOX, CORNERS, Scene, photo, wedge

SIZE = (2400, 1867)
WHERE = {"bare": BARE, "opaque": "0.1,0.5", "corners": CORNERS, "size": "8x10 in"}


def blurred(rng, shape, px):
    """White noise through a Gaussian, by its Fourier transform; unit spread."""
    f = np.hypot(np.fft.fftfreq(shape[0])[:, None], np.fft.rfftfreq(shape[1])[None, :])
    out = np.fft.irfft2(np.fft.rfft2(rng.normal(size=shape)) * np.exp(-2 * (np.pi * px * f) ** 2), s=shape)
    return out / out.std()


def negative(sd, corr_mm, seed=1):
    """Wide tones over 0.9 D, one edge of 0.3 D, and the base's scatter of `sd` [D] whose blur is `corr_mm`: lumps some four times as wide."""
    rng = np.random.default_rng(seed)
    shape = round((BOX[3] - BOX[1]) * SIZE[1]), round((BOX[2] - BOX[0]) * SIZE[0])
    wide = blurred(rng, shape, 120)
    edge = np.add.outer(np.arange(shape[0]), 0.3 * np.arange(shape[1])) > 900
    return 0.4 + 0.9 * (wide - wide.min()) / np.ptp(wide) + 0.3 * edge + sd * blurred(rng, shape, corr_mm * shape[1] / 254)


@pytest.mark.parametrize(("sd", "corr_mm", "noise"), [(0.0, 0.5, 0.008), (0.005, 0.5, 0.002), (0.01, 0.3, 0.008), (0.02, 0.6, 0.004), (0.02, 1.0, 0.004), (0.04, 0.6, 0.008)])
def test_the_bases_scatter_within_what_is_said(book, sd, corr_mm, noise):
    n = contact_photo.take_in(book, photo(negative(sd, corr_mm), Scene(noise=noise), size=SIZE))
    found = contact_photo.look(book, n, WHERE)
    assert found.grain.low <= sd <= found.grain.high
    assert found.grain.sd == pytest.approx(sd, rel=0.3, abs=0.0035)
    assert any("grain: even places scatter by" in note for note in found.notes)


def test_without_the_size_it_is_asked_for_and_too_few_pixels_say_so(book):
    n = contact_photo.take_in(book, photo(wedge((0.5, 1.0, 1.5))))
    without = {k: v for k, v in WHERE.items() if k != "size"}
    assert any("Say the sheet's size" in note for note in contact_photo.look(book, n, without).notes)
    coarse = contact_photo.look(book, n, WHERE | {"size": "20x24 in"})  # 540 pixels for 610 mm
    assert coarse.grain is None
    assert any("too few pixels" in note for note in coarse.notes)


@pytest.mark.parametrize("range_log", [0.7, 1.1, 1.6])
def test_it_prints_as_the_papers_slope_makes_it(range_log):
    # the steepest slope of the curve the positive is drawn with, by differences
    at = np.linspace(-1, 1, 2001)
    curve = tone.of_figures("contact_print", 0.07, 1.90, range_log, "")
    steepest = np.abs(np.gradient(curve.density_of(at), at)).max()
    assert mottle.printed(0.02, range_log) == pytest.approx(0.02 * steepest, rel=0.01)


def test_the_contact_print_tells_what_the_kept_negatives_base_prints_as(book):
    contact_kept.lamp(book, {"name": "phone", "kind": "point", "height": "1 m", "times": "1 2 4 8 16 s", "black": "3"})
    n = contact_photo.take_in(book, photo(negative(0.02, 0.6), size=SIZE))
    contact_photo.keep(book, n, WHERE | {"name": "boat"})
    asked = {"lamp": "phone", "negative": "boat", "facing": "together", "glass": "no", "back_print": "no", "range": "R 110"}
    (told,) = [v for v in contact.contact(book, asked).notes if "own grain" in v]
    assert "of mottle in the mid-tones: even tones look rough" in told
    contact_kept.negative(book, {"name": "boat", "clear": "0.5", "dense": "1.5"})  # read anew with a meter: nothing is known of its base
    (told,) = [v for v in contact.contact(book, asked).notes if "own grain" in v]
    assert "not in these figures" in told
