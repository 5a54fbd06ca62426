"""Whatever the file holds: a Refusal or an answer, and after a Refusal a book as it was."""

from __future__ import annotations

from datetime import UTC, datetime

import pytest
from hypothesis import HealthCheck, example, given, settings
from hypothesis import strategies as st
from notebook_boathouse import MAPPING, ROWS, Boathouse, text

from firstsheet.acts import notebook
from firstsheet.acts import notebook_rows as nb
from firstsheet.answer import to_json
from firstsheet.refusal import Refusal

CELLS = st.one_of(
    st.text(max_size=30),
    st.sampled_from(["", "3", "1/2 s", "EV 11", "nan", "1e400", "-4", "0", "f/0", "9999-12-31", "0001-01-01", "2026-02-30", "3 May 2026",
                     "24:00", "white", "as wanted", "yes", "A", "=1+1", "1" * 300, "𝟛 m", "٣", "12 m 5 mm", "1/0 s", "\x00"]),
)  # fmt: skip


def told(refusal: Refusal) -> None:
    assert all(p.allowed for p in refusal.problems)
    assert refusal.problems


@settings(deadline=None)
@given(st.binary(max_size=400))
@example(b"\xff\xfea")
@example(b"\xef\xbb\xbfa,b\n1,2")
@example(b'a,b\r"')
@example(b"a,b\n\x81,\x8d")
def test_any_bytes(data: bytes) -> None:
    try:
        found = notebook.propose(data)
    except Refusal as refusal:
        told(refusal)
        return
    to_json(found)
    assert set(found.mapping().values()) <= set(nb.FIELDS)


@settings(max_examples=150, deadline=None, suppress_health_check=[HealthCheck.function_scoped_fixture])
@given(st.lists(st.lists(CELLS, min_size=12, max_size=12), min_size=1, max_size=3), st.booleans(), st.sampled_from(["", "dmy", "mdy", "ymd"]))
def test_any_cells(rows: list[list[str]], untaught: bool, order: str) -> None:
    b = Boathouse(datetime(2026, 9, 1, 9, 0, tzinfo=UTC))
    lines = [";".join('"' + c.replace('"', '""') + '"' for c in r) for r in rows]
    before = b.count()
    try:
        found = b.check(text(*lines), untaught="yes" if untaught else "no", date_order=order)
        assert b.count() == before
        to_json(found)
        got = b.bring_in(text(*lines), untaught="yes" if untaught else "no", date_order=order)
        assert found.ready
        assert got.count == len(b.book.sheets(99))
    except Refusal as refusal:
        told(refusal)
        assert b.count() == before
    b.book.close()


@settings(max_examples=150, deadline=None)
@given(st.integers(0, 11), CELLS)
def test_one_cell_of_a_good_row(place: int, cell: str) -> None:
    b = Boathouse(datetime(2026, 9, 1, 9, 0, tzinfo=UTC))
    cells = ROWS[0].split(";")
    cells[place] = '"' + cell.replace('"', '""') + '"'
    try:
        b.bring_in(text(";".join(cells)))
    except Refusal:
        assert b.count() == (0, 0, 0, 0, 0, 0)
    b.book.close()


@settings(max_examples=100, deadline=None)
@given(st.dictionaries(st.text(max_size=12), CELLS, max_size=4), st.dictionaries(st.text(max_size=12), st.one_of(CELLS, st.dictionaries(CELLS, CELLS, max_size=2)), max_size=4))
def test_any_mapping_and_defaults(mapping: dict[str, str], defaults: dict[str, object]) -> None:
    b = Boathouse(datetime(2026, 9, 1, 9, 0, tzinfo=UTC))
    try:
        notebook.check(b.book, text(*ROWS).encode(), {**MAPPING, **mapping}, defaults)
    except Refusal as refusal:
        told(refusal)
    b.book.close()


@pytest.mark.parametrize("many", [230])
def test_a_long_notebook_is_planned_almost_as_row_by_row(many: int) -> None:
    # Beyond some hundreds each row is planned from what was known a few rows ago: no figure moves that a person is shown.
    b = Boathouse(datetime(2026, 9, 1, 9, 0, tzinfo=UTC))
    seen = ("too dark", "a little dark", "as wanted", "a little pale", "too pale")
    rows = [f"2026-0{1 + i % 6}-{1 + i % 28:02d};1{i % 10}:00;A;3;EV {10 + i % 5 * 0.4:g};sun;16;{2 + i % 7};white;{seen[i % 5]};no;" for i in range(many)]
    got = b.bring_in(text(*rows))
    assert got.count == many
    plans = [b.book.get_sheet(c)["body"]["plan"] for c in got.codes]
    jump = [abs(p["ei_now"] / q["ei_now"] - 1) for p, q in zip(plans[-30:], plans[-29:], strict=False)]
    assert max(jump) < 0.02
    b.book.close()
