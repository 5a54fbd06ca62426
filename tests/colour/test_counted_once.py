"""A brightness told to the pack and in judging the same sheet counts once, whatever the judgement taught: box, kind, light, developer, camera."""

from __future__ import annotations

import math
from datetime import UTC, datetime

import pytest

from firstsheet.acts import expose, judge, own, pack, plan, wish
from firstsheet.book.store import Book


@pytest.mark.parametrize("light", ["sun", "open_shade", "tungsten"])
@pytest.mark.parametrize("speed", [{}, {"ei": "1"}], ids=["reported", "own"])
def test_told_and_judged_is_about_as_much_as_told(tmp_path, light, speed):
    asked = []
    with Book.open(tmp_path / "once.sqlite", now=lambda: datetime(2026, 5, 9, 17, 0, tzinfo=UTC)) as book:
        own.add_camera(book, {"name": "boathouse", "focal": "600 mm", "f_number": "f/8", "stops": "8 11 16 22", "coverage": "60°", "board_min": "610 mm",
                              "board_max": "1200 mm", "length": "2.4 m", "width": "2 m", "height": "2.2 m"})  # fmt: skip
        own.add_box(book, {"name": "C", "paper": "ra4", "size": "8x10 in", "sheets": "25", **speed})
        own.add_developer(book, {"name": "bought", "kind": "paper"})
        own.add_meter(book, {"name": "my meter", "kind": "hand"})
        wish.say(book, {"reading": "EV 13", "light": light, "subject": "3 m", "sitter": "stroke", "developer": "bought", "aperture": "f/8", "box": "C", "way": "reversal_ra4"})

        def felt():
            p = plan.plan(book)
            return math.log2(p.wanted_s) - sum(v.stops for v in p.chain if v.key == "reciprocity")

        first = felt()
        code = expose.keep(book, {"sun": "seen"}).code
        expose.expose(book, code)
        pack.told(book, {"sheet": code, "colour": "neutral", "bright": "too_dark"})
        asked.append(felt() - first)
        judge.judge(book, code, {"border": "black", "seen": "too_dark"})
        asked.append(felt() - first)
        pack.take_back(book, {"light": light, "box": "C"})
        asked.append(felt() - first)
    told, both, judged = asked
    assert 0.3 < told < 0.8  # two thirds of a stop too dark
    assert judged > 0.1
    assert abs(both - told) < 0.15
