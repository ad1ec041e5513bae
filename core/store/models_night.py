"""Tables of what happens in a run; see :mod:`core.store.models` for what all tables share.

Kinds of events, alarms and sources are open: a new kind needs no new layout, and a book with a
kind this program does not know was written by a newer one.
"""

from __future__ import annotations

from datetime import datetime

from sqlalchemy import CheckConstraint, ForeignKey, Index
from sqlalchemy.orm import Mapped, mapped_column

from core.store.base import Base


class RunEventRow(Base):
    """Something that happened in a run."""

    __tablename__ = "run_events"
    __table_args__ = (Index(None, "run_id", "time"),)

    id: Mapped[int] = mapped_column(primary_key=True)
    run_id: Mapped[int] = mapped_column(ForeignKey("runs.id", ondelete="CASCADE"))
    time: Mapped[datetime]
    kind: Mapped[str]
    piece: Mapped[str]
    text: Mapped[str]
    photos: Mapped[str] = mapped_column(doc="list of paths as JSON")


class OutcomeRow(Base):
    """What was found of a piece after a run."""

    __tablename__ = "outcomes"
    __table_args__ = (
        CheckConstraint("kind IN ('sound', 'cracked', 'strain seen')", name="kind_known"),
        CheckConstraint("count >= 1", name="count_at_least_one"),
        CheckConstraint(
            "retardation_m >= 0 AND retardation_m <= 1e-4", name="retardation_possible"
        ),
        CheckConstraint("light_path_m > 0 AND light_path_m <= 1", name="light_path_possible"),
        Index(None, "run_id", "found_at"),
    )

    id: Mapped[int] = mapped_column(primary_key=True)
    run_id: Mapped[int] = mapped_column(ForeignKey("runs.id", ondelete="CASCADE"))
    piece: Mapped[str]
    found_at: Mapped[datetime]
    kind: Mapped[str]
    count: Mapped[int]
    retardation_m: Mapped[float | None] = mapped_column(doc="m")
    light_path_m: Mapped[float | None] = mapped_column(doc="m")
    grade: Mapped[str]
    text: Mapped[str]
    photos: Mapped[str] = mapped_column(doc="list of paths as JSON")


class LogPatternRow(Base):
    """How files whose names fit a pattern are read."""

    __tablename__ = "log_patterns"
    id: Mapped[int] = mapped_column(primary_key=True)
    pattern: Mapped[str] = mapped_column(unique=True)
    snapshot: Mapped[str] = mapped_column(doc="LogFormat as JSON")
    saved_at: Mapped[datetime]


class LiveSourceRow(Base):
    """Where temperatures of a lehr or furnace are read from as they come."""

    __tablename__ = "live_sources"
    id: Mapped[int] = mapped_column(primary_key=True)
    name: Mapped[str] = mapped_column(unique=True)
    equipment_id: Mapped[int] = mapped_column(
        ForeignKey("equipment.id", ondelete="CASCADE"), index=True
    )
    kind: Mapped[str]
    settings: Mapped[str] = mapped_column(doc="JSON")


class AlarmRow(Base):
    """An alarm of the watch on a run."""

    __tablename__ = "alarms"
    __table_args__ = (
        CheckConstraint("cleared_at >= raised_at", name="cleared_after_raised"),
        Index(None, "run_id", "raised_at"),
    )

    id: Mapped[int] = mapped_column(primary_key=True)
    run_id: Mapped[int] = mapped_column(ForeignKey("runs.id", ondelete="CASCADE"))
    kind: Mapped[str]
    raised_at: Mapped[datetime]
    cleared_at: Mapped[datetime | None]
    acknowledged_at: Mapped[datetime | None]
    text: Mapped[str]
    value: Mapped[float | None] = mapped_column(doc="what set it off, in SI units")


class FitRow(Base):
    """Parameters fitted to a lehr or furnace."""

    __tablename__ = "fits"
    __table_args__ = (Index(None, "equipment_id", "fitted_at"),)

    id: Mapped[int] = mapped_column(primary_key=True)
    equipment_id: Mapped[int] = mapped_column(ForeignKey("equipment.id", ondelete="CASCADE"))
    run_id: Mapped[int | None] = mapped_column(
        ForeignKey("runs.id", ondelete="SET NULL"), index=True, doc="whose log was fitted"
    )
    fitted_at: Mapped[datetime]
    snapshot: Mapped[str] = mapped_column(doc="EquipmentFit as JSON, without equipment and run")
