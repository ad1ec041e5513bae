"""The program segment by segment, what was keyed in beside what the lehr made of it."""

from __future__ import annotations

from app.local_time import clock_text
from app.studio import Studio
from app.widgets.quantity import NOTHING, Quantity, format_quantity, scale_of
from app.widgets.tables import Column, DataTable
from core.run.compare import Comparison
from core.run.segment_table import SegmentRow
from core.units import format_duration


class SegmentList(DataTable):
    """Rate, hold and overshoot of every segment, actual and planned."""

    def __init__(self, studio: Studio) -> None:
        self._studio = studio
        super().__init__(self._columns(), name="Segments, actual and planned")
        self.fit_rows()

    def _columns(self) -> tuple[Column, ...]:
        units, zone = self._studio.units, self._studio.zone
        degrees = scale_of(Quantity.TEMPERATURE, units).symbol

        def number(quantity: Quantity, value: float | None) -> str:
            return format_quantity(quantity, value, units, with_unit=False)

        def name(row: SegmentRow) -> str:
            return f"{row.number} to {format_quantity(Quantity.TEMPERATURE, row.target, units)}"

        def told(row: SegmentRow) -> str:
            missing = " Readings are missing in it." if row.gap else ""
            return f"Segment {row.number}, {row.kind}.{missing}"

        def rate(row: SegmentRow) -> str:
            text = number(Quantity.RATE, row.actual_rate)
            return f"{text} *" if row.gap else text

        def begun(row: SegmentRow) -> str:
            return NOTHING if row.actual_start is None else clock_text(row.actual_start, zone)

        def planned_begin(row: SegmentRow) -> str:
            return f"Planned to begin {clock_text(row.planned_start, zone)}"

        return (
            Column("Segment", name, tip=told, spoken=told),
            Column(f"Rate {degrees}/h", rate, numeric=True, tip=told),
            Column("Plan", lambda row: number(Quantity.RATE, row.planned_rate), numeric=True),
            Column("Hold", lambda row: _lasted(row.actual_hold), numeric=True),
            Column("Plan", lambda row: _lasted(row.planned_hold), numeric=True),
            Column(
                f"Over {degrees}",
                lambda row: format_quantity(
                    Quantity.INTERVAL, row.overshoot, units, decimals=0, with_unit=False
                ),
                numeric=True,
                tip=lambda _: "How far beyond its target the lehr went",
                gives_way=2,
            ),
            Column("Begun", begun, numeric=True, tip=planned_begin, gives_way=1),
        )

    def show_comparison(self, comparison: Comparison | None) -> None:
        """Show a run's segments; nothing without a comparison."""
        self.set_columns(self._columns())
        self.set_rows(() if comparison is None else comparison.segments)
        self.fit_rows()
        self.setVisible(comparison is not None and bool(comparison.segments))


def _lasted(seconds: float | None) -> str:
    return format_duration(seconds) if seconds else NOTHING
