"""What goes into the book comes out, each mark once, and nothing is half kept."""

from __future__ import annotations

from datetime import UTC, datetime, timedelta, timezone
from random import Random

import pytest

from firstsheet.book.store import CODE_SIGNS, Book
from firstsheet.refusal import Refusal

WALL = datetime(2026, 11, 25, 9, 30, 0, 123456, tzinfo=UTC)


def a_mark(client_id: str = "m1", **other: object) -> dict[str, object]:
    return {"client_id": client_id, "kind": "lens opened", "wall": WALL, "elapsed_s": 0.0, "body": {}} | other


def test_the_newest_version_of_a_thing_is_current_and_the_others_stay(book: Book) -> None:
    first = book.add_thing("box", "north shelf", {"iso_p": 6})
    second = book.add_thing("box", "north shelf", {"iso_p": 7})
    book.add_thing("box", "attic", {"iso_p": 3})
    book.add_thing("camera", "north shelf", {})
    current = book.current("box", "north shelf")
    assert current is not None
    assert (current["id"], current["body"]) == (second, {"iso_p": 7})
    assert [row["id"] for row in book.versions("box", "north shelf")] == [second, first]
    assert [(row["name"], row["body"]) for row in book.things("box")] == [
        ("attic", {"iso_p": 3}),
        ("north shelf", {"iso_p": 7}),
    ]
    assert book.current("box", "south shelf") is None


def test_a_setting_is_replaced(book: Book) -> None:
    assert book.get_setting("today") is None
    assert book.get_setting("today", {"f": 1}) == {"f": 1}
    book.set_setting("today", {"camera": "boathouse"})
    book.set_setting("today", ["other"])
    assert book.get_setting("today") == ["other"]


def test_pictures_and_readings(book: Book) -> None:
    picture = book.add_picture("image/jpeg", b"\xff\xd8\x00\xff", {"width": 4})
    readings = [book.add_reading({"n": i}, picture_id=picture if i == 2 else None) for i in range(3)]
    assert book.get_picture(picture)["data"] == b"\xff\xd8\x00\xff"
    assert book.get_reading(readings[2])["picture_id"] == picture
    assert [row["body"]["n"] for row in book.last_readings(2)] == [2, 1]
    with pytest.raises(Refusal) as missing:
        book.add_reading({}, picture_id=99)
    assert missing.value.kind == "missing"
    with pytest.raises(Refusal):
        book.get_picture(99)


def test_sheets_are_paged_newest_first(book: Book) -> None:
    sitting = book.add_sitting("the crew of the eight", {"asked": True})
    rng = Random(4)
    ids = [book.add_sheet(book.new_code(rng), {"n": n}, sitting_id=sitting) for n in range(5)]
    assert [row["id"] for row in book.sheets(limit=2)] == [ids[4], ids[3]]
    assert [row["id"] for row in book.sheets(limit=9, before=ids[3])] == [ids[2], ids[1], ids[0]]
    assert book.get_sitting(sitting)["subject"] == "the crew of the eight"
    assert [row["id"] for row in book.sittings()] == [sitting]
    with pytest.raises(Refusal) as missing:
        book.add_sheet("4444", {}, sitting_id=77)
    assert missing.value.kind == "missing"


def test_a_sheet_is_found_however_its_code_is_typed(book: Book, sheet_id: int) -> None:
    assert book.get_sheet(" 47ac ")["id"] == sheet_id
    with pytest.raises(Refusal) as missing:
        book.get_sheet("7777")
    assert missing.value.kind == "missing"


@pytest.mark.parametrize("code", ["47A", "47AC4", "47A0", "", "4 AC"])
def test_a_code_that_cannot_be_one(book: Book, code: str) -> None:
    with pytest.raises(Refusal):
        book.add_sheet(code, {})


def test_codes_are_new_and_leave_out_signs_that_are_confused(book: Book) -> None:
    # Common practice, no source: these are the pairs that people misread in handwriting.
    assert not set("0OQD1IL2Z5S6G8BUV") & set(CODE_SIGNS)
    # Turned upside down on a loose sheet M reads as W and E as 3: at most one of each pair.
    assert not {"M", "W"} <= set(CODE_SIGNS)
    assert not {"3", "E"} <= set(CODE_SIGNS)
    taken = book.new_code(Random(1))
    book.add_sheet(taken, {})
    assert book.new_code(Random(1)) != taken
    with pytest.raises(Refusal):
        book.add_sheet(taken, {})
    assert len(book.new_code()) == 4


def test_moments_come_back_aware_and_in_utc(book: Book, sheet_id: int) -> None:
    """09:30 in Kathmandu (+05:45) is 03:45 UTC: ISO 8601 local time and offset."""
    kathmandu = datetime(2026, 11, 25, 9, 30, tzinfo=timezone(timedelta(hours=5, minutes=45)))
    book.add_marks(sheet_id, [a_mark("a", wall=kathmandu), a_mark("b", wall="2026-11-25T09:30:00.123456Z")])
    first, second = book.marks(sheet_id)
    assert first["wall"].utcoffset() == timedelta(0)
    assert first["wall"] == datetime(2026, 11, 25, 3, 45, tzinfo=UTC)
    assert second["wall"] == WALL
    assert first["kept"] == book.now() - timedelta(seconds=2)


def test_a_mark_handed_in_again_is_acknowledged_and_kept_once(book: Book, sheet_id: int) -> None:
    once = book.add_marks(sheet_id, [a_mark("a", body={"at": (1, 2)}), a_mark("b")])
    assert (once.client_ids, once.stored, once.differing) == (["a", "b"], ["a", "b"], [])
    again = book.add_marks(sheet_id, [a_mark("b"), a_mark("a", body={"at": [1, 2]}), a_mark("c")])
    assert (again.client_ids, again.stored, again.differing) == (["b", "a", "c"], ["c"], [])
    assert [row["client_id"] for row in book.marks(sheet_id)] == ["a", "b", "c"]


def test_a_mark_that_says_something_else_the_second_time(book: Book, sheet_id: int) -> None:
    book.add_marks(sheet_id, [a_mark("a", body={"n": 1}), a_mark("b"), a_mark("c")])
    other = book.add_sheet("7777", {})
    told = book.add_marks(sheet_id, [a_mark("a", body={"n": 2}), a_mark("b", elapsed_s=None), a_mark("c")])
    assert (told.client_ids, told.stored, told.differing) == (["a", "b", "c"], [], ["a", "b"])
    assert book.add_marks(other, [a_mark("c")]).differing == ["c"]
    assert [row["body"] for row in book.marks(sheet_id)] == [{"n": 1}, {}, {}]


def test_twice_in_one_delivery(book: Book, sheet_id: int) -> None:
    told = book.add_marks(sheet_id, [a_mark("a"), a_mark("a"), a_mark("a", kind="lens closed")])
    assert (told.client_ids, told.stored, told.differing) == (["a", "a", "a"], ["a"], ["a"])
    assert len(book.marks(sheet_id)) == 1


def test_a_large_delivery_after_a_long_absence(book: Book, sheet_id: int) -> None:
    marks = [a_mark(f"m{i}", elapsed_s=i / 10) for i in range(3000)]
    book.add_marks(sheet_id, marks[:1500])
    assert len(book.add_marks(sheet_id, marks).stored) == 1500
    assert [row["client_id"] for row in book.marks(sheet_id)] == [m["client_id"] for m in marks]


def test_every_fault_of_a_delivery_is_told_and_none_of_it_is_kept(book: Book, sheet_id: int) -> None:
    bad = [
        a_mark("ok"),
        {"kind": "", "wall": "2026-11-25T09:30:00", "elapsed_s": float("inf"), "body": {"x": float("nan")}},
        a_mark("x" * 65, elapsed_s="4"),
    ]
    with pytest.raises(Refusal) as refusal:
        book.add_marks(sheet_id, bad)
    assert [p.where for p in refusal.value.problems] == [
        "marks.1.client_id",
        "marks.1.kind",
        "marks.1.elapsed_s",
        "marks.1.wall",
        "marks.1.body.x",
        "marks.2.client_id",
        "marks.2.elapsed_s",
    ]
    assert book.marks(sheet_id) == []
    with pytest.raises(Refusal) as missing:
        book.add_marks(99, [a_mark("a")])
    assert missing.value.kind == "missing"


def test_all_marks_by_kind_and_after(book: Book, sheet_id: int) -> None:
    other = book.add_sheet("7777", {})
    book.add_marks(sheet_id, [a_mark("a"), a_mark("b", kind="judged")])
    book.add_marks(other, [a_mark("c", kind="judged")])
    assert [row["client_id"] for row in book.all_marks()] == ["a", "b", "c"]
    judged = book.all_marks("judged")
    assert [row["client_id"] for row in judged] == ["b", "c"]
    assert [row["client_id"] for row in book.all_marks("judged", after=judged[0]["id"])] == ["c"]


def test_the_newest_posterior_wins(book: Book) -> None:
    assert book.newest_posterior() is None
    book.put_posterior(0, {"of": "prior"})
    book.put_posterior(7, {"of": "seven"}, data=b"\x00\x01")
    newest = book.newest_posterior()
    assert newest is not None
    assert (newest["upto_mark"], newest["body"], newest["data"]) == (7, {"of": "seven"}, b"\x00\x01")


def test_a_transaction_is_kept_whole_or_not_at_all(book: Book, sheet_id: int) -> None:
    def interrupted() -> None:
        with book.begin():
            book.add_marks(sheet_id, [a_mark("a")])
            book.set_setting("today", 1)
            raise ZeroDivisionError

    with pytest.raises(ZeroDivisionError):
        interrupted()
    assert book.marks(sheet_id) == []
    assert book.get_setting("today") is None
    with book.begin():
        book.set_setting("today", 1)
        assert book.get_setting("today") == 1
    assert book.get_setting("today") == 1


def test_writing_inside_a_look_is_a_mistake_of_the_program(book: Book) -> None:
    with book.looking(), pytest.raises(RuntimeError):
        book.set_setting("today", 1)


def test_a_moment_without_its_zone_is_refused(book: Book) -> None:
    with pytest.raises(Refusal):
        book.add_thing("box", "attic", {}, wall=datetime(2026, 11, 25))


@pytest.mark.parametrize("name", ["", " ", "a\x00b", "\ud800", 4, "x" * 201])
def test_a_name_no_database_can_keep(book: Book, name: str) -> None:
    with pytest.raises(Refusal):
        book.add_thing("box", name, {})
