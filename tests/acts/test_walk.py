"""What a walk through the routes found and is held here: a flash too long by far, a print judged without its edge, contrast asked of a print, asthma said early."""

from __future__ import annotations

from datetime import UTC, datetime

import pytest

from firstsheet.acts import contact_kept, contact_plan, contrast, expose, flash, judge, own, plan, readiness, wish
from firstsheet.acts.sheet import sheet
from firstsheet.book.store import Book
from firstsheet.refusal import Refusal


@pytest.fixture
def book(tmp_path):
    with Book.open(tmp_path / "walk.sqlite", now=lambda: datetime(2026, 5, 9, 17, 0, tzinfo=UTC)) as b:
        own.add_camera(b, {"name": "boathouse", "focal": "600 mm", "f_number": "f/8", "stops": "8 11 16 22", "coverage": "60°", "board_min": "610 mm",
                           "board_max": "1200 mm", "length": "2.4 m", "width": "2 m", "height": "2.2 m"})  # fmt: skip
        own.add_box(b, {"name": "D", "paper": "enlarging", "size": "8x10 in", "sheets": "25"})
        own.add_developer(b, {"name": "tray", "kind": "paper"})
        own.add_meter(b, {"name": "mine", "kind": "hand"})
        wish.say(b, {"reading": "EV 11", "light": "sun", "subject": "3 m", "developer": "tray", "aperture": "f/8", "box": "D", "way": "paper_negative"})
        yield b


def test_a_flash_of_many_times_the_threshold_is_asked_about(book):
    flash.found(book, {"box": "D", "developer": "tray", "under": "bulb at 2 m", "times": "1 2 4 8 s", "shows": "3"})
    code = expose.keep(book, {"sun": "seen"}).code
    with pytest.raises(Refusal, match="times it, and greys"):
        flash.given(book, code, {"seconds": "30 s"})
    assert flash.given(book, code, {"seconds": "30 s", "how": "a dimmer lamp"}).state == "flashed"


def test_a_print_is_judged_without_an_edge_that_nothing_covered(book):
    contact_kept.lamp(book, {"name": "bulb", "kind": "point", "height": "1 m", "times": "1 2 4 8 16 s", "black": "3"})
    contact_kept.negative(book, {"name": "boat", "clear": "0.5", "dense": "1.5"})
    contact_plan.say(book, {"lamp": "bulb", "negative": "boat", "facing": "together", "glass": "no", "back_print": "no", "range": "R 110"})
    code = expose.keep(book).code
    # the sheet remembers what it is a print of
    assert sheet(book, code).plan["readings"] == ["boat under bulb, at its strip’s height, R 110, shadows first, emulsion to emulsion, no glass"]
    expose.expose(book, code)
    told = judge.judge(book, code, {"seen": "too_dark"})
    assert told.taught
    assert "under this lamp" in told.words[1]
    assert "less light than its strip told" in told.words[1]
    with pytest.raises(Refusal, match="grade"):
        contrast.contrast(book, {"range": "6"})


def test_asthma_is_said_before_anything_is_poured(book):
    wish.say(book, {"way": "reversal_bw"})
    assert any("asthma" in c for c in plan.plan(book).cautions)
    code = expose.keep(book, {"sun": "seen"}).code
    expose.expose(book, code)
    assert any("asthma" in i.words for i in readiness.of_sheet(book, code).items)
    with pytest.raises(Refusal, match="border"):
        judge.judge(book, code, {"seen": "too_dark"})
