"""Run by alembic: uses the connection that `migrate` was given, inside its transaction."""

from alembic import context

from assistant.journal.migrations import VERSION_TABLE

context.configure(connection=context.config.attributes["connection"], version_table=VERSION_TABLE)
context.run_migrations()
