"""Run by Alembic: the migrations happen on the connection handed in, in its transaction."""

from alembic import context

from firstsheet.book.tables import metadata

context.configure(
    connection=context.config.attributes["connection"],
    target_metadata=metadata,
    transactional_ddl=True,
    render_as_batch=True,
    compare_type=True,
)
context.run_migrations()
