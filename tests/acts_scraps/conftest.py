"""A boathouse (invented) with two developers, and a paper known in closed form:

D = b + R/(1 + exp(−k(log H − m))). Its slope is k·(D − b)(1 − (D − b)/R), its inverse m − ln(R/(D − b) − 1)/k, both by hand.
"""

from __future__ import annotations

import math
from datetime import UTC, datetime, timedelta

import pytest

from firstsheet.acts import own, wish
from firstsheet.book.store import Book
from firstsheet.refusal import Refusal

BASE, RISE, K, M = 0.08, 1.80, 4.6, 0.45
LOG_H = [-0.6 + 0.15 * k for k in range(16)]


def density(log_h, base=BASE, rise=RISE, k=K, m=M):
    return base + rise / (1 + math.exp(-k * (log_h - m)))


def typed(values):
    return " ".join(f"{v:.3f}" for v in values)


def curve_form(developer="bought", light="tungsten", **shape):
    return {
        "box": "D", "developer": developer, "light": light, "density_sd": "0.01", "timing": "timer",
        "densities": typed(density(h, **shape) for h in LOG_H),
        "exposures": " ".join(f"{10**h:.4f}" for h in LOG_H) + " lx·s",
    }  # fmt: skip


class Clock:
    def __init__(self):
        self.at = datetime(2026, 5, 3, 9, 0, tzinfo=UTC)

    def __call__(self):
        return self.at

    def pass_days(self, days):
        self.at += timedelta(days=days)


@pytest.fixture
def clock():
    return Clock()


def furnish(book):
    own.add_camera(book, {"name": "boathouse", "focal": "600 mm", "f_number": "f/8", "board_min": "620 mm", "board_max": "1100 mm",
                          "length": "2.4 m", "width": "2 m", "height": "2.1 m"})  # fmt: skip
    own.add_box(book, {"name": "D", "paper": "enlarging", "size": "12x16 in", "sheets": "25"})
    own.add_developer(book, {"name": "bought", "kind": "paper"})
    own.add_developer(book, {"name": "brew", "kind": "coffee"})
    wish.say(book, {"box": "D", "developer": "bought", "way": "paper_negative"})


@pytest.fixture
def book(clock):
    with Book.open(memory=True, now=clock) as opened:
        furnish(opened)
        yield opened


def dim(book):
    """A plan of long seconds: the mid-tone's lux on the board are a twentieth."""
    wish.say(book, {"light": "sun", "reading": "0.05 lx on the board", "aperture": "f/8"})


def answered(ask):
    """What an act answers, or the fields that its refusal names."""
    try:
        return ask(), set()
    except Refusal as refusal:
        return None, {p.where.split(".")[0] for p in refusal.problems}
