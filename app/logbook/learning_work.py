"""What all nights together teach, worked out off the GUI thread."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, replace
from datetime import tzinfo

from app.logbook.overlay_work import night_label
from core.equipment.lehr import Lehr
from core.errors import LehrkeeperError
from core.learning.cracks import CrackReport, Found, cracks_against_stress, found_of
from core.learning.lehr_refit import FULL_POWER, TIME_CONSTANT, fit_of_run
from core.learning.lehr_trend import LehrTrend, trend_of
from core.learning.strain_seen import Seen, SeenReport, seen_against_predicted, seen_of
from core.learning.thermocouple_drift import DriftReport, drift_of
from core.load.load import Load
from core.plan.stress_check import Limit
from core.run.equipment_fit import EquipmentFit
from core.run.overlay import NightOfRun
from core.run.run_event import Outcome
from core.store.book import Book, RunRecord
from core.verdict.judge_run import verdict_of
from core.verdict.verdict import RunVerdict

Progress = Callable[[float], None]
Cancelled = Callable[[], bool]
Verdicts = dict[tuple[int, int], RunVerdict]
"""By number of the run and of its readings: reckoned once, kept while the window is open."""


@dataclass(frozen=True, eq=False)
class Taught:
    """What the nights of the book teach.

    Attributes
    ----------
    nights : int
        Finished runs with readings.
    found : tuple of Found
        Pieces noted as sound or cracked, beside each of their stresses.
    cracks : tuple of CrackReport
        One for each stress.
    seen : tuple of Seen
    strain : SeenReport
    drifts : tuple of DriftReport
        One a lehr.
    trends : tuple of LehrTrend
    left_out : tuple of str
        Runs that could not be followed, and why.
    """

    nights: int
    found: tuple[Found, ...]
    cracks: tuple[CrackReport, ...]
    seen: tuple[Seen, ...]
    strain: SeenReport
    drifts: tuple[DriftReport, ...]
    trends: tuple[LehrTrend, ...]
    left_out: tuple[str, ...]


def learn(
    book: Book, verdicts: Verdicts, zone: tzinfo | None, progress: Progress, cancelled: Cancelled
) -> Taught:
    """Go through every finished run of the book.

    Lehrs are fitted to runs that were not yet; the fits are kept in the book.
    """
    runs = [run for run in book.runs() if run.finished and run.reading_count > 1]
    outcomes: dict[int, list[Outcome]] = {}
    for record in book.outcomes():
        outcomes.setdefault(record.run_id, []).append(record.outcome)
    fits = {
        name: [record.fit for record in book.fits(name)]
        for name in dict.fromkeys(run.lehr_name for run in runs)
    }
    nights: dict[str, list[NightOfRun]] = {}
    lehrs: dict[str, Lehr] = {}
    found: list[Found] = []
    seen: list[Seen] = []
    left_out: list[str] = []
    for number, run in enumerate(runs):
        if cancelled():
            break
        load = book.load(run.load_id)
        night = NightOfRun(night_label(run, zone), book.plan(run.plan_id), book.readings(run.id))
        nights.setdefault(run.lehr_name, []).append(night)
        lehrs.setdefault(run.lehr_name, load.lehr)
        try:
            if run.id in outcomes:
                verdict = _verdict(run, load, night, verdicts, cancelled)
                for limit in Limit:
                    found.extend(found_of(str(run.id), verdict, outcomes[run.id], limit))
                seen.extend(seen_of(verdict, outcomes[run.id]))
            _fit(book, run, load, night, fits[run.lehr_name])
        except LehrkeeperError as error:
            left_out.append(f"{night.label}, {run.load_name}: {error}")
        progress((number + 1) / len(runs))
    every = [fit for known in fits.values() for fit in known]
    return Taught(
        nights=len(runs),
        found=tuple(found),
        cracks=tuple(cracks_against_stress(found, limit) for limit in Limit),
        seen=tuple(seen),
        strain=seen_against_predicted(seen),
        drifts=tuple(drift_of(mine, lehrs[name]) for name, mine in nights.items()),
        trends=tuple(
            trend for name in (TIME_CONSTANT, FULL_POWER) for trend in trend_of(every, name)
        ),
        left_out=tuple(left_out),
    )


def _verdict(
    run: RunRecord, load: Load, night: NightOfRun, verdicts: Verdicts, cancelled: Cancelled
) -> RunVerdict:
    key = (run.id, run.reading_count)
    if key not in verdicts:
        verdicts[key] = verdict_of(load, night.plan, night.readings, stopped=cancelled)
    return verdicts[key]


def _fit(
    book: Book, run: RunRecord, load: Load, night: NightOfRun, known: list[EquipmentFit]
) -> None:
    """Fit the lehr to a run that it was not fitted to yet, and keep the fit."""
    if run.finished_at is None or any(fit.run_id == run.id for fit in known):
        return
    fit = fit_of_run(load.lehr, night.plan, night.readings, run.finished_at, run.id)
    if fit is not None:
        # The lehr may have been named anew since.
        known.append(book.add_fit(replace(fit, equipment=run.lehr_name)).fit)
