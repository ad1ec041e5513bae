"""Whatever stands in a log: an answer without NaN, or one of our own errors; never a traceback."""

import os
from contextlib import suppress
from datetime import UTC, datetime

import numpy as np
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st
from verdict_nights import LOAD, PLAN, START

from core.errors import LehrkeeperError
from core.run.alignment import Align
from core.run.compare import compare
from core.run.comparison_words import comparison_rows, segment_rows
from core.run.overlay import NightOfRun, overlay
from core.run.readings import Readings
from core.units import TemperatureUnit, UnitChoice
from core.verdict.judge_run import verdict_of
from core.verdict.unread import coldest
from core.verdict.verdict_words import (
    advice_sentences,
    cause_sentence,
    doubt_sentences,
    run_sentences,
    verdict_sentence,
)
from core.verdict.warm_hand import hand_warm_at

MANY = int(os.environ.get("LEHRKEEPER_MANY_LOGS", "20"))
"""How many made-up logs; more by hand."""

SPACINGS = st.sampled_from([1.0, 20.0, 60.0, 300.0, 1800.0, 7000.0])


@st.composite
def logs(draw):
    """Stretches of the plan, of nonsense, of one value, with gaps and jumps between."""
    time, value = [], []
    now = START + draw(st.sampled_from([-90000.0, -3600.0, -30.0, 0.0, 5000.0, 40000.0]))
    for _ in range(draw(st.integers(1, 4))):
        count, every = draw(st.integers(1, 60)), draw(SPACINGS)
        moments = now + every * np.arange(count)
        kind = draw(st.sampled_from(["plan", "wild", "flat", "late"]))
        if kind == "plan":
            values = np.interp(moments, *PLAN.curve())
        elif kind == "late":
            values = np.interp(moments - 4000.0, *PLAN.curve()) + draw(st.floats(-150, 60))
        elif kind == "flat":
            values = np.full(count, draw(st.floats(200.0, 1700.0)))
        else:
            values = np.array(draw(st.lists(st.floats(180, 2200), min_size=count, max_size=count)))
        time.append(moments)
        value.append(values)
        now = float(moments[-1]) + draw(st.sampled_from([0.5, 60.0, 1000.0, 9000.0]))
    return Readings(np.concatenate(time), np.concatenate(value))


def is_sound(text: str) -> bool:
    return "nan" not in text.lower() and "inf" not in text.lower().replace("information", "")


@settings(max_examples=MANY, suppress_health_check=[HealthCheck.too_slow])
@given(readings=logs(), finished=st.booleans(), align=st.sampled_from(list(Align)))
def test_any_log_has_an_answer(readings, finished, align):
    now = datetime.fromtimestamp(float(readings.time[-1]) + 60.0, UTC)
    units = UnitChoice()
    with suppress(LehrkeeperError):
        found = compare(PLAN, readings, finished=finished, align=align)
        text = [str(row) for row in comparison_rows(found, TemperatureUnit.CELSIUS, UTC)]
        text += [str(row) for row in segment_rows(found, TemperatureUnit.CELSIUS, UTC)]
        assert all(is_sound(line) for line in text)
        assert np.isfinite([w.actual for w in found.heat_work]).all()
    night = overlay([NightOfRun("one", PLAN, readings)], align).nights[0]
    assert np.isfinite(night.elapsed).all()
    with suppress(LehrkeeperError):
        verdict = verdict_of(LOAD, PLAN, readings, finished=finished)
        for piece in verdict.pieces:
            numbers = [(s.believed, s.low, s.high, s.kindest) for s in piece.stresses]
            assert np.isfinite(numbers).all()
            sentences = [
                verdict_sentence(piece),
                cause_sentence(piece.cause, units, UTC),
                *advice_sentences(piece),
                *doubt_sentences(piece, units),
            ]
            assert all(is_sound(sentence) for sentence in sentences)
        assert all(is_sound(sentence) for sentence in run_sentences(verdict, UTC))
    for ask in (hand_warm_at, coldest):
        with suppress(LehrkeeperError):
            ask(LOAD, PLAN, readings, now)
