"""The flash of a lamp's test from the curve of its paper, against the closed form the densities were made from."""

from __future__ import annotations

import math

import pytest

from firstsheet import wording
from firstsheet.acts import calibrate_curve, lamptest, leaktest
from tests.acts.evening import Evening

BASE, RISE, K, M = 0.08, 1.6, 4.0, math.log10(2.0)  # D = base + rise/(1 + exp(−K·(log H − M))): invented
LOG_H = [math.log10(0.2) + 0.15 * i for i in range(16)]
DENSITIES = " ".join(f"{BASE + RISE / (1 + math.exp(-K * (x - M))):.3f}" for x in LOG_H)
EXPOSURES = " ".join(f"{10**x:.4f}" for x in LOG_H) + " lx·s"


def test_the_flash_is_that_of_the_curve(negative: Evening) -> None:
    said = {"box": "A", "developer": "tray one", "light": "tungsten", "densities": DENSITIES, "exposures": EXPOSURES, "density_sd": "0.01"}  # fmt: skip
    assert lamptest.guide(negative.book).grey.exposure_lxs is None
    calibrate_curve.curve(negative.book, None, said)
    grey = lamptest.guide(negative.book, {"lux": "0.5"}).grey
    by_hand = 10 ** (M - math.log(RISE / 0.35 - 1) / K)  # 0.35 above base+fog, within the 0.25 to 0.50 of [K-4]
    assert grey.exposure_lxs == pytest.approx(by_hand, rel=0.06)
    assert grey.seconds_s == pytest.approx(by_hand / 0.5, rel=0.06)
    assert leaktest.guide(negative.book, {"lux": "0.5"}).grey == grey


def test_a_slower_run_asks_for_a_longer_test(negative: Evening) -> None:
    short, long = (lamptest.guide(negative.book, {"exposure": t}) for t in ("2 s", "10 min"))
    assert long.needed_s - short.needed_s == pytest.approx(598)
    assert long.totals_s[-1] > short.totals_s[-1]
    for g in (short, long):
        assert g.totals_s[-1] >= 2 * g.needed_s
        assert [round(t / 60) for t in g.totals_s[:3]] == [1, 3, 7]  # the steps of [K-4]


def test_what_the_steps_say_can_be_kept(negative: Evening) -> None:
    """An hour long: the times told are taken back as they were written."""
    book, slow = negative.book, {"exposure": "50 min"}
    lamp, leak = lamptest.guide(book, slow), leaktest.guide(book, slow)
    said = {
        "lamp": "bench lamp",
        "distance": "1 m",
        "tested": lamptest.as_said(lamp.totals_s),
        "before": "no",
        "after": "no",
    }
    assert lamptest.keep(book, said).tested_s == lamp.totals_s
    assert leaktest.keep(book, {"lay": wording.seconds(leak.lay_s), "seen": "no"}).lay_s == leak.lay_s
