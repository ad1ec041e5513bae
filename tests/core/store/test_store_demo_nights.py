"""The invented nights weeks back tell what they were invented to tell."""

from __future__ import annotations

import itertools
from datetime import UTC, datetime, timedelta

import numpy as np
import pytest

from core.learning.cracks import cracks_against_stress, found_of
from core.learning.lehr_refit import TIME_CONSTANT, fit_of_run
from core.learning.lehr_trend import trend_of
from core.plan.stress_check import Limit
from core.store.book import Book
from core.store.demo import fill_demo
from core.verdict.judge_run import verdict_of
from core.verdict.verdict import Standing


@pytest.fixture(scope="module")
def book(tmp_path_factory: pytest.TempPathFactory):
    opened = Book.open(tmp_path_factory.mktemp("demo") / "demo.sqlite")
    fill_demo(opened, datetime(2026, 11, 25, 10, 20, tzinfo=UTC))
    yield opened
    opened.close()


def nights(book: Book):
    return [run for run in book.runs() if run.lehr_name == "Big lehr"]


def test_two_of_them_went_wrong_and_pieces_cracked_there_only(book: Book) -> None:
    found = []
    standings = []
    for run in nights(book):
        load, plan, readings = book.load(run.load_id), book.plan(run.plan_id), book.readings(run.id)
        verdict = verdict_of(load, plan, readings)
        standings.append(verdict.standing)
        outcomes = [record.outcome for record in book.outcomes(run.id)]
        found.extend(found_of(str(run.id), verdict, outcomes, Limit.PERMANENT))
    assert standings.count(Standing.RE_ANNEAL) == 2
    assert standings.count(Standing.ANNEALED) == len(standings) - 2
    report = cracks_against_stress(found, Limit.PERMANENT)
    assert report.within.some == 0
    assert report.over.some == 3


def test_the_lehr_ages(book: Book) -> None:
    fits = []
    for run in nights(book):
        fit = fit_of_run(
            book.load(run.load_id).lehr, book.plan(run.plan_id), book.readings(run.id),
            run.finished_at, run.id,
        )  # fmt: skip
        assert fit is not None
        fits.append(fit)
    (trend,) = trend_of(fits, TIME_CONSTANT)
    assert trend.line is not None
    assert trend.line.sure
    assert trend.line.slope < 0.0


def test_every_night_is_over_and_none_overlaps_another(book: Book) -> None:
    spans = sorted((run.started_at, run.finished_at) for run in book.runs())
    for (_, ended), (begun, _) in itertools.pairwise(spans):
        assert ended < begun
    now = datetime(2026, 11, 25, 10, 20, tzinfo=UTC)
    assert all(ended <= now + timedelta(hours=1) for _, ended in spans)
    for run in nights(book):
        assert np.all(np.diff(book.readings(run.id).time) > 0.0)
