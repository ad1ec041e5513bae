"""The tables of the book.

Units stand in the column names (``_k`` kelvin, ``_m`` metre, ``_kg`` kilogram), times are UTC
(:class:`core.store.base.UtcDateTime`). ``snapshot`` columns hold the frozen dataclass as it was,
in JSON (:mod:`core.store.records`): changing a glass or a lehr afterwards never rewrites history.
The columns beside a snapshot are there to search and sort by; they are written with it, once.

Rows are deleted with their parent (CASCADE) only where they mean nothing without it. What was done
at the furnace or in the lehr holds on to what it was done with (RESTRICT).
"""

from __future__ import annotations

from datetime import datetime

from sqlalchemy import (
    CheckConstraint,
    ForeignKey,
    ForeignKeyConstraint,
    Index,
    UniqueConstraint,
    text,
)
from sqlalchemy.orm import Mapped, mapped_column

from core.store.base import Base


class GlassRow(Base):
    """A glass by its present name; what it is made of stands in its versions."""

    __tablename__ = "glasses"
    id: Mapped[int] = mapped_column(primary_key=True)
    name: Mapped[str] = mapped_column(unique=True)


class GlassVersionRow(Base):
    """A glass as it was entered at a time, with the name it had then; numbered from 1.

    Triggers refuse any change: a version goes only with its glass.
    """

    __tablename__ = "glass_versions"
    __table_args__ = (
        UniqueConstraint("glass_id", "number"),
        CheckConstraint("number >= 1", name="number_from_one"),
    )

    id: Mapped[int] = mapped_column(primary_key=True)
    glass_id: Mapped[int] = mapped_column(ForeignKey("glasses.id", ondelete="CASCADE"))
    number: Mapped[int]
    snapshot: Mapped[str] = mapped_column(doc="Glass as JSON")
    saved_at: Mapped[datetime]


class EquipmentRow(Base):
    """A lehr or a furnace; ``settings`` is the Lehr as JSON, or the furnace's note."""

    __tablename__ = "equipment"
    __table_args__ = (
        UniqueConstraint("kind", "name"),
        CheckConstraint("kind IN ('lehr', 'furnace')", name="kind_known"),
    )

    id: Mapped[int] = mapped_column(primary_key=True)
    kind: Mapped[str]
    name: Mapped[str]
    settings: Mapped[str]


class PotRow(Base):
    """A pot; its name is unique in the whole book because a charge names only its pot."""

    __tablename__ = "pots"
    __table_args__ = (
        CheckConstraint("capacity_kg > 0 AND capacity_kg <= 100000", name="capacity_possible"),
    )

    id: Mapped[int] = mapped_column(primary_key=True)
    equipment_id: Mapped[int] = mapped_column(
        ForeignKey("equipment.id", ondelete="RESTRICT"), index=True
    )
    name: Mapped[str] = mapped_column(unique=True)
    capacity_kg: Mapped[float | None] = mapped_column(doc="kg of glass")
    shape: Mapped[str | None] = mapped_column(doc="PotVessel as JSON, if known")


class ChargeRow(Base):
    """Material put into a pot."""

    __tablename__ = "charges"
    __table_args__ = (
        CheckConstraint("mass_kg > 0 AND mass_kg <= 10000", name="mass_possible"),
        Index(None, "pot_id", "time"),
    )

    id: Mapped[int] = mapped_column(primary_key=True)
    pot_id: Mapped[int] = mapped_column(ForeignKey("pots.id", ondelete="RESTRICT"))
    time: Mapped[datetime]
    material: Mapped[str]
    mass_kg: Mapped[float] = mapped_column(doc="kg")
    note: Mapped[str]


class LoadRow(Base):
    """A night's load; the snapshot carries its pieces, glasses and lehr."""

    __tablename__ = "loads"
    __table_args__ = (CheckConstraint("out_by > button_time", name="out_after_button"),)

    id: Mapped[int] = mapped_column(primary_key=True)
    name: Mapped[str]
    equipment_id: Mapped[int | None] = mapped_column(
        ForeignKey("equipment.id", ondelete="SET NULL"), index=True, doc="its lehr, if entered"
    )
    button_time: Mapped[datetime]
    out_by: Mapped[datetime | None]
    snapshot: Mapped[str] = mapped_column(doc="Load as JSON")
    saved_at: Mapped[datetime] = mapped_column(index=True)


class PieceRow(Base):
    """One kind of piece in a load, to search by; ``position`` keeps the order of the list."""

    __tablename__ = "pieces"
    __table_args__ = (
        UniqueConstraint("load_id", "position"),
        CheckConstraint("count >= 1", name="count_at_least_one"),
        CheckConstraint(
            "shape IN ('plate', 'cylinder', 'sphere', 'vessel')",
            name="shape_known",
        ),
        CheckConstraint(
            "coalesce(wall_thickness_m, 1) > 0 AND coalesce(base_thickness_m, 1) > 0"
            " AND coalesce(diameter_m, 1) > 0 AND coalesce(height_m, 1) > 0",
            name="lengths_positive",
        ),
    )

    id: Mapped[int] = mapped_column(primary_key=True)
    load_id: Mapped[int] = mapped_column(ForeignKey("loads.id", ondelete="CASCADE"))
    position: Mapped[int]
    name: Mapped[str]
    count: Mapped[int]
    shape: Mapped[str]
    glass_name: Mapped[str]
    glass_id: Mapped[int | None] = mapped_column(
        ForeignKey("glasses.id", ondelete="SET NULL"), index=True
    )
    glass_version_id: Mapped[int | None] = mapped_column(
        ForeignKey("glass_versions.id", ondelete="SET NULL"),
        index=True,
        doc="the version whose analysis and measured points the load has, if any",
    )
    wall_thickness_m: Mapped[float | None] = mapped_column(doc="m")
    base_thickness_m: Mapped[float | None] = mapped_column(doc="m")
    diameter_m: Mapped[float | None] = mapped_column(doc="m")
    height_m: Mapped[float | None] = mapped_column(doc="m")
    pot_id: Mapped[int | None] = mapped_column(
        ForeignKey("pots.id", ondelete="SET NULL"), index=True, doc="gathered from, if entered"
    )
    gathered_at: Mapped[datetime | None]


class PlanRow(Base):
    """A plan for a load. Triggers refuse any change or removal once a run uses it.

    An unused plan is a draft and goes with its load.
    """

    __tablename__ = "plans"
    __table_args__ = (CheckConstraint("ready_at >= start_at", name="ready_after_start"),)

    id: Mapped[int] = mapped_column(primary_key=True)
    load_id: Mapped[int] = mapped_column(ForeignKey("loads.id", ondelete="CASCADE"), index=True)
    start_at: Mapped[datetime]
    ready_at: Mapped[datetime]
    snapshot: Mapped[str] = mapped_column(doc="Plan as JSON")
    made_at: Mapped[datetime]


class RunRow(Base):
    """One firing of a lehr by a plan. A trigger keeps the plan it was started with."""

    __tablename__ = "runs"
    __table_args__ = (
        # The target of the readings' double foreign key.
        UniqueConstraint("id", "equipment_id"),
        CheckConstraint("finished_at >= started_at", name="finished_after_start"),
    )

    id: Mapped[int] = mapped_column(primary_key=True)
    plan_id: Mapped[int] = mapped_column(ForeignKey("plans.id", ondelete="RESTRICT"), index=True)
    equipment_id: Mapped[int] = mapped_column(
        ForeignKey("equipment.id", ondelete="RESTRICT"), index=True
    )
    started_at: Mapped[datetime] = mapped_column(index=True)
    finished_at: Mapped[datetime | None]
    note: Mapped[str]


class ImportRow(Base):
    """A logger's file taken into a run; removing it removes the readings it brought."""

    __tablename__ = "imports"
    __table_args__ = (CheckConstraint("added >= 0 AND skipped >= 0", name="counts_not_negative"),)

    id: Mapped[int] = mapped_column(primary_key=True)
    run_id: Mapped[int] = mapped_column(ForeignKey("runs.id", ondelete="CASCADE"), index=True)
    file_name: Mapped[str]
    file_hash: Mapped[str] = mapped_column(doc="SHA-256, hexadecimal")
    imported_at: Mapped[datetime]
    added: Mapped[int]
    skipped: Mapped[int]


class ReadingRow(Base):
    """One temperature of a piece of equipment, in a run or (a furnace's) outside any.

    Unique per (run, time), and per (equipment, time) only where there is no run. Unique per
    (equipment, time) throughout would be simpler, but a file taken into the wrong run by mistake
    could then not be taken into the right one: all its rows would count as known already.
    The double foreign key holds a reading's equipment to that of its run.
    """

    __tablename__ = "readings"
    __table_args__ = (
        ForeignKeyConstraint(
            ["run_id", "equipment_id"], ["runs.id", "runs.equipment_id"], ondelete="CASCADE"
        ),
        # Text compares above every number in SQLite, so this refuses words as well.
        CheckConstraint("temperature_k > 0 AND temperature_k < 3000", name="temperature_possible"),
        Index(
            "uq_readings_run_id_time",
            "run_id",
            "time",
            unique=True,
            sqlite_where=text("run_id IS NOT NULL"),
        ),
        Index(
            "uq_readings_equipment_id_time",
            "equipment_id",
            "time",
            unique=True,
            sqlite_where=text("run_id IS NULL"),
        ),
    )

    id: Mapped[int] = mapped_column(primary_key=True)
    equipment_id: Mapped[int] = mapped_column(ForeignKey("equipment.id", ondelete="RESTRICT"))
    run_id: Mapped[int | None]
    import_id: Mapped[int | None] = mapped_column(
        ForeignKey("imports.id", ondelete="CASCADE"), index=True
    )
    time: Mapped[datetime]
    temperature_k: Mapped[float] = mapped_column(doc="K")
    source: Mapped[str] = mapped_column(doc="typed, or the logger's name")
    note: Mapped[str]


class NoteRow(Base):
    """A remark on exactly one thing in the book; it goes with that thing."""

    __tablename__ = "notes"
    __table_args__ = (
        CheckConstraint(
            "(glass_id IS NOT NULL) + (load_id IS NOT NULL) + (plan_id IS NOT NULL)"
            " + (run_id IS NOT NULL) + (equipment_id IS NOT NULL) + (pot_id IS NOT NULL) = 1",
            name="one_subject",
        ),
    )

    id: Mapped[int] = mapped_column(primary_key=True)
    time: Mapped[datetime]
    text: Mapped[str]
    glass_id: Mapped[int | None] = mapped_column(
        ForeignKey("glasses.id", ondelete="CASCADE"), index=True
    )
    load_id: Mapped[int | None] = mapped_column(
        ForeignKey("loads.id", ondelete="CASCADE"), index=True
    )
    plan_id: Mapped[int | None] = mapped_column(
        ForeignKey("plans.id", ondelete="CASCADE"), index=True
    )
    run_id: Mapped[int | None] = mapped_column(
        ForeignKey("runs.id", ondelete="CASCADE"), index=True
    )
    equipment_id: Mapped[int | None] = mapped_column(
        ForeignKey("equipment.id", ondelete="CASCADE"), index=True
    )
    pot_id: Mapped[int | None] = mapped_column(
        ForeignKey("pots.id", ondelete="CASCADE"), index=True
    )
