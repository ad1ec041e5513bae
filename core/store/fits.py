"""The book's fits of lehrs and furnaces, for their trends."""

from __future__ import annotations

from dataclasses import replace

from sqlalchemy import select

from core.run.equipment_fit import EquipmentFit
from core.run.live_source import EquipmentKind
from core.store.base import as_utc
from core.store.models import EquipmentRow
from core.store.models_night import FitRow
from core.store.night_entries import FitRecord
from core.store.pages import Pages, known_equipment, missing
from core.store.runs import run_row
from core.store.snapshot import read_snapshot, write_snapshot


class FitPages(Pages):
    """Fits, each known by its number."""

    def add_fit(self, fit: EquipmentFit) -> FitRecord:
        """Keep a fit; one of the same equipment and run takes the place of the earlier one.

        Raises
        ------
        BookError
            Its equipment or run is not in the book.
        """
        moment = as_utc(fit.fitted_at, "fitted_at")
        text = write_snapshot("fit", replace(fit, run_id=None))
        with self._writing() as session:
            equipment = known_equipment(session, fit.equipment_kind.value, fit.equipment)
            row = None
            if fit.run_id is not None:
                run_row(session, fit.run_id)
                row = session.scalar(
                    select(FitRow).where(
                        FitRow.equipment_id == equipment.id, FitRow.run_id == fit.run_id
                    )
                )
            if row is None:
                row = FitRow(equipment_id=equipment.id, run_id=fit.run_id)
                session.add(row)
            row.fitted_at, row.snapshot = moment, text
            session.flush()
            return FitRecord(row.id, replace(fit, fitted_at=moment))

    def fits(
        self, equipment: str, kind: EquipmentKind = EquipmentKind.LEHR
    ) -> tuple[FitRecord, ...]:
        """Fits of a lehr or furnace in order of time; BookError if it is not in the book."""
        with self._reading() as session:
            number = known_equipment(session, kind.value, equipment).id
            rows = session.execute(
                select(FitRow.id, FitRow.run_id, FitRow.snapshot, EquipmentRow.name)
                .join(EquipmentRow, EquipmentRow.id == FitRow.equipment_id)
                .where(FitRow.equipment_id == number)
                .order_by(FitRow.fitted_at, FitRow.id)
            ).all()
        return tuple(
            FitRecord(
                number,
                # The name may have changed since; a run removed since is no longer named.
                replace(read_snapshot("fit", text, EquipmentFit), equipment=name, run_id=run),
            )
            for number, run, text, name in rows
        )

    def delete_fit(self, fit_id: int) -> None:
        """Remove a fit; BookError if it is not there."""
        with self._writing() as session:
            row = session.get(FitRow, fit_id)
            if row is None:
                raise missing("fit", fit_id)
            session.delete(row)
