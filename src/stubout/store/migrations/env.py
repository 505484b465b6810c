"""Run by alembic: the steps are made on the connection that `upgrade` hands in, inside its transaction."""

from alembic import context

from stubout.store.tables import metadata

context.configure(
    connection=context.config.attributes["connection"],
    target_metadata=metadata,
    render_as_batch=True,  # SQLite changes a table by making it anew
)
context.run_migrations()
