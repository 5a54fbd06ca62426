"""A notebook brought in: as by hand, all or nothing, once; and what people really type."""

from __future__ import annotations

from datetime import UTC, datetime

import pytest
from notebook_boathouse import MAPPING, ROWS, Boathouse, text

from firstsheet.acts import judge, notebook, sheet
from firstsheet.answer import to_json
from firstsheet.book.store import Book
from firstsheet.refusal import Refusal

T = datetime(2026, 9, 1, 9, 0, tzinfo=UTC)

# The same five sheets as a person would have typed them here on the day.
BY_HAND = (
    (datetime(2026, 5, 3, 14, 0, tzinfo=UTC), "3 m", "EV 11", "sun", "4 s", "too_dark", "no"),
    (datetime(2026, 5, 3, 14, 40, tzinfo=UTC), "3 m", "EV 11", "sun", "2.5 s", "a_little_dark", "no"),
    (datetime(2026, 5, 4, 11, 0, tzinfo=UTC), "3.2 m", "EV 10.5", "overcast", "3 s", "a_little_dark", "no"),
    (datetime(2026, 5, 9, 16, 30, tzinfo=UTC), "2.8 m", "EV 9", "open_shade", "0.5 s", "much_too_pale", "no"),
    (datetime(2026, 5, 10, 10, 15, tzinfo=UTC), "3 m", "EV 11", "sun", "2 s", "as_wanted", "yes"),
)


def typed(b: Boathouse) -> None:
    for when, subject, ev, light, given, seen, kept in BY_HAND:
        said = {"box": "A", "subject": subject, "reading": ev, "light": light, "aperture": "f/16"}
        b.by_hand(when, said, given, {"border": "white", "seen": seen, "kept": kept})
    b.now = T


def test_it_teaches_what_the_same_sheets_teach_typed_by_hand(boathouse: Boathouse) -> None:
    other = Boathouse(T)
    typed(other)
    got = boathouse.bring_in(text(*ROWS))
    assert (got.count, got.taught, got.skipped_identical, got.untaught) == (5, 5, 0, ())
    by_hand, brought = other.book.newest_posterior(), boathouse.book.newest_posterior()
    assert by_hand is not None
    assert brought is not None
    assert brought["body"] == by_hand["body"]  # to the last bit, the numbers of the readings included
    hand, here = other.plan(), boathouse.plan()
    assert here.wanted_s == hand.wanted_s
    assert here.sd_stops == hand.sd_stops
    # What differs: the boxes' count (see below), and what every mark and sheet says of where it came from.
    assert (here.sheets_left, hand.sheets_left) == (10, 5)


def test_each_sheet_is_dated_as_the_notebook_says_and_marked(boathouse: Boathouse) -> None:
    other = Boathouse(T)
    typed(other)
    codes = boathouse.bring_in(text(*ROWS)).codes
    theirs = [s.code for s in reversed(sheet.sheets(other.book))]
    for code, hand, (when, *_rest) in zip(codes, theirs, BY_HAND, strict=True):
        mine, same = sheet.sheet(boathouse.book, code), sheet.sheet(other.book, hand)
        assert mine.state == "judged"
        assert mine.wall == when.isoformat()
        assert all(m["wall"] == when.isoformat() and m["body"]["from_notebook"] is True for m in mine.marks)
        assert mine.given_s == same.given_s
        for key in ("nominal_log2_s", "wanted_s", "sd_stops", "shared", "keeper_chance", "board_mm", "reading_age_s"):
            assert mine.plan[key] == same.plan[key], key
    last = boathouse.book.get_sheet(codes[-1])["body"]
    assert last["from_notebook"] is True
    assert last["notebook"]["cells"]["remarks"] == "the keeper"


def test_the_order_in_the_file_does_not_matter_but_the_days_do(boathouse: Boathouse) -> None:
    other = Boathouse(T)
    a, b = boathouse.bring_in(text(*ROWS)), other.bring_in(text(*reversed(ROWS)))
    walls = [[sheet.sheet(x.book, c).wall for c in got.codes] for x, got in ((boathouse, a), (other, b))]
    assert walls[0] == walls[1] == sorted(walls[0])
    assert boathouse.plan().wanted_s == other.plan().wanted_s


def test_brought_in_again_nothing_is_doubled(boathouse: Boathouse) -> None:
    boathouse.bring_in(text(*ROWS[:3]))
    before, known = boathouse.count(), boathouse.book.newest_posterior()
    again = boathouse.bring_in(text(*ROWS[:3]))
    assert (again.count, again.skipped_identical, again.codes) == (0, 3, ())
    assert boathouse.count() == before
    assert boathouse.book.newest_posterior() == known
    # With commas, quotes and other blanks it is the same notebook; two more rows are two more sheets.
    quoted = "\n".join(",".join(f'"{c} "' for c in line.split(";")) for line in text(*ROWS).splitlines())
    more = boathouse.bring_in(quoted)
    assert (more.count, more.skipped_identical) == (2, 3)
    other = Boathouse(T)
    other.bring_in(text(*ROWS))
    assert boathouse.plan().wanted_s == other.plan().wanted_s


def test_two_rows_alike_are_two_sheets(boathouse: Boathouse) -> None:
    assert boathouse.bring_in(text(ROWS[0], ROWS[0])).count == 2
    assert boathouse.bring_in(text(ROWS[0], ROWS[0])).skipped_identical == 2


def test_one_bad_row_and_nothing_is_kept(boathouse: Boathouse) -> None:
    bad = "2026-05-11;10:00;A;3;EV 11;sun;16;2;white;rather nice;yes;"
    worse = "2026-05-12;10:00;Z;3 apples;EV;moonbeam;f/zero;soon;mauve;too dark;maybe;"
    before = boathouse.count()
    with pytest.raises(Refusal) as refused:
        boathouse.bring_in(text(*ROWS, bad, worse))
    assert boathouse.count() == before
    where = [p.where for p in refused.value.problems]
    assert where[0] == "row 7, result"
    assert refused.value.problems[0].asked == "rather nice"
    assert {"row 8, box", "row 8, distance (m)", "row 8, EV", "row 8, light", "row 8, f", "row 8, seconds"} <= set(
        where
    )
    assert all(p.allowed for p in refused.value.problems)


def test_a_failure_half_way_through_storing_keeps_nothing(
    boathouse: Boathouse, monkeypatch: pytest.MonkeyPatch
) -> None:
    before, calls = boathouse.count(), []
    real = Book.add_marks

    def failing(self: Book, sheet_id: int, marks: list[dict[str, object]]) -> object:
        calls.append(sheet_id)
        if len(calls) == 4:
            raise OSError("the disk is full")
        return real(self, sheet_id, marks)

    monkeypatch.setattr(Book, "add_marks", failing)
    with pytest.raises(OSError, match="disk"):
        boathouse.bring_in(text(*ROWS))
    assert boathouse.count() == before


def test_checking_stores_nothing_and_says_what_would_come(boathouse: Boathouse) -> None:
    before = boathouse.count()
    found = boathouse.check(text(*ROWS))
    assert found.ready
    assert boathouse.count() == before
    assert [r.row for r in found.rows] == [2, 3, 4, 5, 6]
    assert found.rows[2].seen == "a_little_dark"
    assert all(r.taught and not r.there for r in found.rows)
    boathouse.bring_in(text(*ROWS))
    assert all(r.there for r in boathouse.check(text(*ROWS)).rows)
    to_json(found)


# ── what people type ──


@pytest.mark.parametrize(("cell", "mm"), [
    ("3", 3000.0), ("3,2", 3200.0), ("3.2", 3200.0), ("5 ft 6 in", 1676.4), ("320 cm", 3200.0), ("5'6\"", 1676.4),
])  # fmt: skip
def test_a_distance_is_in_its_own_unit_or_in_the_headings(boathouse: Boathouse, cell: str, mm: float) -> None:
    # 1 in = 25.4 mm exactly [SP811]: 66 in = 1676.4 mm
    quoted = '"' + cell.replace('"', '""') + '"'
    got = boathouse.bring_in(text(ROWS[0].replace(";3;", f";{quoted};")))
    assert sheet.sheet(boathouse.book, got.codes[0]).plan["subject_mm"] == pytest.approx(mm)


@pytest.mark.parametrize(
    ("cell", "seconds"), [("4", 4.0), ("1/2 s", 0.5), ("1/2", 0.5), ("2,5", 2.5), ("2:30", 150.0), ("1 min 5 s", 65.0)]
)
def test_a_time_likewise(boathouse: Boathouse, cell: str, seconds: float) -> None:
    got = boathouse.bring_in(text(ROWS[0].replace(";16;4;", f";16;{cell};")))
    assert sheet.sheet(boathouse.book, got.codes[0]).given_s == seconds


def test_a_bare_number_under_a_bare_heading_is_refused_until_its_unit_is_said(boathouse: Boathouse) -> None:
    head = text("").splitlines()[0].replace("distance (m)", "distance").replace("seconds", "given")
    mapping = {k.replace("distance (m)", "distance").replace("seconds", "given"): v for k, v in MAPPING.items()}
    found = boathouse.check(text(ROWS[0], head=head), mapping)
    assert {(p.column, p.said) for p in found.problems} == {("distance", "3"), ("given", "4")}
    assert boathouse.check(text(ROWS[0], head=head), mapping, subject_unit="yd", given_unit="s").ready
    near = boathouse.check(text(ROWS[0], head=head), mapping, subject_unit="ft", given_unit="s")  # 0.9 m, and f = 0.6 m
    assert [(p.column, p.said) for p in near.problems] == [("distance", "3")]
    with pytest.raises(Refusal):
        boathouse.check(text(ROWS[0], head=head), mapping, subject_unit="s")


def test_a_day_that_reads_two_ways_is_refused_unless_declared(boathouse: Boathouse) -> None:
    row = ROWS[0].replace("2026-05-03", "03/04/2026")
    found = boathouse.check(text(row))
    assert [(p.field, p.said) for p in found.problems] == [("date", "03/04/2026")]
    days = {}
    for order in ("dmy", "mdy"):
        (one,) = boathouse.check(text(row), date_order=order).rows
        days[order] = one.when[:10]
    assert days == {"dmy": "2026-04-03", "mdy": "2026-03-04"}
    (sure,) = boathouse.check(text(ROWS[0].replace("2026-05-03", "25.04.2026"))).rows  # there is no 25th month
    assert sure.when[:10] == "2026-04-25"
    assert boathouse.check(text(ROWS[0].replace("2026-05-03", "25.04.2026")), date_order="mdy").problems
    assert boathouse.check(text(ROWS[0].replace("2026-05-03", "03/04/26"))).problems
    assert boathouse.check(text(ROWS[0].replace("2026-05-03", "2027-04-03"))).problems[0].allowed == "A day past."


def test_local_time_is_local_where_the_zone_is_said(boathouse: Boathouse) -> None:
    # Central European summer time is UTC+2 [IANA time zone database]
    (row,) = boathouse.check(text(ROWS[0]), zone="Europe/Berlin").rows
    assert row.when == "2026-05-03T12:00:00+00:00"
    with pytest.raises(Refusal):
        boathouse.check(text(ROWS[0]), zone="Atlantis/Harbour")


def test_decimal_commas_between_commas_are_seen(boathouse: Boathouse) -> None:
    found = boathouse.check(text(*(r.replace(";", ",") for r in ROWS), head=text("").splitlines()[0].replace(";", ",")))
    wide = {p.row for p in found.problems if p.column == "the whole row"}
    assert wide == {3, 4, 5}


@pytest.mark.parametrize("encoding", ["utf-8", "utf-8-sig", "latin-1", "utf-16"])
@pytest.mark.parametrize("sign", [",", ";", "\t"])
def test_any_of_its_encodings_and_signs(boathouse: Boathouse, encoding: str, sign: str) -> None:
    row = (
        ROWS[0]
        .replace("16;4;", "16;½ s;")
        .replace("stroke", "Zoë, a ‘stroke’" if encoding != "latin-1" else "Zoë, a stroke")
    )
    said = "\r\n".join(sign.join(f'"{c}"' for c in line.split(";")) for line in text(row).splitlines())
    got = boathouse.bring_in(said.encode(encoding))
    s = sheet.sheet(boathouse.book, got.codes[0])
    assert s.given_s == 0.5
    assert s.remark.startswith("Zoë")


def test_rows_that_cannot_teach_are_kept_only_if_that_was_said(boathouse: Boathouse) -> None:
    row = "2026-05-02;12:00;A;;;;16;6;white;too dark;no;the first try, no meter"
    found = boathouse.check(text(row, *ROWS))
    assert {p.field for p in found.problems} >= {"reading"}
    assert any("keep such rows" in p.hint and "untaught" not in p.hint and p.lacks for p in found.problems)
    got = boathouse.bring_in(text(row, *ROWS), untaught="yes")
    assert got.untaught == (2,)
    assert got.count == 5
    (kept,) = boathouse.book.things("notebook_row")
    assert kept["body"]["cells"]["remarks"] == "the first try, no meter"
    assert boathouse.bring_in(text(row, *ROWS), untaught="yes").skipped_identical == 6
    other = Boathouse(T)
    other.bring_in(text(*ROWS))
    assert other.plan().wanted_s == boathouse.plan().wanted_s
    misspelt = row.replace(";;;", ";;EV eleven;")  # said and not understood is a problem all the same
    assert boathouse.check(text(misspelt), untaught="yes").problems


def test_a_sheet_without_a_verdict_is_exposed_and_waits(boathouse: Boathouse) -> None:
    got = boathouse.bring_in(text("2026-05-03;14:00;A;3;EV 11;sun;16;4;;;;still wet"))
    assert got.taught == 0
    assert sheet.sheet(boathouse.book, got.codes[0]).state == "exposed"
    assert boathouse.book.newest_posterior() is None


def test_a_greyed_border_teaches_nothing(boathouse: Boathouse) -> None:
    # Stray light greys a negative's white border; common practice, no source
    before = boathouse.plan().wanted_s
    got = boathouse.bring_in(text(ROWS[0].replace(";white;", ";grey;")))
    assert (got.count, got.taught) == (1, 0)
    assert boathouse.plan().wanted_s == before


def test_a_default_speaks_for_the_whole_notebook(boathouse: Boathouse) -> None:
    head = "when,metres,ev,secs,looks"
    mapping = {"when": "date", "metres": "subject", "ev": "reading", "secs": "given", "looks": "seen"}
    more = {"aperture": "f/16", "light": "sun", "border": "white", "subject_unit": "m"}
    found = boathouse.check(
        text("3 May 2026,3,11,4,dark", head=head), mapping, words="dark = too_dark; border: clean = white", **more
    )
    assert found.ready
    assert found.rows[0].seen == "too_dark"
    assert any("noon" in n for n in found.notes)


def test_stock_is_taken_only_if_that_was_said(boathouse: Boathouse) -> None:
    boathouse.bring_in(text(*ROWS), stock="yes")
    assert boathouse.plan().sheets_left == 5


def test_the_mapping_is_the_persons_and_is_checked(boathouse: Boathouse) -> None:
    for mapping, where in (({"days": "date"}, "mapping"), ({**MAPPING, "remarks": "gossip"}, "mapping.remarks"),
                           ({**MAPPING, "remarks": "box"}, "mapping.remarks")):  # fmt: skip
        with pytest.raises(Refusal) as refused:
            boathouse.check(text(*ROWS), mapping)
        assert where in [p.where for p in refused.value.problems]
    with pytest.raises(Refusal) as refused:
        boathouse.check(text(*ROWS), colour="blue", date_order="ydm")
    assert {p.where for p in refused.value.problems} == {"defaults.colour", "defaults.date_order"}


def test_guesses_come_with_their_why() -> None:
    got = notebook.propose(text(*ROWS).encode())
    assert got.mapping() == MAPPING
    assert (got.delimiter, got.rows) == ("semicolon", 5)
    assert all(c.why for c in got.columns)
    at = {c.name: c for c in got.columns}
    assert at["distance (m)"].unit == "m"
    assert at["seconds"].unit == "seconds"
    odd = notebook.propose(b"time,TIME OF DAY,fish\n2:30,14:05,pike\n")
    assert [c.field for c in odd.columns] == ["time", None, None]


@pytest.mark.parametrize("data", [b"", b"\n\n", b"only\none\ncolumn\n", b"PK\x03\x04\x00\x00", b'a,b\n"open,1\n', b"a,a\n1,2\n", b"a,b\n" + b"1,2\n" * 5001,
                                  b"x" * 2_000_001])  # fmt: skip
def test_what_is_no_notebook_is_refused(data: bytes) -> None:
    with pytest.raises(Refusal) as refused:
        notebook.propose(data)
    assert refused.value.problems[0].where == "notebook"
    assert refused.value.problems[0].allowed


def test_a_judgement_brought_in_can_be_taken_back_and_stays_so(boathouse: Boathouse) -> None:
    before = boathouse.plan().wanted_s
    (code,) = boathouse.bring_in(text(ROWS[0])).codes
    assert boathouse.plan().wanted_s != before
    judge.take_back(boathouse.book, code)
    assert boathouse.plan().wanted_s == before
    assert boathouse.bring_in(text(ROWS[0])).skipped_identical == 1
    assert boathouse.plan().wanted_s == before


@pytest.mark.parametrize("said", [
    {"reading": "0.5 lx on the board", "light": "sun", "aperture": "f/16"},
    {"reading": "EV 12", "how": "reflected", "tone": "face_light", "light": "overcast", "subject": "3 m", "aperture": "f/16"},
    {"reading": "EV 11 on face_light; EV 13 on white_shirt", "light": "sun", "subject": "3 m", "aperture": "f/11"},
    {"reading": "open shade", "head": "60 mm", "aperture": "f/16"},
    {"reading": "f/8 1/125 ISO 100", "light": "sun", "subject": "3 m", "aperture": "f/16", "filter": "0.3"},
    {"reading": "4 lx on the board", "light": "tungsten", "way": "contact_print", "negative": "0.6"},
])  # fmt: skip
def test_whatever_way_it_was_read_it_is_as_by_hand(said: dict[str, str]) -> None:
    when = datetime(2026, 5, 3, 14, 0, tzinfo=UTC)
    mine, hand = Boathouse(T), Boathouse(T)
    code = hand.by_hand(when, said, "4 s", {"border": "white", "seen": "too_dark", "kept": "no"})
    hand.now = T
    row = {
        "day": "2026-05-03",
        "clock": "14:00",
        "secs": "4 s",
        "border": "white",
        "result": "too dark",
        "kept": "n",
        **said,
    }
    mapping = {"day": "date", "clock": "time", "secs": "given", "result": "seen"} | {
        k: k for k in (*said, "border", "kept")
    }
    data = ",".join(row) + "\n" + ",".join(f'"{v}"' for v in row.values())
    (mine_code,) = notebook.bring_in(mine.book, data.encode(), mapping).codes
    for key in ("nominal_log2_s", "wanted_s", "shared", "aperture"):
        assert sheet.sheet(mine.book, mine_code).plan[key] == sheet.sheet(hand.book, code).plan[key]
    a, b = mine.book.newest_posterior(), hand.book.newest_posterior()
    assert a
    assert b
    assert a["body"] == b["body"]


def test_without_the_stop_that_was_set_it_cannot_teach(boathouse: Boathouse) -> None:
    found = boathouse.check(text(ROWS[0].replace(";16;", ";;")))
    assert [(p.field, p.said) for p in found.problems] == [("aperture", "")]


def test_all_that_is_wrong_is_told_at_once_not_in_stages(boathouse: Boathouse) -> None:
    """A cell that cannot be read, a box nobody has, and a sitter who cannot stand there, in one row; and a column and a zone that do not fit."""
    row = "2026-05-03;14:00;Z;3;EV 11;sun;16;4;white;blueish;no;"
    far = "2026-05-03;14:00;A;3;EV 11;sun;f/4;4;white;blueish;no;"
    found = boathouse.check(text(row, far))
    lacking = boathouse.check(text("2026-05-03;14:00;Z;3;;sun;16;4;white;too dark;no;")).problems
    assert {(p.field, p.said) for p in lacking} == {("box", "Z"), ("reading", "")}
    assert {(p.row, p.field) for p in found.problems} >= {(2, "box"), (2, "seen"), (3, "seen"), (3, "aperture")}
    with pytest.raises(Refusal) as refused:
        notebook.check(
            boathouse.book, text(row).encode(), MAPPING | {"mood": "remark"}, {"zone": "Nowhere/Land", "words": ""}
        )
    where = [p.where for p in refused.value.problems]
    assert {"mapping", "defaults.zone"} <= set(where)
    assert any(w.startswith("row 2, ") for w in where)


def test_rows_are_left_out_by_number_and_said(boathouse: Boathouse) -> None:
    bad = "2026-05-03;14:00;A;3;EV 11;sun;16;4;white;blueish;no;"
    data = text(bad, *ROWS[:2], bad)
    assert not boathouse.check(data).ready
    found = boathouse.check(data, leave_out="2 5")
    assert found.ready
    assert [r.row for r in found.rows] == [3, 4]
    assert any("Rows 2, 5 left out" in n for n in found.notes)
    assert boathouse.bring_in(data, leave_out="2, 5-9").count == 2
    with pytest.raises(Refusal) as refused:
        boathouse.check(data, leave_out="77")
    assert refused.value.problems[0].where == "defaults.leave_out"


def test_what_may_be_seen_is_told_in_words(boathouse: Boathouse) -> None:
    row = "2026-05-03;14:00;A;3;EV 11;moonlit;16;4;white;blueish;no;"
    told = " ".join(p.allowed + p.hint for p in boathouse.check(text(row)).problems)
    assert "black all over" in told
    assert "_" not in told
