"""The book's list of raw materials."""

from __future__ import annotations

from collections.abc import Iterable
from datetime import UTC, datetime

from sqlalchemy import func, select
from sqlalchemy.orm import Session

from core.batch.material import Material, MaterialList
from core.batch.material_file import shipped_materials
from core.errors import BookError
from core.store.models_pot import MaterialRow, SettingRow
from core.store.pages import Pages, missing
from core.store.snapshot import read_snapshot, write_snapshot

_CURRENCY = "currency"


class MaterialPages(Pages):
    """Raw materials, each known by its name; capitals do not matter."""

    def save_material(self, material: Material, *, renamed_from: str | None = None) -> None:
        """Enter a material at the end of the list, or change the one of its name in its place.

        Parameters
        ----------
        material : Material
        renamed_from : str, optional
            Name it had until now.

        Raises
        ------
        BookError
            There is none of the earlier name, or another one of the new name.
        """
        with self._writing() as session:
            _enter(session, material, renamed_from)

    def save_materials(self, materials: Iterable[Material]) -> None:
        """Enter or change several materials, all or none, as when a batch leaves the shelf."""
        with self._writing() as session:
            for material in materials:
                _enter(session, material, None)

    def materials(self) -> tuple[Material, ...]:
        """All materials in the order of the list; none before the first use."""
        with self._reading() as session:
            texts = session.scalars(
                select(MaterialRow.snapshot).order_by(MaterialRow.position, MaterialRow.id)
            ).all()
        return tuple(read_snapshot("material", text, Material) for text in texts)

    def material_list(self) -> MaterialList:
        """The list with its currency, as batches are reckoned from it; BatchError if empty."""
        return MaterialList(self.materials(), self.currency(), "the studio's materials")

    def delete_material(self, name: str) -> None:
        """Take a material off the list; sheets keep theirs. BookError if it is not there."""
        with self._writing() as session:
            session.delete(_known(session, name))

    def fill_materials(self, materials: Iterable[Material] | None = None) -> int:
        """Add the materials whose names are not in the list yet; returns how many that were.

        Parameters
        ----------
        materials : iterable of Material, optional
            Default: the list shipped with the program.
        """
        wanted = shipped_materials() if materials is None else materials
        added = 0
        with self._writing() as session:
            known = set(session.scalars(select(MaterialRow.folded)))
            position = _next_position(session)
            now = datetime.now(UTC)
            for material in wanted:
                folded = _folded(material.name)
                if folded in known:
                    continue
                known.add(folded)
                session.add(
                    MaterialRow(
                        position=position + added,
                        name=material.name,
                        folded=folded,
                        snapshot=write_snapshot("material", material),
                        saved_at=now,
                    )
                )
                added += 1
        return added

    def order_materials(self, names: Iterable[str]) -> None:
        """Put the list into this order; materials not named follow as they were.

        The order counts where materials are equally good: those first in the list stay.
        """
        with self._writing() as session:
            first = [_known(session, name) for name in dict.fromkeys(map(_folded, names))]
            rest = session.scalars(select(MaterialRow).order_by(MaterialRow.position))
            for position, row in enumerate(dict.fromkeys([*first, *rest])):
                row.position = position

    def currency(self) -> str:
        """Currency of the prices, empty until it is set."""
        with self._reading() as session:
            return (
                session.scalar(select(SettingRow.value).where(SettingRow.name == _CURRENCY)) or ""
            )

    def set_currency(self, currency: str) -> None:
        """Say which currency the prices are in."""
        with self._writing() as session:
            session.merge(SettingRow(name=_CURRENCY, value=currency.strip()))


def _enter(session: Session, material: Material, renamed_from: str | None) -> None:
    folded = _folded(material.name)
    row = _row(session, material.name)
    if renamed_from is not None and _folded(renamed_from) != folded:
        if row is not None:
            raise BookError(
                f"There is another material called “{material.name}”.",
                field="name",
                remedy="Choose another name.",
            )
        row = _known(session, renamed_from)
    if row is None:
        row = MaterialRow(position=_next_position(session))
        session.add(row)
    row.name, row.folded = material.name, folded
    row.snapshot = write_snapshot("material", material)
    row.saved_at = datetime.now(UTC)


def _folded(name: str) -> str:
    return name.strip().casefold()


def _row(session: Session, name: str) -> MaterialRow | None:
    return session.scalar(select(MaterialRow).where(MaterialRow.folded == _folded(name)))


def _known(session: Session, name: str) -> MaterialRow:
    row = _row(session, name)
    if row is None:
        raise missing("material", name)
    return row


def _next_position(session: Session) -> int:
    last = session.scalar(select(func.max(MaterialRow.position)))
    return 0 if last is None else last + 1
