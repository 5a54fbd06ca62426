"""An evening of several sheets in the book: kept once, gone on with after a power cut, planned anew when late, taken back."""

from __future__ import annotations

import json
from datetime import UTC, datetime, timedelta

import pytest

from firstsheet.acts import several_kept as kept
from firstsheet.book.store import Book
from firstsheet.cli.main import main
from firstsheet.refusal import Refusal

TWO = {"sheets": "2 paper_negative"}


class Clock:
    def __init__(self):
        self.at = datetime(2026, 5, 3, 18, 0, tzinfo=UTC)

    def __call__(self):
        return self.at

    def on(self, seconds):
        self.at += timedelta(seconds=seconds)


@pytest.fixture
def clock():
    return Clock()


@pytest.fixture
def where(tmp_path):
    return tmp_path / "book.sqlite"


@pytest.fixture
def book(where, clock):
    with Book.open(where, now=clock) as b:
        yield b


def marked(p):
    return [(m.sheet, m.key, m.at_s) for m in p.marks]


def test_what_is_begun_and_marked_is_there_when_the_book_is_opened_again(book, where, clock):
    number = kept.begin(book, TWO).number
    clock.on(5)
    kept.mark(book, number, {"begin": "1 compose", "id": "a"})
    clock.on(130)
    kept.mark(book, number, {"begin": "1 mount", "id": "b"})
    book.close()
    with Book.open(where, now=clock) as again:
        p = kept.plan(again)
        assert p.number == number
        assert p.now_s == 135
        assert marked(p) == [("1", "compose", 5), ("1", "mount", 135)]
        assert [w.key for w in p.work if w.marked] == ["compose", "mount"]


def test_a_mark_sent_again_is_kept_once_and_the_first_telling_counts(book, clock):
    number = kept.begin(book, TWO).number
    clock.on(7)
    first = kept.mark(book, number, {"begin": "1 compose", "id": "a"})
    clock.on(60)
    again = kept.mark(book, number, {"begin": "1 compose", "id": "a"})
    assert marked(first) == marked(again) == [("1", "compose", 7)]


def test_beginning_twice_with_one_name_begins_once(book):
    assert kept.begin(book, {**TWO, "id": "x"}).number == kept.begin(book, {**TWO, "id": "x"}).number
    assert len(kept.evenings(book)) == 1


def test_late_the_rest_is_planned_from_the_moment_it_is_looked_at(book, clock):
    number = kept.begin(book, TWO).number
    kept.mark(book, number, {"begin": "1 compose", "id": "a"})
    clock.on(900)  # a quarter of an hour away from the room
    p = kept.plan(book, number)
    assert min(w.at_s for w in p.work if not w.marked) == 900
    assert [s.sheet for s in p.stays if s.late_s] == []  # nothing lies in a tray yet


def test_marks_that_came_late_say_when(book, clock):
    number = kept.begin(book, TWO).number
    clock.on(300)
    p = kept.mark(book, number, {"begin": "1 compose 0:04; 1 mount 2:10"})
    assert marked(p) == [("1", "compose", 4), ("1", "mount", 130)]


def test_all_or_none_of_several_marks(book, clock):
    number = kept.begin(book, TWO).number
    clock.on(300)
    with pytest.raises(Refusal):
        kept.mark(book, number, {"begin": "1 compose 0:04; 1 fix 2:10"})
    assert kept.plan(book, number).marks == ()


def test_taken_back_it_is_next_again_and_only_the_last_of_a_sheet_can_be(book, clock):
    number = kept.begin(book, TWO).number
    kept.mark(book, number, {"begin": "1 compose", "id": "a"})
    clock.on(130)
    kept.mark(book, number, {"begin": "1 mount", "id": "b"})
    with pytest.raises(Refusal, match="The last of its sheet"):
        kept.take_back(book, number, "a")
    for _ in range(2):  # sent twice by a wet finger
        assert marked(kept.take_back(book, number, "b")) == [("1", "compose", 0)]
    assert next(s.next_key for s in kept.plan(book, number).sheets if s.name == "1") == "mount"


def test_a_clock_that_was_set_back_loses_no_mark(book, clock):
    number = kept.begin(book, TWO).number
    clock.on(200)
    kept.mark(book, number, {"begin": "1 compose", "id": "a"})
    clock.on(-86400)  # a machine without a battery wakes up yesterday
    p = kept.plan(book, number)
    assert marked(p) == [("1", "compose", 200)]
    assert p.now_s == 200


def test_what_cannot_be_is_refused_with_what_can(book):
    with pytest.raises(Refusal, match="none yet"):
        kept.plan(book)
    with pytest.raises(Refusal) as refused:
        kept.begin(book, {"sheets": "40 paper_negative", "done": "1 compose 0:00", "compose": "9 h"})
    assert {p.where for p in refused.value.problems} == {"sheets", "done", "compose"}
    assert kept.evenings(book) == ()
    number = kept.begin(book, TWO).number
    with pytest.raises(Refusal, match="Next for sheet 1: compose"):
        kept.mark(book, number, {"begin": "1 fix"})
    with pytest.raises(Refusal, match="Try “1 compose”"):
        kept.mark(book, number, {})


def test_the_one_sound_tells_what_is_left(book, clock):
    number = kept.begin(book, TWO).number
    whole = kept.track(book, number)
    kept.mark(book, number, {"begin": "1 compose", "id": "a"})
    clock.on(100)
    left = kept.track(book, number)
    assert left[-1].at_s < whole[-1].at_s
    assert not any("compose" in c.words and "sheet one" in c.words for c in left)


def test_the_command_keeps_marks_and_takes_back_as_the_page_does(where, capsys, monkeypatch):
    monkeypatch.setenv("FIRSTSHEET_BOOK", str(where))

    def ask(*words):
        ended = main(["several", *words, "--json"])
        return ended, json.loads(capsys.readouterr().out)

    assert ask("2 paper_negative", "--begin", "--id", "e")[1]["number"] == 1
    assert [m["key"] for m in ask("--mark", "1 compose", "--id", "a")[1]["marks"]] == ["compose"]
    with Book.open(where) as book:
        assert [m.id for m in kept.plan(book).marks] == ["a"]
    assert ask("--back")[1]["marks"] == []
    assert ask("--back", "--mark", "1 compose")[1]["refused"][0]["where"] == "back"
    assert ask("2 paper_negative", "--mark", "1 compose")[0] == 2
    assert ask("--evening", "7")[0] == 3
    assert main(["several"]) == 0
    assert "Next, at" in capsys.readouterr().out


def test_a_bath_counts_the_sheets_of_an_evening_once_and_forgets_what_is_taken_back(clock):
    """12 × 16 in is 0.124 m² (1 in = 25.4 mm): one sheet of the book through the last tray, marked in an evening of two."""
    from firstsheet.acts import mixing_baths
    from tests.acts.evening import begun

    e = begun("direct_positive", ei="4")
    code = e.keep()
    e.expose(code)
    bath = mixing_baths.open_bath(e.book, {"name": "fix", "kind": "fixer_single", "volume": "2 l"})
    number = kept.begin(e.book, {"sheets": f"{code}; direct_positive"}).number
    for n in range(40):
        p = kept.plan(e.book, number)
        nexts = next((s.next_key for s in p.sheets if s.code == code), None)
        if not nexts:
            break
        kept.mark(e.book, number, {"begin": f"1 {nexts}", "id": f"m{n}"})
        e.later(3)
    e.later(10)
    there = next(b for b in mixing_baths.baths(e.book) if b.name == "fix")
    assert bath.area_m2 == 0
    assert there.area_m2 == pytest.approx(0.3048 * 0.4064, rel=0.001)
    kept.take_back(e.book, number)
    again = next(b for b in mixing_baths.baths(e.book) if b.name == "fix")
    assert again.area_m2 == 0
