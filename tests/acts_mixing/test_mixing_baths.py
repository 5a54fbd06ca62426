"""A bath from pouring to throwing away; sheets run by the book count themselves."""

from __future__ import annotations

from collections.abc import Iterator
from datetime import UTC, datetime, timedelta

import pytest

from firstsheet.acts import expose, mixing_baths, own, run, wish
from firstsheet.book.store import Book
from firstsheet.refusal import Refusal


class Clock:
    def __init__(self) -> None:
        self.at = datetime(2026, 5, 3, 9, 0, tzinfo=UTC)

    def __call__(self) -> datetime:
        return self.at


@pytest.fixture
def clock() -> Clock:
    return Clock()


@pytest.fixture
def book(clock: Clock) -> Iterator[Book]:
    with Book.open(memory=True, now=clock) as opened:
        yield opened


def fixer(book: Book, kind: str = "fixer_single", volume: str = "2 l") -> mixing_baths.Bath:
    return mixing_baths.open_bath(book, {"name": "fixer", "kind": kind, "volume": volume})


def test_good_for_so_many_more(book: Book) -> None:
    """Six 12x16 in sheets are 0.743 m²; at 0.85 g/m² in 2 l that is 0.32 g/l of 0.5; (1.18 − 0.74)/0.124 leaves 3."""
    fixer(book)
    b = mixing_baths.through(book, {"bath": "fixer", "sheets": "6", "size": "12x16 in"})
    assert b.area_m2 == pytest.approx(6 * 0.3048 * 0.4064)
    assert b.silver_g_l == pytest.approx(0.316, abs=0.001)
    assert (b.left_least, b.left_likely) == (0, 3)
    assert b.state == "soon"
    b = mixing_baths.through(book, {"bath": "fixer", "sheets": "4"})
    assert b.state == "spent"
    assert "local authority" in b.waste
    assert b.collect


def test_a_reading_beats_the_count(book: Book) -> None:
    fixer(book)
    mixing_baths.through(book, {"bath": "fixer", "sheets": "6", "size": "12x16 in"})
    b = mixing_baths.through(book, {"bath": "fixer", "silver": "0.1 g/l"})
    assert b.silver_g_l == pytest.approx(0.1)
    assert b.left_likely == 7  # (0.5 − 0.1)·2/0.85/0.1239


def test_two_baths_and_the_second_moves_forward(book: Book) -> None:
    mixing_baths.open_bath(book, {"name": "one", "kind": "fixer_first", "volume": "1 l"})
    second = mixing_baths.open_bath(book, {"name": "two", "kind": "fixer_second", "volume": "1 l"})
    assert second.limit_g_l == 0.5
    for name in ("one", "two"):
        b = mixing_baths.through(book, {"bath": name, "sheets": "50", "size": "8x10 in"})
    first = mixing_baths.named(book, "one")
    assert first.state == "spent"
    assert "move the second forward" in " ".join(first.advice)
    moved = mixing_baths.forward(book, "two")
    assert (moved.kind, moved.limit_g_l, moved.moves) == ("fixer_first", 2.0, 1)
    assert moved.silver_g_l == pytest.approx(b.silver_g_l)
    with pytest.raises(Refusal, match="second fixer"):
        mixing_baths.forward(book, "one")


def test_hours_end_a_bath_too(book: Book, clock: Clock) -> None:
    mixing_baths.open_bath(book, {"name": "coffee", "kind": "developer_coffee", "volume": "1 l"})
    clock.at += timedelta(minutes=40)
    assert mixing_baths.named(book, "coffee").state == "soon"
    clock.at += timedelta(minutes=30)
    b = mixing_baths.named(book, "coffee")
    assert b.state == "spent"
    assert "Drain-safe" in b.waste


def test_first_appearance_tells_age_from_cold(book: Book) -> None:
    """From 20 to 15 °C at a Q10 of 1.9 alone is 1.38 times."""
    mixing_baths.open_bath(book, {"name": "dev", "kind": "developer", "volume": "2 l"})
    mixing_baths.through(book, {"bath": "dev", "appeared": "15 s", "temperature": "20 C"})
    cold = mixing_baths.through(book, {"bath": "dev", "appeared": "20.7 s", "temperature": "15 C"})
    assert cold.longer == pytest.approx(1.38)
    assert cold.tired == pytest.approx(1.0, abs=0.01)
    assert cold.state == "good"
    assert "1.4 times" in cold.advice[0]
    old = mixing_baths.through(book, {"bath": "dev", "appeared": "40 s", "temperature": "15 C"})
    assert old.state == "spent"


def test_sheets_run_by_the_book_count_themselves(book: Book, clock: Clock) -> None:
    own.add_camera(book, {"name": "boathouse", "focal": "600 mm", "f_number": "f/8", "board_min": "620 mm", "board_max": "1100 mm",
                          "length": "2.4 m", "width": "2 m", "height": "2.1 m"})  # fmt: skip
    own.add_box(book, {"name": "D", "paper": "enlarging", "size": "12x16 in", "sheets": "25"})
    own.add_developer(book, {"name": "coffee", "kind": "coffee"})
    own.add_meter(book, {"name": "mine", "kind": "hand"})
    wish.say(book, {"light": "overcast", "subject": "3 m", "reading": "EV 11"})

    def run_one() -> None:
        code = expose.keep(book).code
        expose.expose(book, code)
        clock.at += timedelta(minutes=5)
        ms = int(clock.at.timestamp() * 1000)
        run.mark(
            book,
            code,
            [
                {"id": f"{code}-a", "kind": "begun", "step": "", "elapsed_s": 0, "wall_ms": ms},
                {"id": f"{code}-b", "kind": "finished", "step": "", "elapsed_s": 9, "wall_ms": ms},
            ],
        )

    run_one()
    clock.at += timedelta(minutes=1)
    assert fixer(book).sheets == 0  # what ran before it was poured is not its
    run_one()
    b = mixing_baths.named(book, "fixer")
    assert (b.sheets, b.by_book) == (1, 1)
    assert b.area_m2 == pytest.approx(0.3048 * 0.4064)
    mixing_baths.end(book, "fixer")
    clock.at += timedelta(minutes=1)
    run_one()
    assert mixing_baths.named(book, "fixer").sheets == 1


def test_thrown_away_and_back(book: Book) -> None:
    fixer(book)
    assert mixing_baths.end(book, "fixer").state == "ended"
    with pytest.raises(Refusal, match="thrown away"):
        mixing_baths.through(book, {"bath": "fixer", "sheets": "1", "size": "8x10 in"})
    assert mixing_baths.end(book, "fixer", back=True).state == "good"


@pytest.mark.parametrize("bad", [
    {"kind": "soup"}, {"volume": "1 gal"}, {"volume": "9000 l"}, {"name": "<b>"}, {"temperature": "20"}, {"colour": "red"},
])  # fmt: skip
def test_what_is_no_bath(book: Book, bad: dict[str, str]) -> None:
    with pytest.raises(Refusal):
        mixing_baths.open_bath(book, {"name": "x", "kind": "stop", "volume": "1 l"} | bad)


@pytest.mark.parametrize("bad", [
    {}, {"sheets": "2"}, {"sheets": "x"}, {"silver": "2"}, {"silver": "-1 g/l"}, {"appeared": "0.1 s"}, {"bath": "none"}, {"size": "0x0 in"},
])  # fmt: skip
def test_what_cannot_be_noted(book: Book, bad: dict[str, str]) -> None:
    fixer(book)
    with pytest.raises(Refusal):
        mixing_baths.through(book, {"bath": "fixer"} | bad)


def test_what_is_thrown_away_is_counted_until_it_is_handed_in(book: Book) -> None:
    from firstsheet.acts import mixing_waste

    for name, kind, volume in (
        ("a", "fixer_single", "2 l"),
        ("b", "fixer_single", "1.5 l"),
        ("c", "developer", "2 l"),
        ("d", "stop", "1 l"),
    ):
        mixing_baths.open_bath(book, {"name": name, "kind": kind, "volume": volume})
    for name in "abc":
        mixing_baths.end(book, name)
    w = mixing_waste.waste(book)
    assert [(c.kind, c.volume_ml, c.collect) for c in w.cans] == [
        ("fixer_single", 3500, True),
        ("developer", 2000, False),
    ]
    assert w.collect_ml == 3500
    assert "local authority" in w.defers
    assert mixing_waste.hand_in(book).cans == ()
    mixing_baths.end(book, "d")
    assert [c.kind for c in mixing_waste.waste(book).cans] == ["stop"]
