"""L*a*b* against the published corners of sRGB, the definition's own value for 18 % grey, and an independent colour library."""

from __future__ import annotations

import math

import pytest
from PIL import Image, ImageCms

from firstsheet.paper import stain
from firstsheet.refusal import Refusal

# The primaries of sRGB as L*a*b*: under D65 as computed from IEC 61966-2-1 in many tables, under D50 as in the profiles of
# its colour space (from memory, both to two decimals).
PRIMARIES = {
    "D65": {(1, 0, 0): (53.24, 80.09, 67.20), (0, 1, 0): (87.73, -86.18, 83.18), (0, 0, 1): (32.30, 79.19, -107.86)},
    "D50": {(1, 0, 0): (54.29, 80.81, 69.89), (0, 1, 0): (87.82, -79.29, 80.99), (0, 0, 1): (29.57, 68.30, -112.03)},
}


@pytest.mark.parametrize("illuminant", ["D65", "D50"])
def test_the_primaries_of_srgb(illuminant):
    for rgb, published in PRIMARIES[illuminant].items():
        assert stain.lab(rgb, illuminant) == pytest.approx(published, abs=0.02)


@pytest.mark.parametrize("illuminant", ["D65", "D50"])
def test_greys_have_no_colour_and_their_published_lightness(illuminant):
    """L* 50 is Y 18.4 % by definition, 100·((50 + 16)/116)³; below Y 0.8856 % it is straight, 903.3·Y [CIE-15]."""
    for y, lightness in ((1.0, 100.0), (0.18418651851, 50.0), (0.0088564517, 8.0), (0.001, 0.9033)):
        l_star, a, b = stain.lab((y, y, y), illuminant)
        assert l_star == pytest.approx(lightness, abs=0.01)
        assert (a, b) == pytest.approx((0, 0), abs=0.01)


def test_an_independent_colour_engine_agrees():
    """Warm creams and greys through LittleCMS, an open colour engine: sRGB to L*a*b* under D50, in eight bits."""
    engine = ImageCms.buildTransform(
        ImageCms.createProfile("sRGB"), ImageCms.createProfile("LAB"), "RGB", "LAB", renderingIntent=3
    )
    for code in ((250, 240, 220), (200, 190, 170), (120, 110, 100), (60, 60, 70), (235, 235, 235)):
        l_byte, a_byte, b_byte = ImageCms.applyTransform(Image.new("RGB", (1, 1), code), engine).getpixel((0, 0))
        signed = [v - 128 for v in (a_byte, b_byte)]  # bytes, the middle is none of the colour
        linear = tuple(c / 255 / 12.92 if c / 255 <= 0.04045 else ((c / 255 + 0.055) / 1.055) ** 2.4 for c in code)
        found = stain.lab(linear)
        assert found[0] == pytest.approx(l_byte * 100 / 255, abs=0.5)
        assert found[1:] == pytest.approx(signed, abs=1.1)


def test_the_lamp_falls_out():
    """Patch and white under an orange lamp and under a white one give one colour; the white's own density counts."""
    patch, white = (0.70, 0.66, 0.55), (0.80, 0.80, 0.80)
    lamp = (1.0, 0.7, 0.4)
    plain = stain.seen(patch, white)
    lit = stain.seen(
        tuple(p * c for p, c in zip(patch, lamp, strict=True)), tuple(w * c for w, c in zip(white, lamp, strict=True))
    )
    assert (lit.lightness, lit.a, lit.b) == pytest.approx((plain.lightness, plain.a, plain.b))
    assert stain.seen(white, white, white_density=0.0).lightness == pytest.approx(100, abs=0.01)
    assert stain.seen(white, white, white_density=0.05).lightness == pytest.approx(
        116 * 10 ** (-0.05 / 3) - 16, abs=0.01
    )


def test_words_and_their_doubt():
    grey = stain.seen((0.4, 0.4, 0.4), (0.8, 0.8, 0.8))
    cream = stain.seen((0.72, 0.68, 0.55), (0.8, 0.8, 0.8))
    assert stain.words(grey).startswith("neutral")
    assert "warm, towards yellow" in stain.words(cream)
    assert "warm" in stain.words(stain.apart(grey, cream))
    assert "cold" in stain.words(stain.apart(cream, grey))
    assert stain.seen((0.4, 0.4, 0.4), (0.8, 0.8, 0.8), taken="scan").lightness_sd < grey.lightness_sd
    # the lightness's doubt is that of ±0.05 in density, by hand
    y = 0.4 / 0.8 * 10**-0.05
    steps = [116 * (y * 10**d) ** (1 / 3) - 16 for d in (-0.05, 0.05)]
    assert grey.lightness_sd == pytest.approx((steps[1] - steps[0]) / 2, rel=0.01)


def test_all_that_is_wrong_at_once():
    with pytest.raises(Refusal) as refused:
        stain.seen((math.nan, 0, 0), (0, 1, 1), taken="painting", illuminant="A")
    assert {p.where for p in refused.value.problems} == {"patch", "white", "taken", "illuminant"}
