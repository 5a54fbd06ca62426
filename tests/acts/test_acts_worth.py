"""What a minute is worth and how many sheets are to come: said, changed, taken back, and what the advice makes of it."""

from __future__ import annotations

import re

import pytest

from firstsheet.acts import own, plan, worth
from firstsheet.belief import decide
from firstsheet.refusal import Refusal
from tests.acts.evening import Evening, begun


@pytest.fixture
def priced() -> Evening:
    return begun("direct_positive", cost="4.00 EUR", sheets=10)


def cost(e: Evening, key: str) -> float:
    return next(o.cost for o in e.plan().advice.options if o.key == key)


def test_a_minute_charges_the_minutes_of_every_way(priced: Evening) -> None:
    """Cost = sheets·price + minutes·worth, so each way's cost rises by its own minutes (closed form)."""
    before = {o.key: o for o in priced.plan().advice.options}
    worth.say_worth(priced.book, {"minute": "0.50 EUR"})
    after = {o.key: o for o in priced.plan().advice.options}
    for key, o in before.items():
        assert after[key].cost - o.cost == pytest.approx(0.5 * o.minutes)
    assert priced.plan().advice.minute == 0.5
    assert "A minute is counted as 0.50 EUR." in priced.plan().advice.counted


def test_more_sheets_to_come_make_a_strip_cheaper_by_half_of_its_paper_at_most(priced: Evening) -> None:
    before, exposing = cost(priced, "strip"), cost(priced, "expose")
    worth.say_worth(priced.book, {"more": "8"})
    # Nothing was made yet: seven of eight sheets come after this one, and that share of half a quarter sheet at 4 EUR is not charged.
    assert before - cost(priced, "strip") == pytest.approx(0.25 * 4.0 / 2 * 7 / 8)
    assert cost(priced, "expose") == pytest.approx(exposing)
    priced.sheet("as_wanted", "black")
    assert worth.season(priced.book, _box(priced)).more == 7
    assert worth.season(priced.book, _box(priced)).share == pytest.approx(6 / 8)
    worth.say_worth(priced.book, {"more": "none"})
    assert worth.season(priced.book, _box(priced)).more is None


def test_only_this_sheet_makes_no_strip_cheaper_and_is_not_spoken_of(priced: Evening) -> None:
    before = cost(priced, "strip")
    worth.say_worth(priced.book, {"more": "1"})
    assert cost(priced, "strip") == before
    assert not any("more sheet" in w for w in priced.plan().advice.counted)


def test_a_test_strip_is_no_sheet_and_does_not_break_the_count(priced: Evening) -> None:
    worth.say_worth(priced.book, {"more": "12"})
    priced.expose(priced.keep(strip=True))
    assert worth.season(priced.book, _box(priced)).more == 12
    assert any(w.startswith("12 more sheets") for w in priced.plan().advice.counted)


def _box(e: Evening) -> own.Owned:
    return own.one(e.book, "box", "A")


def test_what_was_said_is_changed_and_taken_back(priced: Evening) -> None:
    plain = priced.plan()
    assert worth.say_worth(priced.book, {"minute": "1 EUR", "more": "5"}).minute == 1.0
    assert worth.say_worth(priced.book, {"minute": "2"}).minute == 2.0
    found = worth.say_worth(priced.book, {"minute": "none", "more": "none", "box": "A"})
    assert (found.minute, found.boxes[0].more) == (None, None)
    assert plan.plan(priced.book) == plain


def test_another_money_is_not_compared(priced: Evening) -> None:
    found = worth.say_worth(priced.book, {"minute": "1 GBP"})
    assert any("does not count" in n for n in found.notes)
    assert priced.plan().advice.minute is None


def test_without_a_price_a_minute_has_nothing_to_be_weighed_against() -> None:
    e = begun("direct_positive")
    found = worth.say_worth(e.book, {"minute": "1 EUR"})
    assert any("not known" in n for n in found.notes)
    assert e.plan().advice.minute is None


@pytest.mark.parametrize(
    ("form", "where"),
    [({}, {"minute"}), ({"minute": "dear"}, {"minute"}), ({"more": "-3"}, {"more"}), ({"more": "0"}, {"more"}), ({"more": "99999999"}, {"more"}), ({"box": "Q", "more": "3"}, {"box"}),
     ({"box": "A"}, {"more"}), ({"minute": "dear", "more": "lots", "box": "Q"}, {"minute", "more", "box"}), ({"hour": "3"}, {"hour", "minute"})],
)  # fmt: skip
def test_what_makes_no_sense_is_refused_and_changes_nothing(
    priced: Evening, form: dict[str, str], where: set[str]
) -> None:
    worth.say_worth(priced.book, {"minute": "1 EUR", "more": "5"})
    with pytest.raises(Refusal) as refused:
        worth.say_worth(priced.book, form)
    assert {p.where for p in refused.value.problems} == where
    assert (worth.worth(priced.book).minute, worth.worth(priced.book).boxes[0].more) == (1.0, 5)


def test_the_share_of_a_season() -> None:
    """(more − 1)/(made + more): those after the next sheet, of twelve in all (closed form)."""
    assert [12 * decide.season_left(made, 12 - made) for made in (0, 5, 8, 11, 12)] == pytest.approx([11, 6, 3, 0, 0])
    with pytest.raises(ValueError, match="fewer"):
        decide.season_left(1.0, -1.0)


def test_the_advice_says_what_a_strip_narrows(priced: Evening) -> None:
    a = priced.plan().advice
    now, after = (float(x) for x in re.fullmatch(r"A strip now: ±(\d\.\d\d) → ±(\d\.\d\d) stop\.", a.narrows).groups())  # type: ignore[union-attr]
    assert now == pytest.approx(priced.plan().sd_stops, abs=0.005)
    assert after < now
    # A strip read by eye is never surer than the eye and the retry behind it allow: 1/(1/s² + 1/(0.30² + r²)) (normal update).
    assert after >= (1 / (1 / a.sd_now_stops**2 + 1 / 0.30**2)) ** 0.5 - 0.005


def test_estimated_money_is_told_to_two_figures(priced: Evening) -> None:
    assert not re.search(r"\d+\.\d\d EUR", priced.plan().advice.words.replace("0.", ""))


def test_two_changes_are_counted_from_the_last_judged_sheet_of_this_box(priced: Evening) -> None:
    e = priced
    e.box("B", "direct_positive")
    e.developer("tray two")
    e.say(box="A", developer="tray one", light="sun")
    e.sheet("as_wanted", "black")
    e.say(box="B", developer="tray two", light="overcast")
    e.sheet("as_wanted", "black")
    code = e.keep(box="A", developer="tray two", light="overcast")  # planned only: nothing was learnt from it
    two = [n for n in e.plan(box="A", developer="tray two", light="overcast").notes if "one at a time" in n]
    assert len(two) == 1
    assert "box A" in two[0]
    assert "the developer and the kind of light" in two[0]
    assert code not in two[0]
    assert not any("one at a time" in n for n in e.plan(box="A", developer="tray one", light="overcast").notes)
    assert not any("one at a time" in n for n in e.plan(box="B", developer="tray two", light="sun").notes)
