"""First layout of the book."""

from __future__ import annotations

import sqlalchemy as sa
from alembic import op

revision = "0001"
down_revision = None
branch_labels = None
depends_on = None

# Times are whole microseconds since 1970-01-01 00:00 UTC. Nothing of the present program is
# imported here: this file describes the layout as it was.

PLAN_IN_USE = """
CREATE TRIGGER plans_in_use_{verb} BEFORE {event} ON plans
WHEN EXISTS (SELECT 1 FROM runs WHERE plan_id = OLD.id)
BEGIN
    SELECT RAISE(ABORT, 'plan in use');
END
"""
RUN_KEEPS_PLAN = """
CREATE TRIGGER runs_keep_plan BEFORE UPDATE OF plan_id ON runs
WHEN NEW.plan_id IS NOT OLD.plan_id
BEGIN
    SELECT RAISE(ABORT, 'plan in use');
END
"""


def upgrade() -> None:
    op.execute("PRAGMA application_id = 1281714290")
    op.create_table(
        "equipment",
        sa.Column("id", sa.Integer(), nullable=False),
        sa.Column("kind", sa.Text(), nullable=False),
        sa.Column("name", sa.Text(), nullable=False),
        sa.Column("settings", sa.Text(), nullable=False),
        sa.CheckConstraint("kind IN ('lehr', 'furnace')", name=op.f("ck_equipment_kind_known")),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_equipment")),
        sa.UniqueConstraint("kind", "name", name=op.f("uq_equipment_kind_name")),
    )
    op.create_table(
        "glasses",
        sa.Column("id", sa.Integer(), nullable=False),
        sa.Column("name", sa.Text(), nullable=False),
        sa.Column("snapshot", sa.Text(), nullable=False),
        sa.Column("saved_at", sa.Integer(), nullable=False),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_glasses")),
        sa.UniqueConstraint("name", name=op.f("uq_glasses_name")),
    )
    op.create_table(
        "loads",
        sa.Column("id", sa.Integer(), nullable=False),
        sa.Column("name", sa.Text(), nullable=False),
        sa.Column("equipment_id", sa.Integer(), nullable=True),
        sa.Column("button_time", sa.Integer(), nullable=False),
        sa.Column("out_by", sa.Integer(), nullable=True),
        sa.Column("snapshot", sa.Text(), nullable=False),
        sa.Column("saved_at", sa.Integer(), nullable=False),
        sa.CheckConstraint("out_by > button_time", name=op.f("ck_loads_out_after_button")),
        sa.ForeignKeyConstraint(
            ["equipment_id"],
            ["equipment.id"],
            name=op.f("fk_loads_equipment_id_equipment"),
            ondelete="SET NULL",
        ),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_loads")),
    )
    op.create_index(op.f("ix_loads_equipment_id"), "loads", ["equipment_id"], unique=False)
    op.create_index(op.f("ix_loads_saved_at"), "loads", ["saved_at"], unique=False)

    op.create_table(
        "pots",
        sa.Column("id", sa.Integer(), nullable=False),
        sa.Column("equipment_id", sa.Integer(), nullable=False),
        sa.Column("name", sa.Text(), nullable=False),
        sa.Column("capacity_kg", sa.Double(), nullable=True),
        sa.CheckConstraint(
            "capacity_kg > 0 AND capacity_kg <= 100000", name=op.f("ck_pots_capacity_possible")
        ),
        sa.ForeignKeyConstraint(
            ["equipment_id"],
            ["equipment.id"],
            name=op.f("fk_pots_equipment_id_equipment"),
            ondelete="RESTRICT",
        ),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_pots")),
        sa.UniqueConstraint("name", name=op.f("uq_pots_name")),
    )
    op.create_index(op.f("ix_pots_equipment_id"), "pots", ["equipment_id"], unique=False)

    op.create_table(
        "charges",
        sa.Column("id", sa.Integer(), nullable=False),
        sa.Column("pot_id", sa.Integer(), nullable=False),
        sa.Column("time", sa.Integer(), nullable=False),
        sa.Column("material", sa.Text(), nullable=False),
        sa.Column("mass_kg", sa.Double(), nullable=False),
        sa.Column("note", sa.Text(), nullable=False),
        sa.CheckConstraint(
            "mass_kg > 0 AND mass_kg <= 10000", name=op.f("ck_charges_mass_possible")
        ),
        sa.ForeignKeyConstraint(
            ["pot_id"], ["pots.id"], name=op.f("fk_charges_pot_id_pots"), ondelete="RESTRICT"
        ),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_charges")),
    )
    op.create_index(op.f("ix_charges_pot_id_time"), "charges", ["pot_id", "time"], unique=False)

    op.create_table(
        "pieces",
        sa.Column("id", sa.Integer(), nullable=False),
        sa.Column("load_id", sa.Integer(), nullable=False),
        sa.Column("position", sa.Integer(), nullable=False),
        sa.Column("name", sa.Text(), nullable=False),
        sa.Column("count", sa.Integer(), nullable=False),
        sa.Column("shape", sa.Text(), nullable=False),
        sa.Column("glass_name", sa.Text(), nullable=False),
        sa.Column("glass_id", sa.Integer(), nullable=True),
        sa.Column("wall_thickness_m", sa.Double(), nullable=True),
        sa.Column("base_thickness_m", sa.Double(), nullable=True),
        sa.Column("diameter_m", sa.Double(), nullable=True),
        sa.Column("height_m", sa.Double(), nullable=True),
        sa.CheckConstraint(
            "shape IN ('plate', 'cylinder', 'sphere', 'vessel')", name=op.f("ck_pieces_shape_known")
        ),
        sa.CheckConstraint(
            "coalesce(wall_thickness_m, 1) > 0 AND coalesce(base_thickness_m, 1) > 0"
            " AND coalesce(diameter_m, 1) > 0 AND coalesce(height_m, 1) > 0",
            name=op.f("ck_pieces_lengths_positive"),
        ),
        sa.CheckConstraint("count >= 1", name=op.f("ck_pieces_count_at_least_one")),
        sa.ForeignKeyConstraint(
            ["glass_id"],
            ["glasses.id"],
            name=op.f("fk_pieces_glass_id_glasses"),
            ondelete="SET NULL",
        ),
        sa.ForeignKeyConstraint(
            ["load_id"], ["loads.id"], name=op.f("fk_pieces_load_id_loads"), ondelete="CASCADE"
        ),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_pieces")),
        sa.UniqueConstraint("load_id", "position", name=op.f("uq_pieces_load_id_position")),
    )
    op.create_index(op.f("ix_pieces_glass_id"), "pieces", ["glass_id"], unique=False)

    op.create_table(
        "plans",
        sa.Column("id", sa.Integer(), nullable=False),
        sa.Column("load_id", sa.Integer(), nullable=False),
        sa.Column("start_at", sa.Integer(), nullable=False),
        sa.Column("ready_at", sa.Integer(), nullable=False),
        sa.Column("snapshot", sa.Text(), nullable=False),
        sa.Column("made_at", sa.Integer(), nullable=False),
        sa.CheckConstraint("ready_at >= start_at", name=op.f("ck_plans_ready_after_start")),
        sa.ForeignKeyConstraint(
            ["load_id"], ["loads.id"], name=op.f("fk_plans_load_id_loads"), ondelete="CASCADE"
        ),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_plans")),
    )
    op.create_index(op.f("ix_plans_load_id"), "plans", ["load_id"], unique=False)

    op.create_table(
        "runs",
        sa.Column("id", sa.Integer(), nullable=False),
        sa.Column("plan_id", sa.Integer(), nullable=False),
        sa.Column("equipment_id", sa.Integer(), nullable=False),
        sa.Column("started_at", sa.Integer(), nullable=False),
        sa.Column("finished_at", sa.Integer(), nullable=True),
        sa.Column("note", sa.Text(), nullable=False),
        sa.CheckConstraint("finished_at >= started_at", name=op.f("ck_runs_finished_after_start")),
        sa.ForeignKeyConstraint(
            ["equipment_id"],
            ["equipment.id"],
            name=op.f("fk_runs_equipment_id_equipment"),
            ondelete="RESTRICT",
        ),
        sa.ForeignKeyConstraint(
            ["plan_id"], ["plans.id"], name=op.f("fk_runs_plan_id_plans"), ondelete="RESTRICT"
        ),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_runs")),
        sa.UniqueConstraint("id", "equipment_id", name=op.f("uq_runs_id_equipment_id")),
    )
    op.create_index(op.f("ix_runs_equipment_id"), "runs", ["equipment_id"], unique=False)
    op.create_index(op.f("ix_runs_plan_id"), "runs", ["plan_id"], unique=False)
    op.create_index(op.f("ix_runs_started_at"), "runs", ["started_at"], unique=False)

    op.create_table(
        "imports",
        sa.Column("id", sa.Integer(), nullable=False),
        sa.Column("run_id", sa.Integer(), nullable=False),
        sa.Column("file_name", sa.Text(), nullable=False),
        sa.Column("file_hash", sa.Text(), nullable=False),
        sa.Column("imported_at", sa.Integer(), nullable=False),
        sa.Column("added", sa.Integer(), nullable=False),
        sa.Column("skipped", sa.Integer(), nullable=False),
        sa.CheckConstraint(
            "added >= 0 AND skipped >= 0", name=op.f("ck_imports_counts_not_negative")
        ),
        sa.ForeignKeyConstraint(
            ["run_id"], ["runs.id"], name=op.f("fk_imports_run_id_runs"), ondelete="CASCADE"
        ),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_imports")),
    )
    op.create_index(op.f("ix_imports_run_id"), "imports", ["run_id"], unique=False)

    op.create_table(
        "notes",
        sa.Column("id", sa.Integer(), nullable=False),
        sa.Column("time", sa.Integer(), nullable=False),
        sa.Column("text", sa.Text(), nullable=False),
        sa.Column("glass_id", sa.Integer(), nullable=True),
        sa.Column("load_id", sa.Integer(), nullable=True),
        sa.Column("plan_id", sa.Integer(), nullable=True),
        sa.Column("run_id", sa.Integer(), nullable=True),
        sa.Column("equipment_id", sa.Integer(), nullable=True),
        sa.Column("pot_id", sa.Integer(), nullable=True),
        sa.CheckConstraint(
            "(glass_id IS NOT NULL) + (load_id IS NOT NULL) + (plan_id IS NOT NULL)"
            " + (run_id IS NOT NULL) + (equipment_id IS NOT NULL) + (pot_id IS NOT NULL) = 1",
            name=op.f("ck_notes_one_subject"),
        ),
        sa.ForeignKeyConstraint(
            ["equipment_id"],
            ["equipment.id"],
            name=op.f("fk_notes_equipment_id_equipment"),
            ondelete="CASCADE",
        ),
        sa.ForeignKeyConstraint(
            ["glass_id"], ["glasses.id"], name=op.f("fk_notes_glass_id_glasses"), ondelete="CASCADE"
        ),
        sa.ForeignKeyConstraint(
            ["load_id"], ["loads.id"], name=op.f("fk_notes_load_id_loads"), ondelete="CASCADE"
        ),
        sa.ForeignKeyConstraint(
            ["plan_id"], ["plans.id"], name=op.f("fk_notes_plan_id_plans"), ondelete="CASCADE"
        ),
        sa.ForeignKeyConstraint(
            ["pot_id"], ["pots.id"], name=op.f("fk_notes_pot_id_pots"), ondelete="CASCADE"
        ),
        sa.ForeignKeyConstraint(
            ["run_id"], ["runs.id"], name=op.f("fk_notes_run_id_runs"), ondelete="CASCADE"
        ),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_notes")),
    )
    op.create_index(op.f("ix_notes_equipment_id"), "notes", ["equipment_id"], unique=False)
    op.create_index(op.f("ix_notes_glass_id"), "notes", ["glass_id"], unique=False)
    op.create_index(op.f("ix_notes_load_id"), "notes", ["load_id"], unique=False)
    op.create_index(op.f("ix_notes_plan_id"), "notes", ["plan_id"], unique=False)
    op.create_index(op.f("ix_notes_pot_id"), "notes", ["pot_id"], unique=False)
    op.create_index(op.f("ix_notes_run_id"), "notes", ["run_id"], unique=False)

    op.create_table(
        "readings",
        sa.Column("id", sa.Integer(), nullable=False),
        sa.Column("equipment_id", sa.Integer(), nullable=False),
        sa.Column("run_id", sa.Integer(), nullable=True),
        sa.Column("import_id", sa.Integer(), nullable=True),
        sa.Column("time", sa.Integer(), nullable=False),
        sa.Column("temperature_k", sa.Double(), nullable=False),
        sa.Column("source", sa.Text(), nullable=False),
        sa.Column("note", sa.Text(), nullable=False),
        sa.CheckConstraint(
            "temperature_k > 0 AND temperature_k < 3000",
            name=op.f("ck_readings_temperature_possible"),
        ),
        sa.ForeignKeyConstraint(
            ["equipment_id"],
            ["equipment.id"],
            name=op.f("fk_readings_equipment_id_equipment"),
            ondelete="RESTRICT",
        ),
        sa.ForeignKeyConstraint(
            ["import_id"],
            ["imports.id"],
            name=op.f("fk_readings_import_id_imports"),
            ondelete="CASCADE",
        ),
        sa.ForeignKeyConstraint(
            ["run_id", "equipment_id"],
            ["runs.id", "runs.equipment_id"],
            name=op.f("fk_readings_run_id_equipment_id_runs"),
            ondelete="CASCADE",
        ),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_readings")),
    )
    op.create_index(op.f("ix_readings_import_id"), "readings", ["import_id"], unique=False)
    op.create_index(
        "uq_readings_equipment_id_time",
        "readings",
        ["equipment_id", "time"],
        unique=True,
        sqlite_where=sa.text("run_id IS NULL"),
    )
    op.create_index(
        "uq_readings_run_id_time",
        "readings",
        ["run_id", "time"],
        unique=True,
        sqlite_where=sa.text("run_id IS NOT NULL"),
    )

    op.execute(PLAN_IN_USE.format(verb="change", event="UPDATE"))
    op.execute(PLAN_IN_USE.format(verb="removal", event="DELETE"))
    op.execute(RUN_KEEPS_PLAN)
