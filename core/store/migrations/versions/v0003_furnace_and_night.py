"""The furnace's materials, ledger and charge lists; what happens in a run and comes of it."""

from __future__ import annotations

import sqlalchemy as sa
from alembic import op

revision = "0003"
down_revision = "0002"
branch_labels = None
depends_on = None


def upgrade() -> None:
    with op.batch_alter_table("pots", recreate="always") as batch:
        batch.add_column(sa.Column("shape", sa.Text(), nullable=True))
    with op.batch_alter_table("pieces", recreate="always") as batch:
        batch.add_column(sa.Column("pot_id", sa.Integer(), nullable=True))
        batch.add_column(sa.Column("gathered_at", sa.Integer(), nullable=True))
        batch.create_foreign_key(
            op.f("fk_pieces_pot_id_pots"), "pots", ["pot_id"], ["id"], ondelete="SET NULL"
        )
        batch.create_index(op.f("ix_pieces_pot_id"), ["pot_id"])
    _furnace()
    _night()


def _furnace() -> None:
    """Create what is kept at the furnace."""
    op.create_table(
        "batch_sheets",
        sa.Column("id", sa.Integer(), nullable=False),
        sa.Column("name", sa.Text(), nullable=False),
        sa.Column("made_at", sa.Integer(), nullable=False),
        sa.Column("glass_kg", sa.Double(), nullable=False),
        sa.Column("snapshot", sa.Text(), nullable=False),
        sa.CheckConstraint("glass_kg > 0", name=op.f("ck_batch_sheets_glass_possible")),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_batch_sheets")),
    )
    op.create_index(op.f("ix_batch_sheets_made_at"), "batch_sheets", ["made_at"], unique=False)

    op.create_table(
        "charge_lists",
        sa.Column("id", sa.Integer(), nullable=False),
        sa.Column("name", sa.Text(), nullable=False),
        sa.Column("made_at", sa.Integer(), nullable=False),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_charge_lists")),
    )
    op.create_index(op.f("ix_charge_lists_made_at"), "charge_lists", ["made_at"], unique=False)

    op.create_table(
        "materials",
        sa.Column("id", sa.Integer(), nullable=False),
        sa.Column("position", sa.Integer(), nullable=False),
        sa.Column("name", sa.Text(), nullable=False),
        sa.Column("folded", sa.Text(), nullable=False),
        sa.Column("snapshot", sa.Text(), nullable=False),
        sa.Column("saved_at", sa.Integer(), nullable=False),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_materials")),
        sa.UniqueConstraint("folded", name=op.f("uq_materials_folded")),
    )
    op.create_table(
        "settings",
        sa.Column("name", sa.Text(), nullable=False),
        sa.Column("value", sa.Text(), nullable=False),
        sa.PrimaryKeyConstraint("name", name=op.f("pk_settings")),
    )
    op.create_table(
        "charged_glasses",
        sa.Column("id", sa.Integer(), nullable=False),
        sa.Column("folded", sa.Text(), nullable=False),
        sa.Column("pot_id", sa.Integer(), nullable=True),
        sa.Column("since", sa.Integer(), nullable=True),
        sa.Column("snapshot", sa.Text(), nullable=False),
        sa.ForeignKeyConstraint(
            ["pot_id"], ["pots.id"], name=op.f("fk_charged_glasses_pot_id_pots"), ondelete="CASCADE"
        ),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_charged_glasses")),
    )
    op.create_index(op.f("ix_charged_glasses_folded"), "charged_glasses", ["folded"], unique=False)
    op.create_index(op.f("ix_charged_glasses_pot_id"), "charged_glasses", ["pot_id"], unique=False)

    op.create_table(
        "pot_entries",
        sa.Column("id", sa.Integer(), nullable=False),
        sa.Column("pot_id", sa.Integer(), nullable=False),
        sa.Column("time", sa.Integer(), nullable=False),
        sa.Column("kind", sa.Text(), nullable=False),
        sa.Column("mass_kg", sa.Double(), nullable=True),
        sa.Column("error_kg", sa.Double(), nullable=True),
        sa.Column("note", sa.Text(), nullable=False),
        sa.CheckConstraint(
            "(kind = 'new pot') = (mass_kg IS NULL) AND (kind = 'new pot') = (error_kg IS NULL)",
            name=op.f("ck_pot_entries_mass_if_any"),
        ),
        sa.CheckConstraint(
            "kind IN ('gathered', 'skimmed', 'drained', 'level', 'new pot')",
            name=op.f("ck_pot_entries_kind_known"),
        ),
        sa.CheckConstraint(
            "error_kg >= 0 AND error_kg <= 100000", name=op.f("ck_pot_entries_error_possible")
        ),
        sa.CheckConstraint(
            "mass_kg >= 0 AND mass_kg <= 100000", name=op.f("ck_pot_entries_mass_possible")
        ),
        sa.ForeignKeyConstraint(
            ["pot_id"], ["pots.id"], name=op.f("fk_pot_entries_pot_id_pots"), ondelete="RESTRICT"
        ),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_pot_entries")),
    )
    op.create_index(
        op.f("ix_pot_entries_pot_id_time"), "pot_entries", ["pot_id", "time"], unique=False
    )

    op.create_table(
        "planned_charges",
        sa.Column("id", sa.Integer(), nullable=False),
        sa.Column("charge_list_id", sa.Integer(), nullable=False),
        sa.Column("position", sa.Integer(), nullable=False),
        sa.Column("time", sa.Integer(), nullable=False),
        sa.Column("pot_id", sa.Integer(), nullable=False),
        sa.Column("material", sa.Text(), nullable=False),
        sa.Column("mass_kg", sa.Double(), nullable=False),
        sa.Column("note", sa.Text(), nullable=False),
        sa.Column("charge_id", sa.Integer(), nullable=True),
        sa.Column("ticked_at", sa.Integer(), nullable=True),
        sa.CheckConstraint(
            "(charge_id IS NULL) OR (ticked_at IS NOT NULL)",
            name=op.f("ck_planned_charges_tick_has_time"),
        ),
        sa.CheckConstraint(
            "mass_kg > 0 AND mass_kg <= 10000", name=op.f("ck_planned_charges_mass_possible")
        ),
        sa.ForeignKeyConstraint(
            ["charge_id"],
            ["charges.id"],
            name=op.f("fk_planned_charges_charge_id_charges"),
            ondelete="SET NULL",
        ),
        sa.ForeignKeyConstraint(
            ["charge_list_id"],
            ["charge_lists.id"],
            name=op.f("fk_planned_charges_charge_list_id_charge_lists"),
            ondelete="CASCADE",
        ),
        sa.ForeignKeyConstraint(
            ["pot_id"],
            ["pots.id"],
            name=op.f("fk_planned_charges_pot_id_pots"),
            ondelete="RESTRICT",
        ),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_planned_charges")),
        sa.UniqueConstraint("charge_id", name=op.f("uq_planned_charges_charge_id")),
        sa.UniqueConstraint(
            "charge_list_id", "position", name=op.f("uq_planned_charges_charge_list_id_position")
        ),
    )
    op.create_index(op.f("ix_planned_charges_pot_id"), "planned_charges", ["pot_id"], unique=False)


def _night() -> None:
    """Create what is kept of a run and of the loggers."""
    op.create_table(
        "log_patterns",
        sa.Column("id", sa.Integer(), nullable=False),
        sa.Column("pattern", sa.Text(), nullable=False),
        sa.Column("snapshot", sa.Text(), nullable=False),
        sa.Column("saved_at", sa.Integer(), nullable=False),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_log_patterns")),
        sa.UniqueConstraint("pattern", name=op.f("uq_log_patterns_pattern")),
    )
    op.create_table(
        "live_sources",
        sa.Column("id", sa.Integer(), nullable=False),
        sa.Column("name", sa.Text(), nullable=False),
        sa.Column("equipment_id", sa.Integer(), nullable=False),
        sa.Column("kind", sa.Text(), nullable=False),
        sa.Column("settings", sa.Text(), nullable=False),
        sa.ForeignKeyConstraint(
            ["equipment_id"],
            ["equipment.id"],
            name=op.f("fk_live_sources_equipment_id_equipment"),
            ondelete="CASCADE",
        ),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_live_sources")),
        sa.UniqueConstraint("name", name=op.f("uq_live_sources_name")),
    )
    op.create_index(
        op.f("ix_live_sources_equipment_id"), "live_sources", ["equipment_id"], unique=False
    )

    op.create_table(
        "alarms",
        sa.Column("id", sa.Integer(), nullable=False),
        sa.Column("run_id", sa.Integer(), nullable=False),
        sa.Column("kind", sa.Text(), nullable=False),
        sa.Column("raised_at", sa.Integer(), nullable=False),
        sa.Column("cleared_at", sa.Integer(), nullable=True),
        sa.Column("acknowledged_at", sa.Integer(), nullable=True),
        sa.Column("text", sa.Text(), nullable=False),
        sa.Column("value", sa.Double(), nullable=True),
        sa.CheckConstraint("cleared_at >= raised_at", name=op.f("ck_alarms_cleared_after_raised")),
        sa.ForeignKeyConstraint(
            ["run_id"], ["runs.id"], name=op.f("fk_alarms_run_id_runs"), ondelete="CASCADE"
        ),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_alarms")),
    )
    op.create_index(
        op.f("ix_alarms_run_id_raised_at"), "alarms", ["run_id", "raised_at"], unique=False
    )

    op.create_table(
        "fits",
        sa.Column("id", sa.Integer(), nullable=False),
        sa.Column("equipment_id", sa.Integer(), nullable=False),
        sa.Column("run_id", sa.Integer(), nullable=True),
        sa.Column("fitted_at", sa.Integer(), nullable=False),
        sa.Column("snapshot", sa.Text(), nullable=False),
        sa.ForeignKeyConstraint(
            ["equipment_id"],
            ["equipment.id"],
            name=op.f("fk_fits_equipment_id_equipment"),
            ondelete="CASCADE",
        ),
        sa.ForeignKeyConstraint(
            ["run_id"], ["runs.id"], name=op.f("fk_fits_run_id_runs"), ondelete="SET NULL"
        ),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_fits")),
    )
    op.create_index(
        op.f("ix_fits_equipment_id_fitted_at"), "fits", ["equipment_id", "fitted_at"], unique=False
    )
    op.create_index(op.f("ix_fits_run_id"), "fits", ["run_id"], unique=False)

    op.create_table(
        "outcomes",
        sa.Column("id", sa.Integer(), nullable=False),
        sa.Column("run_id", sa.Integer(), nullable=False),
        sa.Column("piece", sa.Text(), nullable=False),
        sa.Column("found_at", sa.Integer(), nullable=False),
        sa.Column("kind", sa.Text(), nullable=False),
        sa.Column("count", sa.Integer(), nullable=False),
        sa.Column("retardation_m", sa.Double(), nullable=True),
        sa.Column("light_path_m", sa.Double(), nullable=True),
        sa.Column("grade", sa.Text(), nullable=False),
        sa.Column("text", sa.Text(), nullable=False),
        sa.Column("photos", sa.Text(), nullable=False),
        sa.CheckConstraint(
            "kind IN ('sound', 'cracked', 'strain seen')", name=op.f("ck_outcomes_kind_known")
        ),
        sa.CheckConstraint("count >= 1", name=op.f("ck_outcomes_count_at_least_one")),
        sa.CheckConstraint(
            "light_path_m > 0 AND light_path_m <= 1", name=op.f("ck_outcomes_light_path_possible")
        ),
        sa.CheckConstraint(
            "retardation_m >= 0 AND retardation_m <= 1e-4",
            name=op.f("ck_outcomes_retardation_possible"),
        ),
        sa.ForeignKeyConstraint(
            ["run_id"], ["runs.id"], name=op.f("fk_outcomes_run_id_runs"), ondelete="CASCADE"
        ),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_outcomes")),
    )
    op.create_index(
        op.f("ix_outcomes_run_id_found_at"), "outcomes", ["run_id", "found_at"], unique=False
    )

    op.create_table(
        "run_events",
        sa.Column("id", sa.Integer(), nullable=False),
        sa.Column("run_id", sa.Integer(), nullable=False),
        sa.Column("time", sa.Integer(), nullable=False),
        sa.Column("kind", sa.Text(), nullable=False),
        sa.Column("piece", sa.Text(), nullable=False),
        sa.Column("text", sa.Text(), nullable=False),
        sa.Column("photos", sa.Text(), nullable=False),
        sa.ForeignKeyConstraint(
            ["run_id"], ["runs.id"], name=op.f("fk_run_events_run_id_runs"), ondelete="CASCADE"
        ),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_run_events")),
    )
    op.create_index(
        op.f("ix_run_events_run_id_time"), "run_events", ["run_id", "time"], unique=False
    )
