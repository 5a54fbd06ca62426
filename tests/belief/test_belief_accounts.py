"""What moved a number and where misses came from: against refits without the sheet, and against a miss known by hand."""

from __future__ import annotations

import re
from datetime import UTC, datetime

import numpy as np
import pytest

from firstsheet.acts import known, own
from firstsheet.acts.expose import expose, keep
from firstsheet.acts.judge import judge, take_back
from firstsheet.acts.plan import plan
from firstsheet.belief import accounts, whole
from firstsheet.belief.effects import Effect
from firstsheet.belief.evidence import Seen
from firstsheet.belief.posterior import Observation, condition
from firstsheet.book.store import Book
from tests.belief.belief_sampler import sheets


def test_a_sheet_moved_a_box_by_what_a_fit_without_it_lacks() -> None:
    # Leave-one-out of a normal belief, by really leaving each one out. Plain evidence: exact.
    rows = [Observation(o.stops, o.sd, o.effects, o.name) for o in sheets(18, 3)]
    box = (Effect("kind:p", 1.0, 0.0, 1.0), Effect("box:1", 1.0, 0.0, 0.4))
    found = dict(accounts.moved(whole.understand(rows), box))
    whole_mean = condition(rows).predict(box)[0]
    for i, o in enumerate(rows[:-1]):
        without = condition([*rows[:i], *rows[i + 1 :]]).predict(box)[0]
        assert found[o.name] == pytest.approx(whole_mean - without, abs=1e-9)


def test_words_moved_a_box_nearly_by_what_a_fit_without_them_lacks() -> None:
    rows = sheets(18, 3)
    box = (Effect("kind:p", 1.0, 0.0, 1.0), Effect("box:1", 1.0, 0.0, 0.4))
    found = dict(accounts.moved(whole.understand(rows), box))
    whole_mean = condition(rows).predict(box)[0]
    for i, o in enumerate(rows[:-1]):
        without = condition([*rows[:i], *rows[i + 1 :]]).predict(box)[0]
        assert found[o.name] == pytest.approx(whole_mean - without, abs=0.04)


def test_the_first_sheet_missed_by_the_box_and_the_rest_by_nothing() -> None:
    # One box one stop slow, seen without doubt four times: one miss of 1, three of 0; root mean square 1/2, all of it the box's.
    box = (Effect("kind:p", 1.0, 0.0, 1.0),)
    rows = [Observation(1.0, 0.01, box, str(i), Seen(0.0, 0.003, 0.0, None, 1.0, 0.01)) for i in range(4)]
    first = accounts.misses(whole.understand(rows), np.random.default_rng(1))[0]
    assert first.group == "how fast this box is"
    assert first.share == pytest.approx(1.0, abs=0.01)
    assert first.sd_stops == pytest.approx(0.5, abs=0.01)


def test_shares_of_misses_are_whole_and_the_noise_has_its_part() -> None:
    found = accounts.misses(whole.understand(sheets(40, 5)), np.random.default_rng(1))
    assert sum(s.share for s in found) == pytest.approx(1.0)
    assert all(0.0 <= s.low <= s.share <= s.high <= 1.0 for s in found)
    # sheets() draws every sheet's own noise with sd 0.2 (40 draws: ± 0.025 by sampling, more by words)
    noise = next(s for s in found if s.group == accounts.RETRY)
    assert noise.sd_stops == pytest.approx(0.2, abs=0.06)


@pytest.fixture
def evening() -> Book:
    book = Book.open(memory=True, now=lambda: datetime(2026, 5, 1, 12, tzinfo=UTC))
    own.add_camera(book, {"name": "boathouse", "focal": "600 mm", "f_number": "f/32", "coverage": "60°", "board_min": "610 mm",
                          "board_max": "1200 mm", "length": "2.4 m", "width": "2 m", "height": "2.2 m"})  # fmt: skip
    for box in "AB":
        own.add_box(book, {"name": box, "paper": "enlarging", "size": "12x16 in", "sheets": "50"})
    own.add_developer(book, {"name": "tray", "kind": "paper"})
    own.add_meter(book, {"name": "my meter", "kind": "hand"})
    return book


def made(book: Book, box: str, seen: str, n: int) -> str:
    form = {"box": box, "developer": "tray", "light": "overcast", "reading": f"EV {11 + n % 3 / 2}", "subject": "3 m", "way": "paper_negative",
            "sitter": f"crew {n}"}  # fmt: skip
    code = keep(book, form).code
    expose(book, code)
    judge(book, code, {"border": "white", "seen": seen, "kept": "yes" if seen == "as_wanted" else "no"})
    return code


def test_a_plan_says_why_and_a_judgement_taken_back_is_gone_from_it(evening: Book) -> None:
    codes = [made(evening, "AB"[n % 2], ("too_dark", "a_little_dark", "as_wanted")[n % 3], n) for n in range(10)]
    before = evening.newest_posterior()
    assert before
    last = made(evening, "A", "too_pale", 11)
    told = known.why(evening)
    assert told.box == "A"
    assert {m.sheet for m in told.moved} <= {*codes, last}
    assert next(m for m in told.moved if m.sheet == last).stops > 0  # too pale: it wanted more light, the box is slower
    assert known.why(evening, codes[1]).box == "B"
    assert sum(m.share for m in known.misses(evening)) == pytest.approx(1.0)
    take_back(evening, last)
    after = evening.newest_posterior()
    assert after
    assert after["body"] == before["body"]  # to the bit: whatever was judged in between
    assert all(m.sheet != last for m in known.why(evening).moved)


def test_a_swapped_box_is_asked_about_in_the_plan(evening: Book) -> None:
    codes = [made(evening, "A", "as_wanted", n) for n in range(9)]
    # Box B goes on as it was: the light, the bath and the meter have not changed.
    codes += [made(evening, "AB"[n % 2], "too_dark" if n % 2 == 0 else "as_wanted", n) for n in range(9, 17)]
    said = next(n for n in plan(evening, {"box": "A"}).notes if n.startswith("Box A"))
    assert re.fullmatch(r"Box A has behaved like another box since sheet (\w+): is it a new one\? [5-9] in 10\.", said)
    assert codes.index(said.split()[9].rstrip(":")) in range(8, 13)
    assert not any("another box" in n for n in plan(evening, {"box": "B"}).notes)
