"""Several sheets as they are asked for: words in, a plan out, planned anew when late, one sound; and the command."""

from __future__ import annotations

import io
import json
import wave
from datetime import UTC, datetime

import pytest

from firstsheet.acts import own, several
from firstsheet.book.store import Book
from firstsheet.cli.main import main
from firstsheet.refusal import Refusal
from firstsheet.trays.process import process_for


class Clock:
    def __init__(self):
        self.at = datetime(2026, 5, 3, 18, 0, tzinfo=UTC)

    def __call__(self):
        return self.at


@pytest.fixture
def clock():
    return Clock()


@pytest.fixture
def book(tmp_path, clock):
    b = Book.open(tmp_path / "book.sqlite", now=clock)
    own.add_box(b, {"name": "D", "paper": "direct_positive", "size": "12x16 in", "sheets": "25", "cost": "4.20 EUR"})
    return b


THREE = {"sheets": "2 paper_negative; reversal_ra4 in 10 min"}


def test_the_words_become_sheets(book):
    p = several.plan(book, THREE)
    assert [s.words for s in p.sheets] == ["paper negative", "paper negative", "colour reversal on RA-4 paper"]
    assert [s.ready_s for s in p.sheets] == [0, 0, 600]
    assert {x.tray: x.sheets for x in p.places}["wash"] == 6
    assert {x.tray: x.sheets for x in p.places}["developer"] == 1


def test_what_can_hurt_comes_first_and_is_said(book):
    p = several.plan(book, THREE)
    assert "white light first" in p.cautions[0]
    said = " ".join(p.cautions)
    for words in (
        "way out stays free",
        "toward the sun",
        "wait outside",
        "safety data sheet",
        "hold silver",
        "allergic",
    ):
        assert words in said


def test_the_rate_is_that_of_the_closed_form(book):
    # one sheet of ordinary times: 120 + 40 + 10 + 15 s before the trays, then its steps; 3600 over that an hour
    p = several.plan(book, {"sheets": "paper_negative"})
    whole = 185 + process_for("paper_negative").total_s
    assert p.end_s == whole
    assert p.per_hour == pytest.approx(3600 / whole)
    assert p.proven


def test_light_stands_in_the_way_of_paper_negatives(book):
    p = several.plan(book, {"sheets": "4 paper_negative"})
    assert p.bottleneck.what == "light"
    assert p.at_most_per_hour >= p.per_hour


def test_every_bound_is_the_persons(book):
    p = several.plan(
        book,
        {"sheets": "2 paper_negative", "compose": "30 s", "mount": "20 s", "expose": "4 s", "carry": "5 s", "times": "developer 150 s, fix 100 s", "hands": "stop some", "places": "fixer 2"},
    )  # fmt: skip
    developer = next(s for s in p.stays if s.tray == "developer")
    assert developer.to_s - developer.from_s == 150
    assert {x.tray: x.sheets for x in p.places}["fixer"] == 2
    assert p.work[0].until_s == 30
    assert any(w.key == "stop" for w in p.work)  # lifted later, hands free in between


def test_everything_that_does_not_fit_is_told_at_once(book):
    with pytest.raises(Refusal) as refused:
        several.plan(
            book,
            {"sheets": "3 tintypes; 0 paper_negative; ZZZZ; paper_negative", "compose": "3 h", "places": "wash 99", "hands": "sink some", "times": "developer soon", "box": "1 s", "done": "1 x", "now": "late", "colour": "red"},
        )  # fmt: skip
    where = {p.where.split(".")[0] for p in refused.value.problems}
    assert where == {"sheets", "compose", "places", "hands", "times", "box", "done", "now", "colour"}
    assert all(p.allowed for p in refused.value.problems)


def test_more_than_twelve_are_refused(book):
    with pytest.raises(Refusal, match="From 1 to 12"):
        several.plan(book, {"sheets": "13 paper_negative"})


def test_late_the_rest_moves_and_what_is_marked_stays(book):
    form = {"sheets": "2 paper_negative"}
    first = several.plan(book, form)
    later = several.plan(book, form | {"done": "1 compose 0:00, 1 mount 2:30", "now": "4:00"})
    assert [(w.key, w.at_s) for w in later.work if w.marked] == [("compose", 0), ("mount", 150)]
    assert all(w.at_s >= 240 for w in later.work if not w.marked)
    assert later.end_s > first.end_s
    assert later.late == ()


def test_a_sheet_forgotten_in_the_fixer_is_said(book):
    form = {"sheets": "1 paper_negative", "done": "1 compose 0:00, 1 mount 2:00, 1 expose 2:40", "now": "20:00"}
    p = several.plan(book, form)
    assert any("longer in the fixer" in x for x in p.late)
    assert next(w for w in p.work if not w.marked).at_s == 1200  # lifted at once


def test_one_sound_for_all(book):
    form = {"sheets": "2 paper_negative; reversal_ra4"}
    p = several.plan(book, form)
    cues = several.track(book, form)
    with wave.open(io.BytesIO(several.wav(book, form))) as file:
        length = file.getnframes() / file.getframerate()
    assert p.end_s < length < p.end_s + 40
    starts = [c for c in cues if c.words.startswith(("sheet", "red lamp only sheet", "No light at all"))]
    assert len(starts) >= len(p.work)
    for w in p.work:  # each stretch has a cue at its moment, 20 s of lead before the beginning
        assert any(abs(c.at_s - 20.0 - w.at_s) < 0.01 for c in cues), w


def test_darkness_is_said_before_a_box_is_opened(book):
    form = {"sheets": "2 paper_negative; reversal_ra4"}
    p = several.plan(book, form)
    cues = several.track(book, form)
    for w in p.work:
        if w.key == "mount":
            at = next(c for c in cues if abs(c.at_s - 20.0 - w.at_s) < 0.01)
            assert at.words.lower().startswith(("red lamp only", "no light at all")), at


def test_light_is_never_offered_while_a_sheet_cannot_bear_it(book):
    form = {"sheets": "3 paper_negative; reversal_ra4"}
    p = several.plan(book, form)
    for c in several.track(book, form):
        light = next((x.light for x in p.lights if x.from_s <= c.at_s - 20.0 < x.to_s), "white")
        if "you may switch on" in c.words:
            assert light == "white", c
        if "red lamp may" in c.words:
            assert light in ("red", "white"), c


def test_the_command_prints_and_answers_as_data(book, tmp_path, capsys, monkeypatch):
    book.close()
    monkeypatch.setenv("FIRSTSHEET_BOOK", str(tmp_path / "book.sqlite"))
    assert main(["several", "2 paper_negative", "direct_positive in 5 min"]) == 0
    out = capsys.readouterr().out
    assert "If anything happens, white light first" in out.splitlines()[0]
    assert "an hour" in out
    assert main(["several", "2 paper_negative", "--json", "--sound", str(tmp_path / "all.wav")]) == 0
    assert json.loads(capsys.readouterr().out)["proven"] is True
    assert (tmp_path / "all.wav").stat().st_size > 1_000_000
    assert main(["several", "2 paper_negative", "--compose", "3 h", "--json"]) == 2
    assert json.loads(capsys.readouterr().out)["refused"][0]["where"] == "compose"
