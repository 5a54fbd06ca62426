"""A sheet's life, read from its marks: planned (→ flashed) → exposed → in the trays → processed → judged."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

from firstsheet.acts.answers import SheetState
from firstsheet.trays import progress

if TYPE_CHECKING:
    from firstsheet.acts.reader import Reader, Row
    from firstsheet.book.store import Book

RUN_ENDS = {"finished": "processed", "stopped": "processed", "abandoned": "given up"}
RUN_KINDS = progress.KINDS


def state_of(row: Row, marks: list[Row]) -> SheetState:
    """Where a sheet stands after its marks, in the order the book had them. The last word of each kind counts."""
    state, given_s, aperture, remark = "planned", None, None, ""
    judgement: dict[str, Any] | None = None
    pictures: list[int] = []
    flashed: dict[str, Any] | None = None
    for m in marks:
        body = m["body"]
        if m["kind"] == "exposed":
            state, given_s, aperture = "exposed", body["given_s"], body["aperture"]
            remark = body.get("remark") or remark
        elif m["kind"] == "flashed":
            flashed, state = body, "flashed" if state == "planned" else state
        elif m["kind"] == "begun" and state in ("planned", "flashed", "exposed"):
            state = "in the trays"
        elif m["kind"] in RUN_ENDS:
            state = RUN_ENDS[m["kind"]]
        elif m["kind"] == "judged":
            state, judgement = "judged", body
            if body.get("picture"):
                pictures.append(body["picture"])
        elif m["kind"] == "unjudged":
            state, judgement = "processed", None
        elif m["kind"] == "pictured":
            pictures.append(body["picture"])
        if body.get("note"):
            remark = body["note"]
    return SheetState(
        row["code"], row["id"], state, row["body"]["plan"], bool(row["body"].get("strip")), given_s, aperture, remark,
        judgement, tuple(pictures), row["wall"].isoformat(), tuple(_mark(m) for m in marks), flashed, tuple(row["body"].get("patches") or ()),
    )  # fmt: skip


def _mark(m: Row) -> dict[str, Any]:
    return {
        "id": m["client_id"], "kind": m["kind"], "elapsed_s": m["elapsed_s"], "wall": m["wall"].isoformat(), "body": m["body"],
    }  # fmt: skip


def sheet(reader: Reader, code: str) -> SheetState:
    """One sheet by the code on its back."""
    row = reader.get_sheet(code)
    return state_of(row, reader.marks(row["id"]))


def sheets(reader: Reader, limit: int = 30, before: int | None = None) -> list[SheetState]:
    """Sheets, newest first."""
    rows = reader.sheets(limit, before)
    marks = reader.marks_of([row["id"] for row in rows])
    return [state_of(row, marks[row["id"]]) for row in rows]


def mark(book: Book, row: Row, kind: str, body: dict[str, Any], client_id: str | None = None) -> str:
    """Append one mark made here and now; returns its id."""
    import secrets

    made = client_id or secrets.token_hex(8)
    book.add_marks(row["id"], [{"client_id": made, "kind": kind, "elapsed_s": None, "wall": book.now(), "body": body}])
    return made
