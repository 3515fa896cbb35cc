"""Alembic's way in: runs on the connection that the book hands over, in its transaction."""

from alembic import context

context.configure(connection=context.config.attributes["connection"], transactional_ddl=True)
context.run_migrations()
