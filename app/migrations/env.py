"""Run by Alembic on a connection that it is handed; there is no offline mode."""

from alembic import context

context.configure(connection=context.config.attributes["connection"])
context.run_migrations()
