"""Glasses keep their earlier versions; no statement can put another plan in a used one's place."""

from __future__ import annotations

import json

import sqlalchemy as sa
from alembic import op

revision = "0002"
down_revision = "0001"
branch_labels = None
depends_on = None

# REPLACE, and UPDATE OR REPLACE of a number, remove the row in their way without firing its
# triggers on removal (recursive_triggers is off in every connection that does not switch it on),
# and with foreign keys off nothing else stops them.
KEEP_NUMBER = """
CREATE TRIGGER {table}_keep_number BEFORE INSERT ON {table}
WHEN EXISTS (SELECT 1 FROM {table} WHERE id = NEW.id)
BEGIN
    SELECT RAISE(ABORT, 'plan in use');
END
"""
KEEP_ID = """
CREATE TRIGGER {table}_keep_id BEFORE UPDATE OF id ON {table}
WHEN NEW.id IS NOT OLD.id
BEGIN
    SELECT RAISE(ABORT, 'plan in use');
END
"""
VERSION_STAYS = """
CREATE TRIGGER glass_versions_stay BEFORE UPDATE ON glass_versions
BEGIN
    SELECT RAISE(ABORT, 'glass version stays');
END
"""
VERSION_KEEPS_NUMBER = """
CREATE TRIGGER glass_versions_keep_number BEFORE INSERT ON glass_versions
WHEN EXISTS (
    SELECT 1 FROM glass_versions
    WHERE id = NEW.id OR (glass_id = NEW.glass_id AND number = NEW.number)
)
BEGIN
    SELECT RAISE(ABORT, 'glass version stays');
END
"""


def upgrade() -> None:
    op.create_table(
        "glass_versions",
        sa.Column("id", sa.Integer(), nullable=False),
        sa.Column("glass_id", sa.Integer(), nullable=False),
        sa.Column("number", sa.Integer(), nullable=False),
        sa.Column("snapshot", sa.Text(), nullable=False),
        sa.Column("saved_at", sa.Integer(), nullable=False),
        sa.CheckConstraint("number >= 1", name=op.f("ck_glass_versions_number_from_one")),
        sa.ForeignKeyConstraint(
            ["glass_id"],
            ["glasses.id"],
            name=op.f("fk_glass_versions_glass_id_glasses"),
            ondelete="CASCADE",
        ),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_glass_versions")),
        sa.UniqueConstraint("glass_id", "number", name=op.f("uq_glass_versions_glass_id_number")),
    )
    op.execute(
        "INSERT INTO glass_versions (glass_id, number, snapshot, saved_at)"
        " SELECT id, 1, snapshot, saved_at FROM glasses ORDER BY id"
    )
    with op.batch_alter_table("pieces", recreate="always") as batch:
        batch.add_column(sa.Column("glass_version_id", sa.Integer(), nullable=True))
        batch.create_foreign_key(
            op.f("fk_pieces_glass_version_id_glass_versions"),
            "glass_versions",
            ["glass_version_id"],
            ["id"],
            ondelete="SET NULL",
        )
        batch.create_index(op.f("ix_pieces_glass_version_id"), ["glass_version_id"])
    _link_pieces(op.get_bind())
    with op.batch_alter_table("glasses", recreate="always") as batch:
        batch.drop_column("snapshot")
        batch.drop_column("saved_at")
    for table in ("plans", "runs"):
        op.execute(KEEP_NUMBER.format(table=table))
        op.execute(KEEP_ID.format(table=table))
    op.execute(VERSION_STAYS)
    op.execute(VERSION_KEEPS_NUMBER)


def _link_pieces(connection: sa.Connection) -> None:
    """Where a load's copy of a glass is the glass as it stands in the book, it is that version."""
    pieces = connection.execute(
        sa.text(
            "SELECT pieces.id, pieces.glass_name, loads.snapshot, glass_versions.id,"
            " glass_versions.snapshot FROM pieces JOIN loads ON loads.id = pieces.load_id"
            " JOIN glass_versions ON glass_versions.glass_id = pieces.glass_id"
        )
    ).all()
    for piece, name, load, version, glass in pieces:
        try:
            entries = json.loads(load)["load"]["glasses"]
            copies = {entry["name"]: entry["glass"] for entry in entries}
            same = _matter(copies[name]) == _matter(json.loads(glass)["glass"])
        except (ValueError, KeyError, TypeError):
            continue  # damaged entries are reported when they are read
        if same:
            connection.execute(
                sa.text("UPDATE pieces SET glass_version_id = :version WHERE id = :piece"),
                {"version": version, "piece": piece},
            )


def _matter(glass: dict[str, object]) -> tuple[object, object]:
    """What a plan is reckoned from."""
    return glass["composition"], glass["measured"]
