"""The book's glasses, each with its earlier versions."""

from __future__ import annotations

from dataclasses import replace
from datetime import UTC, datetime

from sqlalchemy import ScalarSelect, func, select
from sqlalchemy.orm import Session, aliased

from core.errors import BookError
from core.glass.glass import Glass
from core.store.base import as_utc
from core.store.entries import GlassUse, GlassVersion
from core.store.models import GlassRow, GlassVersionRow, LoadRow, PieceRow, PlanRow
from core.store.pages import Pages, missing
from core.store.records import glass_from_json, glass_to_json


class GlassPages(Pages):
    """Glasses, each known by its name. Nothing that was once entered of one is ever changed."""

    def save_glass(
        self, glass: Glass, *, renamed_from: str | None = None, saved_at: datetime | None = None
    ) -> GlassVersion:
        """Enter a glass, or a new version of the one of the same name; loads keep theirs.

        Saving a glass as it stands makes no new version, nor does a new name alone.

        Parameters
        ----------
        glass : Glass
        renamed_from : str, optional
            Name it had until now; its versions, notes and pieces stay with it.
        saved_at : datetime, optional
            Aware; default now.

        Returns
        -------
        GlassVersion
            The version it now stands at.

        Raises
        ------
        BookError
            There is no glass of the earlier name, or another one of the new name.
        """
        snapshot = glass_to_json(glass)
        now = datetime.now(UTC) if saved_at is None else as_utc(saved_at, "saved_at")
        with self._writing() as session:
            row = _renamed(session, glass.name, renamed_from)
            if row is None:
                row = GlassRow(name=glass.name)
                session.add(row)
                session.flush()
            latest = _latest(session, row.id)
            if latest is not None:
                stands = glass_from_json(latest.snapshot)
                if replace(stands, name=glass.name) == glass:
                    return GlassVersion(glass.name, latest.number, latest.saved_at, stands)
            number = 1 if latest is None else latest.number + 1
            session.add(
                GlassVersionRow(glass_id=row.id, number=number, snapshot=snapshot, saved_at=now)
            )
        return GlassVersion(glass.name, number, now, glass)

    def glasses(self) -> tuple[Glass, ...]:
        """All glasses as they stand, by name."""
        with self._reading() as session:
            rows = session.execute(
                select(GlassRow.name, GlassVersionRow.snapshot)
                .join(GlassVersionRow, GlassVersionRow.glass_id == GlassRow.id)
                .where(GlassVersionRow.number == _latest_number())
                .order_by(GlassRow.name)
            ).all()
        return tuple(replace(glass_from_json(text), name=name) for name, text in rows)

    def glass_versions(self, name: str) -> tuple[GlassVersion, ...]:
        """All versions of a glass, the first entered first; BookError if it is not there."""
        with self._reading() as session:
            row = _glass_row(session, name)
            rows = session.execute(
                select(GlassVersionRow.number, GlassVersionRow.saved_at, GlassVersionRow.snapshot)
                .where(GlassVersionRow.glass_id == row.id)
                .order_by(GlassVersionRow.number)
            ).all()
        return tuple(
            GlassVersion(name, number, saved, glass_from_json(text)) for number, saved, text in rows
        )

    def glass_version(self, name: str, number: int) -> GlassVersion:
        """One version of a glass; BookError if it is not there."""
        for version in self.glass_versions(name):
            if version.number == number:
                return version
        raise BookError(
            f"There is no version {number} of “{name}” in this book.",
            field="version",
            remedy="Look at the list of its versions again.",
        )

    def delete_glass(self, name: str) -> None:
        """Remove a glass with its versions and notes; loads keep their copy.

        Raises
        ------
        BookError
            It is not there.
        """
        with self._writing() as session:
            session.delete(_glass_row(session, name))

    def glasses_of_load(self, load_id: int) -> tuple[GlassUse, ...]:
        """Which version of each glass a load was put together with, in order of its pieces.

        Raises
        ------
        BookError
            There is no such load.
        """
        with self._reading() as session:
            if session.get(LoadRow, load_id) is None:
                raise missing("load", load_id)
            return _uses(session, load_id)

    def glasses_of_plan(self, plan_id: int) -> tuple[GlassUse, ...]:
        """Which version of each glass a plan was reckoned with; BookError if it is not there.

        A load that a plan was drawn up for is never changed, so this holds for good.
        """
        with self._reading() as session:
            load_id = session.scalar(select(PlanRow.load_id).where(PlanRow.id == plan_id))
            if load_id is None:
                raise missing("plan", plan_id)
            return _uses(session, load_id)


def version_ids(session: Session, glasses: dict[str, Glass]) -> dict[str, tuple[int, int | None]]:
    """Numbers of the rows of glasses by name: the glass, and the version that is the one given.

    Parameters
    ----------
    session : Session
    glasses : dict of str to Glass
        By the name they have in the book, if they are in it.
    """
    found: dict[str, tuple[int, int | None]] = {}
    for name, glass in glasses.items():
        glass_id = session.scalar(select(GlassRow.id).where(GlassRow.name == name))
        if glass_id is None:
            continue
        versions = session.execute(
            select(GlassVersionRow.id, GlassVersionRow.snapshot)
            .where(GlassVersionRow.glass_id == glass_id)
            .order_by(GlassVersionRow.number.desc())
        )
        same = (number for number, text in versions if _is_same(glass_from_json(text), glass))
        found[name] = (glass_id, next(same, None))
    return found


def _is_same(one: Glass, other: Glass) -> bool:
    """Whether a plan comes out the same: by analysis and measured points.

    An analysis that went through a load file has six figures.
    """
    if one.measured != other.measured:
        return False
    texts = [g.composition.to_text() if g.composition else "" for g in (one, other)]
    return texts[0] == texts[1]


def _uses(session: Session, load_id: int) -> tuple[GlassUse, ...]:
    rows = session.execute(
        select(PieceRow.glass_name, GlassRow.name, GlassVersionRow.number, _latest_number())
        .select_from(PieceRow)
        .outerjoin(GlassRow, GlassRow.id == PieceRow.glass_id)
        .outerjoin(GlassVersionRow, GlassVersionRow.id == PieceRow.glass_version_id)
        .where(PieceRow.load_id == load_id)
        .order_by(PieceRow.position)
    ).all()
    return tuple(dict.fromkeys(GlassUse(*row) for row in rows))


def _latest_number() -> ScalarSelect[int]:
    """Number of the latest version of the glass in the row at hand."""
    later = aliased(GlassVersionRow)
    return select(func.max(later.number)).where(later.glass_id == GlassRow.id).scalar_subquery()


def _latest(session: Session, glass_id: int) -> GlassVersionRow | None:
    return session.scalar(
        select(GlassVersionRow)
        .where(GlassVersionRow.glass_id == glass_id)
        .order_by(GlassVersionRow.number.desc())
        .limit(1)
    )


def _glass_row(session: Session, name: str) -> GlassRow:
    row = session.scalar(select(GlassRow).where(GlassRow.name == name))
    if row is None:
        raise missing("glass", name)
    return row


def _renamed(session: Session, name: str, before: str | None) -> GlassRow | None:
    """The row to write to, with its new name; ``None`` for a glass that is new."""
    if before is None or before == name:
        row = session.scalar(select(GlassRow).where(GlassRow.name == name))
        if row is None and before is not None:
            raise missing("glass", before)
        return row
    row = _glass_row(session, before)
    if session.scalar(select(GlassRow.id).where(GlassRow.name == name)) is not None:
        raise BookError(
            f"There is another glass called “{name}”.",
            field="name",
            remedy="Choose another name.",
        )
    row.name = name
    return row
