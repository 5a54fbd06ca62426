"""The book: what is owned, planned, done, seen and known. Marks are only ever added.

Rows come back as plain dicts with the columns of `tables`; moments are aware, in UTC. SQLAlchemy is
imported only when a book is opened.
"""

from __future__ import annotations

import os
import threading
from collections.abc import Callable, Iterator, Mapping, Sequence
from contextlib import AbstractContextManager, contextmanager, nullcontext
from dataclasses import dataclass
from datetime import UTC, datetime
from pathlib import Path
from random import Random
from typing import TYPE_CHECKING, Any

from firstsheet.book import place, values
from firstsheet.refusal import Problems, Refusal

if TYPE_CHECKING:
    from sqlalchemy import Connection, Engine, Table
    from sqlalchemy.sql import Executable

Row = dict[str, Any]

# Left out: what pencil and red light confuse (0 O D Q, 1 I L, 2 Z, 5 S, 6 G, 8 B, U V, 4 9) and what turns
# into another when the sheet lies upside down (3 E, M W); one of some pairs stays. 16 signs, 65 536 codes.
CODE_SIGNS = "47ACEFHJKMNPRTXY"
CODE_LENGTH = 4


@dataclass(frozen=True, slots=True)
class Kept:
    """What became of marks that were handed in.

    client_ids  every one that is now in the book, in the order given; a device may forget these
    stored      those written by this call; the others were there before
    differing   those that were there before and said something else: the first telling was kept
    """

    client_ids: list[str]
    stored: list[str]
    differing: list[str]


def utc_now() -> datetime:
    return datetime.now(UTC)


class Book:
    """One open book. Safe to use from several threads; close it, or use it in a `with`."""

    def __init__(self, where: Path | str, engine: Engine, now: Callable[[], datetime]) -> None:
        from firstsheet.book.tables import metadata

        self._tables: Mapping[str, Table] = metadata.tables
        self.where = where
        self.engine = engine
        self.now = now
        self._held = threading.local()
        # In memory there is one connection, so threads take turns.
        in_memory = where == place.MEMORY
        self._turn: AbstractContextManager[Any] = threading.RLock() if in_memory else nullcontext()

    @classmethod
    def open(
        cls,
        url_or_path: str | os.PathLike[str] | None = None,
        *,
        create: bool = True,
        memory: bool = False,
        now: Callable[[], datetime] = utc_now,
    ) -> Book:
        """Open the book, made if it is not there (`create`), brought up to date if it is older.

        Without a place: $FIRSTSHEET_BOOK, else the platform's place for a person's data. `memory` keeps
        nothing and is for simulated seasons. Raises Refusal "book" (foreign, damaged, newer, unreachable) or
        "busy".
        """
        from firstsheet.book import opening

        where = place.MEMORY if memory else place.resolve(url_or_path)
        return cls(where, opening.open_engine(where, create=create), now)

    def close(self) -> None:
        self.engine.dispose()

    def __enter__(self) -> Book:
        return self

    def __exit__(self, *_: object) -> None:
        self.close()

    @contextmanager
    def begin(self) -> Iterator[Connection]:
        """One transaction for writing: all of it is kept when the block ends, or none if it raises.

        Methods called inside join it. Kept means on the disk: the block's end waits for that.
        """
        with self._transaction(reading=False) as conn:
            yield conn

    @contextmanager
    def looking(self) -> Iterator[Connection]:
        """One view for reading: everything read inside is of the same moment."""
        with self._transaction(reading=True) as conn:
            yield conn

    @contextmanager
    def _transaction(self, *, reading: bool) -> Iterator[Connection]:
        held: tuple[Connection, bool] | None = getattr(self._held, "conn", None)
        if held is not None:
            conn, only_reading = held
            if only_reading and not reading:
                raise RuntimeError("writing inside looking(): use begin() around both")
            yield conn
            return
        with self._turn, place.told(self.where), self.engine.connect() as conn:
            conn = place.as_reader(conn) if reading else conn
            self._held.conn = (conn, reading)
            try:
                with conn.begin():
                    if not reading:
                        place.take_turn(conn)
                    yield conn
            finally:
                self._held.conn = None

    # ── reading and writing one row ──

    def _rows(self, statement: Executable) -> list[Row]:
        with self.looking() as conn:
            return [dict(row) for row in conn.execute(statement).mappings()]

    def _row(self, statement: Executable) -> Row | None:
        rows = self._rows(statement)
        return rows[0] if rows else None

    def _add(self, table: Table, wall: datetime | None, **columns: Any) -> int:
        columns["body"] = values.body("body", columns["body"])
        columns["wall"] = values.moment("wall", wall or self.now())
        with self.begin() as conn:
            key = conn.execute(table.insert().values(columns)).inserted_primary_key
        assert key is not None
        return int(key[0])

    def _by_id(self, table: Table, what: str, row_id: int) -> Row:
        found = self._row(table.select().where(table.c.id == row_id))
        if found is None:
            raise Refusal.one(what, row_id, f"A {what} that is in the book.", "", "missing")
        return found

    # ── things: cameras, boxes of paper, developers, meters; every version stays ──

    def add_thing(self, kind: str, name: str, body: Any, wall: datetime | None = None) -> int:
        """Keep a new version of the thing; it is the current one from now on. Returns its id."""
        thing = self._tables["thing"]
        kind, name = values.word("kind", kind, 32), values.word("name", name)
        return self._add(thing, wall, kind=kind, name=name, body=body)

    def current(self, kind: str, name: str) -> Row | None:
        thing = self._tables["thing"]
        of = thing.select().where(thing.c.kind == kind, thing.c.name == name)
        return self._row(of.order_by(thing.c.id.desc()).limit(1))

    def things(self, kind: str) -> list[Row]:
        """The current version of each thing of the kind, by name."""
        from sqlalchemy import func, select

        thing = self._tables["thing"]
        newest = select(func.max(thing.c.id)).where(thing.c.kind == kind).group_by(thing.c.name)
        return self._rows(thing.select().where(thing.c.id.in_(newest)).order_by(thing.c.name))

    def versions(self, kind: str, name: str) -> list[Row]:
        """Every version of the thing, newest first."""
        thing = self._tables["thing"]
        of = thing.select().where(thing.c.kind == kind, thing.c.name == name)
        return self._rows(of.order_by(thing.c.id.desc()))

    # ── settings: today's choices; these may be replaced ──

    def get_setting(self, key: str, default: Any = None) -> Any:
        setting = self._tables["setting"]
        found = self._row(setting.select().where(setting.c.key == key))
        return default if found is None else found["body"]

    def set_setting(self, key: str, body: Any, wall: datetime | None = None) -> None:
        setting = self._tables["setting"]
        row = {"body": values.body(key, body), "wall": values.moment("wall", wall or self.now())}
        values.word("key", key, 64)
        with self.begin() as conn:
            if conn.execute(setting.update().where(setting.c.key == key).values(row)).rowcount == 0:
                conn.execute(setting.insert().values(key=key, **row))

    # ── sittings, pictures, readings ──

    def add_sitting(self, subject: str, body: Any, wall: datetime | None = None) -> int:
        sitting = self._tables["sitting"]
        return self._add(sitting, wall, subject=values.word("subject", subject, 500), body=body)

    def get_sitting(self, sitting_id: int) -> Row:
        sitting = self._tables["sitting"]
        return self._by_id(sitting, "sitting", sitting_id)

    def sittings(self, limit: int = 50) -> list[Row]:
        """The last sittings, newest first."""
        sitting = self._tables["sitting"]
        return self._rows(sitting.select().order_by(sitting.c.id.desc()).limit(limit))

    def add_picture(self, media: str, data: bytes, body: Any, wall: datetime | None = None) -> int:
        """Keep a picture as it came (`media` is its media type, such as image/jpeg)."""
        picture = self._tables["picture"]
        return self._add(picture, wall, media=values.word("media", media, 64), data=bytes(data), body=body)

    def get_picture(self, picture_id: int) -> Row:
        picture = self._tables["picture"]
        return self._by_id(picture, "picture", picture_id)

    def add_reading(self, body: Any, picture_id: int | None = None, wall: datetime | None = None) -> int:
        reading = self._tables["reading"]
        if picture_id is not None:
            self._must_be("picture", picture_id)
        return self._add(reading, wall, body=body, picture_id=picture_id)

    def get_reading(self, reading_id: int) -> Row:
        reading = self._tables["reading"]
        return self._by_id(reading, "reading", reading_id)

    def last_readings(self, n: int = 10) -> list[Row]:
        """The last `n` readings, newest first."""
        reading = self._tables["reading"]
        return self._rows(reading.select().order_by(reading.c.id.desc()).limit(n))

    def _must_be(self, what: str, row_id: int) -> None:
        from sqlalchemy import select

        table = self._tables[what]
        if self._row(select(table.c.id).where(table.c.id == row_id)) is None:
            raise Refusal.one(what, row_id, f"A {what} that is in the book.", "", "missing")

    # ── sheets ──

    def new_code(self, rng: Random | None = None) -> str:
        """Four signs no sheet of this book has yet, easy to pencil on the back and to read by red light."""
        if rng is None:
            import secrets

            rng = secrets.SystemRandom()
        sheet = self._tables["sheet"]
        for _ in range(1000):
            code = "".join(rng.choice(CODE_SIGNS) for _ in range(CODE_LENGTH))
            if self._row(sheet.select().where(sheet.c.code == code)) is None:
                return code
        raise place.refused(self.where, "Fewer sheets than codes.", "Begin a new book.")

    def add_sheet(self, code: str, body: Any, sitting_id: int | None = None, wall: datetime | None = None) -> int:
        """Keep the plan of a sheet as made. What happens to it afterwards is told by its marks."""
        sheet = self._tables["sheet"]
        code = as_code(code)
        with self.begin():
            if sitting_id is not None:
                self._must_be("sitting", sitting_id)
            if self._row(sheet.select().where(sheet.c.code == code)) is not None:
                raise Refusal.one("code", code, "A code no other sheet has.", "Take a new one.")
            return self._add(sheet, wall, code=code, sitting_id=sitting_id, body=body)

    def get_sheet(self, code: str) -> Row:
        """The sheet with this code, however it was typed; Refusal "missing" if there is none."""
        sheet = self._tables["sheet"]
        found = self._row(sheet.select().where(sheet.c.code == code.strip().upper()))
        if found is None:
            hint = "Look on the back of the sheet."
            raise Refusal.one("sheet", code, "The code of a sheet in the book.", hint, "missing")
        return found

    def sheets(self, limit: int = 50, before: int | None = None) -> list[Row]:
        """Sheets, newest first; `before` is the id of the last one already seen."""
        sheet = self._tables["sheet"]
        some = sheet.select().order_by(sheet.c.id.desc()).limit(limit)
        return self._rows(some if before is None else some.where(sheet.c.id < before))

    # ── marks ──

    def add_marks(self, sheet_id: int, marks: Sequence[Mapping[str, Any]]) -> Kept:
        """Keep marks, each once however often it is handed in, all or none, on the disk before this returns.

        A mark has client_id (made by the device, unique), kind, wall (aware datetime or ISO 8601 text), and
        may have elapsed_s [s] and body. Raises Refusal "asked" with every fault, or "missing" for an unknown
        sheet.
        """
        mark = self._tables["mark"]
        rows = _checked_marks(sheet_id, marks)
        stored: list[str] = []
        differing: list[str] = []
        with self.begin() as conn:
            self._must_be("sheet", sheet_id)
            ids = list({row["client_id"] for row in rows})
            known: dict[str, Row] = {}
            for some in (ids[i : i + 500] for i in range(0, len(ids), 500)):
                for old in self._rows(mark.select().where(mark.c.client_id.in_(some))):
                    known[old["client_id"]] = old
            fresh: list[Row] = []
            for row in rows:
                old = known.setdefault(row["client_id"], row)
                if old is row:
                    fresh.append(row | {"kept": values.moment("kept", self.now())})
                    stored.append(row["client_id"])
                elif any(old[name] != row[name] for name in row):
                    differing.append(row["client_id"])
            if fresh:
                conn.execute(mark.insert(), fresh)
        return Kept([row["client_id"] for row in rows], stored, differing)

    def marks(self, sheet_id: int) -> list[Row]:
        """The marks of a sheet in the order the book had them."""
        mark = self._tables["mark"]
        return self._rows(mark.select().where(mark.c.sheet_id == sheet_id).order_by(mark.c.id))

    def marks_of(self, sheet_ids: Sequence[int]) -> dict[int, list[Row]]:
        """The marks of several sheets in one question, each sheet's in the order the book had them; none for a sheet without any."""
        mark = self._tables["mark"]
        found: dict[int, list[Row]] = {i: [] for i in sheet_ids}
        for some in (sheet_ids[i : i + 500] for i in range(0, len(sheet_ids), 500)):
            for row in self._rows(mark.select().where(mark.c.sheet_id.in_(some)).order_by(mark.c.id)):
                found[row["sheet_id"]].append(row)
        return found

    def all_marks(self, kind: str | None = None, after: int = 0) -> list[Row]:
        """All marks, or those of a kind, in the order the book had them, from the one after id `after`."""
        mark = self._tables["mark"]
        some = mark.select().where(mark.c.id > after).order_by(mark.c.id)
        return self._rows(some if kind is None else some.where(mark.c.kind == kind))

    # ── what is known ──

    def put_posterior(self, upto_mark: int, body: Any, data: bytes | None = None, wall: datetime | None = None) -> int:
        """Keep what is known after the marks up to id `upto_mark` (0: before any), in place of what was known before.

        The one thing here that is replaced: all of it follows from the marks, and a copy per judgement would outgrow them.
        """
        from firstsheet.book.tables import posterior

        with self.begin() as conn:
            conn.execute(posterior.delete())
            return self._add(posterior, wall, upto_mark=upto_mark, body=body, data=data)

    def newest_posterior(self) -> Row | None:
        posterior = self._tables["posterior"]
        return self._row(posterior.select().order_by(posterior.c.id.desc()).limit(1))


def as_code(code: str) -> str:
    """A sheet's code in its one form; Refusal if it cannot be one."""
    tidy = code.strip().upper()
    if len(tidy) != CODE_LENGTH or any(sign not in CODE_SIGNS for sign in tidy):
        raise Refusal.one("code", code, f"Four of the signs {CODE_SIGNS}.", "Take a new one.")
    return tidy


def _checked_marks(sheet_id: int, marks: Sequence[Mapping[str, Any]]) -> list[Row]:
    problems = Problems()
    rows: list[Row] = []
    for i, m in enumerate(marks):
        row: Row = {"sheet_id": sheet_id}
        with problems.at(f"marks.{i}"):
            row["client_id"] = values.word("client_id", m.get("client_id"), 64)
        with problems.at(f"marks.{i}"):
            row["kind"] = values.word("kind", m.get("kind"), 32)
        with problems.at(f"marks.{i}"):
            row["elapsed_s"] = values.seconds("elapsed_s", m.get("elapsed_s"))
        with problems.at(f"marks.{i}"):
            row["wall"] = values.moment("wall", m.get("wall"))
        with problems.at(f"marks.{i}"):
            row["body"] = values.body("body", m.get("body", {}))
        rows.append(row)
    problems.raise_if_any()
    return rows
