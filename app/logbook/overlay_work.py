"""Nights to lay over each other, fetched and laid off the GUI thread."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass
from datetime import tzinfo

from app.local_time import short_day, to_local
from core.plan.plan import Plan
from core.run.alignment import Align
from core.run.overlay import NightOfRun, Overlay, overlay
from core.store.book import Book, RunRecord

Progress = Callable[[float], None]
Cancelled = Callable[[], bool]


@dataclass(frozen=True)
class NightSet:
    """Runs that have something in common, the newest first.

    Attributes
    ----------
    words : str
        What it is, ``"Last nights in “Big lehr”"``.
    runs : tuple of RunRecord
    """

    words: str
    runs: tuple[RunRecord, ...]


@dataclass(frozen=True, eq=False)
class OverlaySheet:
    """Nights over each other, with the runs and plans they are of."""

    runs: tuple[RunRecord, ...]
    plans: tuple[Plan, ...]
    overlay: Overlay


def night_label(run: RunRecord, zone: tzinfo | None) -> str:
    """Name a night in a legend: its evening."""
    return short_day(to_local(run.started_at, zone).date())


def sets_of_nights(book: Book, run_id: int, cancelled: Cancelled) -> tuple[NightSet, ...]:
    """The runs in the same lehr, and those with each piece of this run's load.

    Runs without readings have nothing to show; the run asked for is always among them.
    """
    chosen = book.run(run_id)
    runs = [run for run in book.runs() if run.reading_count or run.id == run_id]
    sets = [
        NightSet(
            f"Nights in “{chosen.lehr_name}”",
            tuple(run for run in runs if run.lehr_name == chosen.lehr_name),
        )
    ]
    pieces: dict[int, set[str]] = {}
    for run in runs:
        if cancelled():
            break
        if run.load_id not in pieces:
            pieces[run.load_id] = {piece.name for piece in book.load(run.load_id).pieces}
    for name in dict.fromkeys(piece.name for piece in book.load(chosen.load_id).pieces):
        with_it = tuple(run for run in runs if name in pieces.get(run.load_id, ()))
        sets.append(NightSet(f"Nights with “{name}”", with_it))
    sets.append(NightSet("All nights", tuple(runs)))
    return tuple(sets)


def lay_over(
    book: Book,
    runs: Sequence[RunRecord],
    align: Align,
    zone: tzinfo | None,
    progress: Progress,
    cancelled: Cancelled,
) -> OverlaySheet:
    """Fetch runs and lay them over each other."""
    nights = []
    for number, run in enumerate(runs):
        if cancelled():
            break
        nights.append(
            NightOfRun(night_label(run, zone), book.plan(run.plan_id), book.readings(run.id))
        )
        progress(0.7 * (number + 1) / len(runs))
    plans = tuple(night.plan for night in nights)
    return OverlaySheet(tuple(runs[: len(nights)]), plans, overlay(nights, align))
