"""The book: things, settings, sittings, pictures, readings, sheets, marks, posteriors; what is written stays.

Written out and never changed afterwards, so that old books stay understandable when `tables` moves on.
"""

import sqlalchemy as sa
from alembic import op

revision = "0001"
down_revision = None
branch_labels = None
depends_on = None

APPEND_ONLY = ("thing", "picture", "reading", "sheet", "mark")


def _id(table: str) -> list[sa.schema.SchemaItem]:
    return [sa.Column("id", sa.Integer(), nullable=False), sa.PrimaryKeyConstraint("id", name=f"pk_{table}")]


def _body() -> sa.Column[object]:
    return sa.Column("body", sa.JSON(), nullable=False)


def _wall(name: str = "wall") -> sa.Column[object]:
    return sa.Column(name, sa.DateTime(timezone=True), nullable=False)


def upgrade() -> None:
    _tables_of_things()
    _tables_of_sheets()
    if op.get_bind().dialect.name == "sqlite":
        op.execute("PRAGMA application_id = 1718839412")
        _triggers_sqlite()
    else:
        _triggers_postgresql()


def _tables_of_things() -> None:
    op.create_table(
        "thing",
        *_id("thing"),
        sa.Column("kind", sa.String(32), nullable=False),
        sa.Column("name", sa.Text(), nullable=False),
        _body(),
        _wall(),
    )
    op.create_index("ix_thing_kind_name_id", "thing", ["kind", "name", "id"])
    op.create_table(
        "setting",
        sa.Column("key", sa.String(64), nullable=False),
        _body(),
        _wall(),
        sa.PrimaryKeyConstraint("key", name="pk_setting"),
    )
    op.create_table(
        "picture",
        *_id("picture"),
        sa.Column("media", sa.String(64), nullable=False),
        sa.Column("data", sa.LargeBinary(), nullable=False),
        _body(),
        _wall(),
    )
    op.create_table(
        "reading",
        *_id("reading"),
        _body(),
        sa.Column("picture_id", sa.Integer()),
        _wall(),
        sa.ForeignKeyConstraint(["picture_id"], ["picture.id"], name="fk_reading_picture_id_picture"),
    )


def _tables_of_sheets() -> None:
    op.create_table(
        "sitting",
        *_id("sitting"),
        sa.Column("subject", sa.Text(), nullable=False),
        _body(),
        _wall(),
    )
    op.create_table(
        "sheet",
        *_id("sheet"),
        sa.Column("code", sa.String(4), nullable=False),
        sa.Column("sitting_id", sa.Integer()),
        _body(),
        _wall(),
        sa.UniqueConstraint("code", name="uq_sheet_code"),
        sa.ForeignKeyConstraint(["sitting_id"], ["sitting.id"], name="fk_sheet_sitting_id_sitting"),
    )
    op.create_index("ix_sheet_sitting_id", "sheet", ["sitting_id"])
    op.create_table(
        "mark",
        *_id("mark"),
        sa.Column("client_id", sa.String(64), nullable=False),
        sa.Column("sheet_id", sa.Integer(), nullable=False),
        sa.Column("kind", sa.String(32), nullable=False),
        sa.Column("elapsed_s", sa.Float()),
        _wall(),
        _wall("kept"),
        _body(),
        sa.UniqueConstraint("client_id", name="uq_mark_client_id"),
        sa.ForeignKeyConstraint(["sheet_id"], ["sheet.id"], name="fk_mark_sheet_id_sheet"),
    )
    op.create_index("ix_mark_sheet_id_id", "mark", ["sheet_id", "id"])
    op.create_index("ix_mark_kind_id", "mark", ["kind", "id"])
    op.create_table(
        "posterior",
        *_id("posterior"),
        sa.Column("upto_mark", sa.Integer(), nullable=False),
        _body(),
        sa.Column("data", sa.LargeBinary()),
        _wall(),
    )


def _triggers_sqlite() -> None:
    for table in APPEND_ONLY:
        for verb in ("UPDATE", "DELETE"):
            op.execute(
                f"CREATE TRIGGER {table}_no_{verb.lower()} BEFORE {verb} ON {table} "
                f"BEGIN SELECT RAISE(ABORT, '{table}: what is written stays'); END"
            )


def _triggers_postgresql() -> None:
    op.execute(
        "CREATE FUNCTION what_is_written_stays() RETURNS trigger LANGUAGE plpgsql AS "
        "$$ BEGIN RAISE EXCEPTION '%: what is written stays', TG_TABLE_NAME; END $$"
    )
    for table in APPEND_ONLY:
        op.execute(
            f"CREATE TRIGGER {table}_stays BEFORE UPDATE OR DELETE OR TRUNCATE ON {table} "
            "FOR EACH STATEMENT EXECUTE FUNCTION what_is_written_stays()"
        )


def downgrade() -> None:
    raise NotImplementedError("a book is never taken back to before it began; restore a backup instead")
