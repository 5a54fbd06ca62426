"""A notebook taken back: what is known is as before to the bit, nothing is deleted, its rows can come in anew."""

import pytest
from notebook_boathouse import ROWS, Boathouse, text

from firstsheet.acts import notebook_kept, own
from firstsheet.acts.notes import sheets_left
from firstsheet.acts.sheet import sheet
from firstsheet.refusal import Refusal


def known(b: Boathouse) -> object:
    row = b.book.newest_posterior()
    return row and row["body"]


def test_taken_back_it_has_taught_nothing_and_can_come_in_anew(boathouse: Boathouse) -> None:
    from datetime import UTC, datetime

    said = {"box": "A", "reading": "EV 11", "light": "sun", "subject": "3 m", "aperture": "f/16"}
    boathouse.by_hand(datetime(2026, 9, 1, 10, tzinfo=UTC), said, "3 s", {"border": "white", "seen": "too_dark"})
    before, plan = known(boathouse), boathouse.plan()
    first = boathouse.bring_in(text(*ROWS))
    taught = known(boathouse)
    assert taught != before
    done = notebook_kept.take_back(boathouse.book, first.number or 0)
    assert (done.count, done.stands) == (5, False)
    assert known(boathouse) == before
    assert boathouse.plan() == plan
    assert {sheet(boathouse.book, c).state for c in first.codes} == {"given up"}
    again = boathouse.bring_in(text(*ROWS))
    assert (again.count, again.skipped_identical) == (5, 0)
    assert set(again.codes).isdisjoint(first.codes)
    assert known(boathouse)["mean"] == pytest.approx(taught["mean"])  # type: ignore[index]
    assert boathouse.bring_in(text(*ROWS)).skipped_identical == 5
    notebook_kept.take_back(boathouse.book, again.number or 0)
    assert known(boathouse) == before
    assert boathouse.check(text(*ROWS)).ready


def test_paper_counted_out_is_counted_in_again(boathouse: Boathouse) -> None:
    box = own.one(boathouse.book, "box", "A")
    done = boathouse.bring_in(text(*ROWS), stock="yes")
    assert sheets_left(boathouse.book, box) == 5
    notebook_kept.take_back(boathouse.book, done.number or 0)
    assert sheets_left(boathouse.book, box) == 10


def test_what_is_not_there_or_was_taken_back_is_refused(boathouse: Boathouse) -> None:
    with pytest.raises(Refusal):
        notebook_kept.take_back(boathouse.book, 1)
    done = boathouse.bring_in(text(*ROWS))
    assert done.number == 1
    assert boathouse.bring_in(text(*ROWS)).number is None
    assert len(notebook_kept.brought(boathouse.book)) == 1
    notebook_kept.take_back(boathouse.book, 1)
    with pytest.raises(Refusal):
        notebook_kept.take_back(boathouse.book, 1)
