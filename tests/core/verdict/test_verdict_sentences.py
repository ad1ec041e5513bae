"""A verdict in words: every kind of cause, what to do, what could change it."""

from dataclasses import replace

import pytest
from verdict_nights import LOAD, PLAN, START, followed, hurried, slow_range, without

from core.run.readings import Readings
from core.units import TemperatureUnit, UnitChoice
from core.verdict.judge_run import verdict_of
from core.verdict.verdict import CauseKind, Doubt, DoubtKind, Standing
from core.verdict.verdict_words import (
    VERDICT_CAUTIONS,
    advice_sentences,
    cause_sentence,
    doubt_sentences,
    run_sentences,
    stress_words,
    verdict_sentence,
)

CELSIUS = UnitChoice()
FAHRENHEIT = UnitChoice(temperature=TemperatureUnit.FAHRENHEIT)
FAST = verdict_of(LOAD, PLAN, hurried(4.0))
GAP = verdict_of(LOAD, PLAN, without(followed(), *slow_range()))
COLD = verdict_of(LOAD, PLAN, Readings(followed().time, followed().temperature - 90.0))
LIGHT = FAST.pieces[1]


def test_a_cause_names_clock_rate_temperature_and_plan():
    words = cause_sentence(LIGHT.cause, CELSIUS, None)
    rate, planned = (3600.0 * r for r in (LIGHT.cause.rate, LIGHT.cause.planned_rate))
    shown = f"{rate:.0f}" if rate >= 100 else f"{rate:.1f}"
    assert f"cooled at {shown} °C/h through " in words
    assert f", plan {planned:.1f} °C/h." in words
    assert words[2] == ":"
    assert words[5] == "–"
    warmer = cause_sentence(LIGHT.cause, FAHRENHEIT, None)
    assert "°F/h" in warmer
    assert "°C" not in warmer


def test_what_to_do_with_a_strained_piece():
    told = " ".join(advice_sentences(LIGHT))
    assert "Anneal it again" in told
    assert "polariscope" in told
    assert f"{LIGHT.retardation * 1e9:.0f} nm" in told
    assert "re-anneal" in verdict_sentence(LIGHT)
    assert " is allowed." in verdict_sentence(LIGHT)


def test_limits_on_the_way_are_told_with_their_safety_factor():
    tension = LIGHT.stresses[1]
    assert "over a safety factor of 2" in stress_words(tension)
    assert tension.strength == 2.0 * tension.allowed


def test_nothing_to_do_is_said_by_silence():
    chimney = FAST.pieces[2]
    assert chimney.standing is Standing.ANNEALED
    assert advice_sentences(chimney) == ()
    assert cause_sentence(chimney.cause, CELSIUS, None) == ""


def test_a_gap_is_told_of_piece_and_run():
    light = GAP.pieces[1]
    assert "no readings while the glass froze" in cause_sentence(light.cause, CELSIUS, None)
    assert any("gaps" in sentence for sentence in doubt_sentences(light, CELSIUS))
    assert "No readings" in run_sentences(GAP, None)[0]
    assert "by its own law" in run_sentences(GAP, None)[0]


def test_what_was_before_a_cold_night_is_not_judged():
    light = COLD.pieces[1]
    assert "not known" in verdict_sentence(light)
    assert "polariscope decides" in " ".join(advice_sentences(light))
    assert any("nothing is known" in sentence for sentence in run_sentences(COLD, None))


@pytest.mark.parametrize("kind", list(CauseKind))
def test_every_kind_of_cause_has_its_sentence(kind):
    words = cause_sentence(replace(LIGHT.cause, kind=kind), CELSIUS, None)
    assert words.endswith(".")
    assert "None" not in words


@pytest.mark.parametrize("kind", list(DoubtKind))
@pytest.mark.parametrize("turns", [-6.0, 6.0])
def test_every_doubt_says_which_way_and_how_far(kind, turns):
    doubt = Doubt(kind, 9.0, turns, Standing.RE_ANNEAL)
    (words,) = doubt_sentences(replace(LIGHT, doubts=(doubt,)), CELSIUS)
    assert words.endswith(".")
    if kind is not DoubtKind.GAP:
        assert "6 °C" in words
        assert "over its limit" in words
        other = doubt_sentences(replace(LIGHT, doubts=(replace(doubt, turns=-turns),)), CELSIUS)
        assert other != (words,)


def test_other_states_of_a_run_are_said():
    unfinished = replace(FAST, finished=False, left_out=2, ends_hot=True)
    told = " ".join(run_sentences(unfinished, None))
    assert "goes on" in told
    assert "2 readings that no lehr can have had were left out" in told
    assert "before the glass was frozen" not in told
    over = run_sentences(replace(FAST, ends_hot=True), None)
    assert "before the glass was frozen" in " ".join(over)
    assert run_sentences(FAST, None) == ()


def test_cautions_defer_to_polariscope_and_licensed_trades():
    told = " ".join(VERDICT_CAUTIONS)
    assert "polariscope" in told
    assert "licensed trades" in told


def test_a_cracked_piece_is_looked_over_first():
    found = replace(LIGHT, may_be_cracked=True)
    assert "gloves and eye protection" in advice_sentences(found)[0]
    found = replace(LIGHT, may_be_cracked=False, look_over=True)
    assert "safety factor" in advice_sentences(found)[0]
    assert found.cause.start > START
