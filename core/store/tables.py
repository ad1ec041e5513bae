"""What the tables' columns hold, for whoever goes through all of them alike."""

from __future__ import annotations

from dataclasses import dataclass
from enum import StrEnum

from sqlalchemy import Double, Integer, Table

from core.store import models, models_night, models_pot
from core.store.base import Base, UtcDateTime

assert models and models_night and models_pot  # noqa: S101, PT018 - imported for their tables

JSON_COLUMNS = {
    "glass_versions": "snapshot",
    "equipment": "settings",
    "pots": "shape",
    "loads": "snapshot",
    "plans": "snapshot",
    "materials": "snapshot",
    "charged_glasses": "snapshot",
    "batch_sheets": "snapshot",
    "run_events": "photos",
    "outcomes": "photos",
    "log_patterns": "snapshot",
    "live_sources": "settings",
    "fits": "snapshot",
}
"""By table, the column that holds JSON."""


class ColumnKind(StrEnum):
    """How the values of a column are written down."""

    TEXT = "text"
    WHOLE = "whole number"
    NUMBER = "number"
    TIME = "time"
    JSON = "json"


@dataclass(frozen=True)
class Column:
    """A column: its name, what it holds, and whether it may be empty."""

    name: str
    kind: ColumnKind
    nullable: bool


def tables() -> tuple[Table, ...]:
    """All tables, each after those it refers to."""
    return tuple(Base.metadata.sorted_tables)


def columns_of(table: Table) -> tuple[Column, ...]:
    """The columns of a table in their order."""
    return tuple(
        Column(column.name, _kind(table.name, column.name, column.type), bool(column.nullable))
        for column in table.columns
    )


def _kind(table: str, column: str, type_: object) -> ColumnKind:
    if isinstance(type_, UtcDateTime):
        return ColumnKind.TIME
    if isinstance(type_, Integer):
        return ColumnKind.WHOLE
    if isinstance(type_, Double):
        return ColumnKind.NUMBER
    return ColumnKind.JSON if JSON_COLUMNS.get(table) == column else ColumnKind.TEXT
