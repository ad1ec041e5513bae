"""Run the migrations on the connection that :mod:`core.store.migrate` hands over."""

from alembic import context

from core.store import models, models_night, models_pot
from core.store.base import Base

assert models and models_night and models_pot  # noqa: S101, PT018 - imported for their tables

context.configure(
    connection=context.config.attributes["connection"],
    target_metadata=Base.metadata,
    render_as_batch=True,
)
with context.begin_transaction():
    context.run_migrations()
