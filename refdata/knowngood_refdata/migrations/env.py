"""Alembic's entry: runs the steps on the connection that the store hands over, inside its transaction."""

from alembic import context

connection = context.config.attributes["connection"]
context.configure(connection=connection, transactional_ddl=True)
with context.begin_transaction():
    context.run_migrations()
