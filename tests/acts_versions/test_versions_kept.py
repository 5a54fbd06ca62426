"""Which did you want, through a curve that was really kept: drawn by its own table, of this light before others, and named."""

from __future__ import annotations

import math

import numpy as np
import pytest

from firstsheet.acts import calibrate_curve, versions
from firstsheet.foresee import tone
from tests.acts_scraps.conftest import book, clock, curve_form  # noqa: F401  the boathouse and its clock

STOP = math.log10(2)


def lopsided(log_h):
    """A long toe and a short shoulder, far from a logistic: D = 0.08 + 1.8·(1 − exp(−ln 2·10^{1.1(log H − 0.5)})), in closed form."""
    return 0.08 + 1.8 * (1 - np.exp(-math.log(2) * 10 ** (1.1 * (np.asarray(log_h) - 0.5))))


STEPS = [-1.2 + 0.15 * k for k in range(19)]


def kept(book, light="tungsten", **more):  # noqa: F811
    form = curve_form(light=light) | {
        "densities": " ".join(f"{d:.3f}" for d in lopsided(STEPS)), "exposures": " ".join(f"{10**h:.5f}" for h in STEPS) + " lx·s",
    }  # fmt: skip
    return calibrate_curve.curve(book, None, form | more, teach=False)


def test_the_kept_table_draws_it_and_no_logistic_does(book):  # noqa: F811
    """A stop more, from densities 0.2 to 1.7: by the closed form's own inverse, within 0.04, where a logistic through the same
    ISO R, base and Dmax is off by more than twice that somewhere."""
    curve = kept(book)
    tones, number = versions.tones_of(book, "paper_negative", "D", "bought", "sun")
    assert number == curve.curve
    assert tones.measured
    assert tones.words == "the curve measured of box D in bought, tungsten lamp (counts in no plan)"
    d = np.linspace(0.2, 1.7, 40)
    log_h = 0.5 + np.log10(-np.log(1 - (d - 0.08) / 1.8) / math.log(2)) / 1.1
    truth = lopsided(log_h + STOP) - d
    assert np.abs(tones.change(d, 1.0) - truth).max() < 0.04
    f = {x.key: x.value for x in curve.figures}
    logistic = tone.of_figures("paper_negative", f["base"], f["dmax"], f["iso_r"] / 100, "")
    assert np.abs(logistic.change(d, 1.0) - truth).max() > 0.10


def test_the_light_of_the_sheet_comes_first_and_contact_prints_share_the_paper(book):  # noqa: F811
    sun, lamp = kept(book, "sun"), kept(book)
    assert versions.tones_of(book, "paper_negative", "D", "bought", "sun")[1] == sun.curve
    assert versions.tones_of(book, "paper_negative", "D", "bought", "overcast")[1] == lamp.curve  # else the newest
    assert versions.tones_of(book, "contact_print", "D", "bought", "tungsten")[1] == lamp.curve
    assert versions.tones_of(book, "paper_negative", "D", "brew", "sun")[1] is None
    assert not versions.tones_of(book, "direct_positive", "D", "bought", "sun")[0].measured


def test_a_curve_shone_through_never_draws_what_is_looked_at(book):  # noqa: F811
    kept(book, kind="transmission")
    tones, number = versions.tones_of(book, "paper_negative", "D", "bought", "tungsten")
    assert number is None
    assert "stands in" in tones.words


def test_a_strip_that_reached_no_black_leaves_its_doubt(book):  # noqa: F811
    """Steps to 1.2 only: Dmax is carried on by the fit, and its doubt is wider than a full strip's."""
    full = versions.tones_of(book, "paper_negative", "D", "bought")[0] if kept(book) else None
    short = [h for h in STEPS if lopsided(h) < 1.2]
    kept(
        book,
        densities=" ".join(f"{d:.3f}" for d in lopsided(short)),
        exposures=" ".join(f"{10**h:.5f}" for h in short) + " lx·s",
    )
    part = versions.tones_of(book, "paper_negative", "D", "bought")[0]
    assert full is not None
    assert part.end_sd > full.end_sd
    assert part.dmax > 1.25


@pytest.mark.parametrize("way", ["paper_negative", "contact_print"])
def test_with_no_curve_it_says_what_stands_in(book, way):  # noqa: F811
    tones, number = versions.tones_of(book, way, "D", "bought")
    assert number is None
    assert not tones.measured
    assert "common practice, no source" in tones.words
