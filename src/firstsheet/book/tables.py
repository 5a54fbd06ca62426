"""The tables of the book, and the triggers that keep what was written.

This module imports SQLAlchemy; import it inside functions where an answer must come quickly.
"""

from __future__ import annotations

from datetime import UTC, datetime

from sqlalchemy import (
    JSON,
    Column,
    Connection,
    DateTime,
    Dialect,
    Float,
    ForeignKey,
    Index,
    Integer,
    LargeBinary,
    MetaData,
    String,
    Table,
    Text,
    TypeDecorator,
    text,
)

from firstsheet.book.revisions import APPLICATION_ID, HEAD

metadata = MetaData(
    naming_convention={
        "ix": "ix_%(table_name)s_%(column_0_N_name)s",
        "uq": "uq_%(table_name)s_%(column_0_N_name)s",
        "ck": "ck_%(table_name)s_%(constraint_name)s",
        "fk": "fk_%(table_name)s_%(column_0_N_name)s_%(referred_table_name)s",
        "pk": "pk_%(table_name)s",
    }
)


class UtcDateTime(TypeDecorator[datetime]):
    """A moment: goes in aware, is kept in UTC, comes back aware, also from SQLite, which drops the zone."""

    impl = DateTime(timezone=True)
    cache_ok = True

    def process_bind_param(self, value: datetime | None, dialect: Dialect) -> datetime | None:
        if value is None:
            return None
        if value.tzinfo is None:
            raise ValueError("a moment without its zone cannot be kept")
        return value.astimezone(UTC)

    def process_result_value(self, value: datetime | None, dialect: Dialect) -> datetime | None:
        if value is None:
            return None
        return value.replace(tzinfo=UTC) if value.tzinfo is None else value.astimezone(UTC)


thing = Table(
    "thing",
    metadata,
    Column("id", Integer, primary_key=True),
    Column("kind", String(32), nullable=False),
    Column("name", Text, nullable=False),
    Column("body", JSON, nullable=False),
    Column("wall", UtcDateTime, nullable=False),
    Index(None, "kind", "name", "id"),
)

setting = Table(
    "setting",
    metadata,
    Column("key", String(64), primary_key=True),
    Column("body", JSON, nullable=False),
    Column("wall", UtcDateTime, nullable=False),
)

sitting = Table(
    "sitting",
    metadata,
    Column("id", Integer, primary_key=True),
    Column("subject", Text, nullable=False),
    Column("body", JSON, nullable=False),
    Column("wall", UtcDateTime, nullable=False),
)

picture = Table(
    "picture",
    metadata,
    Column("id", Integer, primary_key=True),
    Column("media", String(64), nullable=False),
    Column("data", LargeBinary, nullable=False),
    Column("body", JSON, nullable=False),
    Column("wall", UtcDateTime, nullable=False),
)

reading = Table(
    "reading",
    metadata,
    Column("id", Integer, primary_key=True),
    Column("body", JSON, nullable=False),
    Column("picture_id", Integer, ForeignKey("picture.id")),
    Column("wall", UtcDateTime, nullable=False),
)

sheet = Table(
    "sheet",
    metadata,
    Column("id", Integer, primary_key=True),
    Column("code", String(4), nullable=False, unique=True),
    Column("sitting_id", Integer, ForeignKey("sitting.id"), index=True),
    Column("body", JSON, nullable=False),
    Column("wall", UtcDateTime, nullable=False),
)

# `wall`: when the device says it happened. `kept`: when the book had it, later if a phone was out of reach.
mark = Table(
    "mark",
    metadata,
    Column("id", Integer, primary_key=True),
    Column("client_id", String(64), nullable=False, unique=True),
    Column("sheet_id", Integer, ForeignKey("sheet.id"), nullable=False),
    Column("kind", String(32), nullable=False),
    Column("elapsed_s", Float),
    Column("wall", UtcDateTime, nullable=False),
    Column("kept", UtcDateTime, nullable=False),
    Column("body", JSON, nullable=False),
    Index(None, "sheet_id", "id"),
    Index(None, "kind", "id"),
)

# What is known after the marks up to `upto_mark` (0: before any). `data`: arrays; `body`: how to read them.
posterior = Table(
    "posterior",
    metadata,
    Column("id", Integer, primary_key=True),
    Column("upto_mark", Integer, nullable=False),
    Column("body", JSON, nullable=False),
    Column("data", LargeBinary),
    Column("wall", UtcDateTime, nullable=False),
)

APPEND_ONLY = ("thing", "picture", "reading", "sheet", "mark")


def trigger_statements(dialect: str) -> list[str]:
    """SQL that makes UPDATE and DELETE of the append-only tables fail, in the words of `dialect`."""
    if dialect == "sqlite":
        return [
            f"CREATE TRIGGER {name}_no_{verb.lower()} BEFORE {verb} ON {name} "
            f"BEGIN SELECT RAISE(ABORT, '{name}: what is written stays'); END"
            for name in APPEND_ONLY
            for verb in ("UPDATE", "DELETE")
        ]
    return [
        "CREATE FUNCTION what_is_written_stays() RETURNS trigger LANGUAGE plpgsql AS "
        "$$ BEGIN RAISE EXCEPTION '%: what is written stays', TG_TABLE_NAME; END $$",
        *(
            f"CREATE TRIGGER {name}_stays BEFORE UPDATE OR DELETE OR TRUNCATE ON {name} "
            "FOR EACH STATEMENT EXECUTE FUNCTION what_is_written_stays()"
            for name in APPEND_ONLY
        ),
    ]


def create(conn: Connection) -> None:
    """Make an empty book at the newest revision, as the migrations would (a test compares the two)."""
    metadata.create_all(conn)
    for statement in trigger_statements(conn.dialect.name):
        conn.execute(text(statement))
    if conn.dialect.name == "sqlite":
        conn.exec_driver_sql(f"PRAGMA application_id = {APPLICATION_ID}")
    conn.exec_driver_sql(
        "CREATE TABLE alembic_version (version_num VARCHAR(32) NOT NULL, "
        "CONSTRAINT alembic_version_pkc PRIMARY KEY (version_num))"
    )
    conn.execute(text("INSERT INTO alembic_version (version_num) VALUES (:head)"), {"head": HEAD})
