"""Alembic's environment for the book; run only by :mod:`core.store.migrate`."""
