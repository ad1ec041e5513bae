"""Tables of what goes into the pots; see :mod:`core.store.models` for what all tables share."""

from __future__ import annotations

from datetime import datetime

from sqlalchemy import CheckConstraint, ForeignKey, Index, UniqueConstraint
from sqlalchemy.orm import Mapped, mapped_column

from core.store.base import Base


class SettingRow(Base):
    """A small thing the book remembers by name, such as the currency of its prices."""

    __tablename__ = "settings"
    name: Mapped[str] = mapped_column(primary_key=True)
    value: Mapped[str]


class MaterialRow(Base):
    """A raw material of the studio; ``position`` keeps the order of the list.

    ``folded`` is the name without capitals, so that no two differ in those alone.
    """

    __tablename__ = "materials"
    id: Mapped[int] = mapped_column(primary_key=True)
    position: Mapped[int]
    name: Mapped[str]
    folded: Mapped[str] = mapped_column(unique=True)
    snapshot: Mapped[str] = mapped_column(doc="Material as JSON")
    saved_at: Mapped[datetime]


class PotEntryRow(Base):
    """What happened to a pot besides charges."""

    __tablename__ = "pot_entries"
    __table_args__ = (
        CheckConstraint(
            "kind IN ('gathered', 'skimmed', 'drained', 'level', 'new pot')", name="kind_known"
        ),
        CheckConstraint(
            "(kind = 'new pot') = (mass_kg IS NULL) AND (kind = 'new pot') = (error_kg IS NULL)",
            name="mass_if_any",
        ),
        CheckConstraint("mass_kg >= 0 AND mass_kg <= 100000", name="mass_possible"),
        CheckConstraint("error_kg >= 0 AND error_kg <= 100000", name="error_possible"),
        Index(None, "pot_id", "time"),
    )

    id: Mapped[int] = mapped_column(primary_key=True)
    pot_id: Mapped[int] = mapped_column(ForeignKey("pots.id", ondelete="RESTRICT"))
    time: Mapped[datetime]
    kind: Mapped[str]
    mass_kg: Mapped[float | None] = mapped_column(doc="kg")
    error_kg: Mapped[float | None] = mapped_column(doc="kg, standard error")
    note: Mapped[str]


class ChargedGlassRow(Base):
    """Which glass a material makes, in one pot or in all, from a time on."""

    __tablename__ = "charged_glasses"
    id: Mapped[int] = mapped_column(primary_key=True)
    folded: Mapped[str] = mapped_column(index=True, doc="the material's name, plain")
    pot_id: Mapped[int | None] = mapped_column(
        ForeignKey("pots.id", ondelete="CASCADE"), index=True
    )
    since: Mapped[datetime | None]
    snapshot: Mapped[str] = mapped_column(doc="ChargedGlass as JSON, without its pot")


class BatchSheetRow(Base):
    """A batch as it was reckoned."""

    __tablename__ = "batch_sheets"
    __table_args__ = (CheckConstraint("glass_kg > 0", name="glass_possible"),)

    id: Mapped[int] = mapped_column(primary_key=True)
    name: Mapped[str]
    made_at: Mapped[datetime] = mapped_column(index=True)
    glass_kg: Mapped[float] = mapped_column(doc="kg of glass in the pot")
    snapshot: Mapped[str] = mapped_column(
        doc="Batch as JSON, without the properties of its glasses"
    )


class ChargeListRow(Base):
    """A list of charges to be made."""

    __tablename__ = "charge_lists"
    id: Mapped[int] = mapped_column(primary_key=True)
    name: Mapped[str]
    made_at: Mapped[datetime] = mapped_column(index=True)


class PlannedChargeRow(Base):
    """One line of such a list; ticked off by the charge that was made of it."""

    __tablename__ = "planned_charges"
    __table_args__ = (
        UniqueConstraint("charge_list_id", "position"),
        UniqueConstraint("charge_id"),
        CheckConstraint("mass_kg > 0 AND mass_kg <= 10000", name="mass_possible"),
        CheckConstraint("(charge_id IS NULL) OR (ticked_at IS NOT NULL)", name="tick_has_time"),
    )

    id: Mapped[int] = mapped_column(primary_key=True)
    charge_list_id: Mapped[int] = mapped_column(ForeignKey("charge_lists.id", ondelete="CASCADE"))
    position: Mapped[int]
    time: Mapped[datetime]
    pot_id: Mapped[int] = mapped_column(ForeignKey("pots.id", ondelete="RESTRICT"), index=True)
    material: Mapped[str]
    mass_kg: Mapped[float] = mapped_column(doc="kg")
    note: Mapped[str]
    charge_id: Mapped[int | None] = mapped_column(
        ForeignKey("charges.id", ondelete="SET NULL"), doc="the charge made of it"
    )
    ticked_at: Mapped[datetime | None] = mapped_column(
        doc="when it was ticked; stands for nothing once the charge is gone"
    )
