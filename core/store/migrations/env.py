"""Run the migrations on the connection that :mod:`core.store.migrate` hands over."""

from alembic import context

from core.store import models
from core.store.base import Base

assert models  # noqa: S101 - imported for its tables

context.configure(
    connection=context.config.attributes["connection"],
    target_metadata=Base.metadata,
    render_as_batch=True,
)
with context.begin_transaction():
    context.run_migrations()
