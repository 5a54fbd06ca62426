"""A fine picture blurred as a board out of focus blurs it, with a phone's noise: the mark that was sharp is found again. Synthetic."""

from __future__ import annotations

import numpy as np
import pytest

from firstsheet.foresee import blur, focus
from firstsheet.refusal import Refusal


def eye(rng):
    """An eye-like thing: rings, lashes, a catch-light, on skin of soft texture."""
    x, y = np.meshgrid(np.linspace(-1, 1, 320), np.linspace(-1, 1, 240))
    r = np.hypot(x, y * 1.3)
    plane = 0.35 - 0.25 * (r < 0.28) + 0.4 * (np.hypot(x - 0.08, y + 0.1) < 0.03)
    plane += 0.1 * (np.abs(np.sin(26 * np.arctan2(y, x))) < 0.3) * ((r > 0.28) & (r < 0.45))
    return (plane + 0.01 * rng.normal(size=plane.shape)).clip(0.02, 1).astype(np.float32)


def at_mark(picture, off_mm, rng, noise=0.008, px_per_mm=1.6, light=1.0):
    """Blur on the sheet is the way from focus over the f-number: a disc of off/16 mm, here scaled to pixels of the photo."""
    seen = light * blur.blurred(picture, blur.disc(abs(off_mm) * px_per_mm))
    return (seen + noise * light**0.5 * rng.normal(size=seen.shape)).astype(np.float32)


@pytest.mark.parametrize("seed", range(6))
def test_the_sharpest_mark_is_found_between_those_tried(seed):
    rng = np.random.default_rng(seed)
    truth = 752.0 + rng.uniform(-2, 2)
    picture = eye(rng)
    marks = [740.0, 746.0, 752.0, 758.0, 764.0]
    seen = [focus.sharpness(at_mark(picture, m - truth, rng), (0.5, 0.5)) for m in marks]
    found = focus.best(marks, seen)
    assert found.side == ""
    assert abs(found.mark_mm - truth) < max(2.5 * found.sd_mm, 1.5)
    assert found.sd_mm < 4.0


def test_the_light_does_not_count():
    """Law: twice the light on the same picture is as sharp."""
    rng = np.random.default_rng(1)
    picture = eye(rng)
    one = focus.sharpness(at_mark(picture, 1.0, rng, noise=0.002), (0.5, 0.5))
    two = focus.sharpness(at_mark(picture, 1.0, rng, noise=0.002, light=2.0), (0.5, 0.5))
    assert two.value == pytest.approx(one.value, rel=0.08)


def test_more_blur_is_never_sharper():
    """Law."""
    picture = eye(np.random.default_rng(2))
    values = [focus.sharpness(at_mark(picture, off, np.random.default_rng(9), noise=0.0), (0.5, 0.5)).value for off in (0, 1, 2, 4, 8)]
    assert values == sorted(values, reverse=True)


def test_noise_alone_is_not_taken_for_sharp():
    rng = np.random.default_rng(3)
    flat = (0.3 + 0.02 * rng.normal(size=(240, 320))).astype(np.float32)
    assert not focus.sharpness(flat, (0.5, 0.5)).seen


def test_where_the_best_lies_beyond_what_was_tried_it_says_so():
    rng = np.random.default_rng(4)
    picture = eye(rng)
    marks = [740.0, 744.0, 748.0]
    found = focus.best(marks, [focus.sharpness(at_mark(picture, m - 757.0, rng), (0.5, 0.5)) for m in marks])
    assert found.side == "further"


def test_two_marks_are_not_enough():
    seen = [focus.Sharp(1.0, 0.1, True)] * 2
    with pytest.raises(Refusal):
        focus.best([740.0, 750.0], seen)
