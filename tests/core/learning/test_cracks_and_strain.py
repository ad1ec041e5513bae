"""Do pieces above a stress crack? Simulated studios, and the studio that has hardly begun."""

from dataclasses import dataclass
from datetime import UTC, datetime

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from core.learning.cracks import Found, cracks_against_stress, found_of
from core.learning.proportion import share_of
from core.learning.strain_seen import Seen, seen_against_predicted, seen_of
from core.plan.stress_check import Limit
from core.run.run_event import Outcome, OutcomeKind
from core.verdict.verdict import StressRange

MORNING = datetime(2026, 11, 25, 8, tzinfo=UTC)


def studio(nights: int, seed: int, steep: float) -> list[Found]:
    """Pieces whose chance to crack grows with stress over limit: half of them at 1.6 times it."""
    rng = np.random.default_rng(seed)
    found = []
    for night in range(nights):
        for _ in range(6):
            share = float(rng.uniform(0.1, 2.5))
            chance = 1.0 / (1.0 + np.exp(-steep * (share - 1.6)))
            cracked = bool(rng.random() < chance)
            found.append(
                Found(f"n{night}", "decanter", Limit.TEMPORARY, share * 3.5e6, 3.5e6, cracked)
            )
    return found


def test_a_studio_whose_strained_pieces_crack_learns_it():
    report = cracks_against_stress(studio(60, 1, 4.0), Limit.TEMPORARY)
    assert report.enough
    assert report.nights == 60
    assert report.chance < 0.001
    value, low, high = report.curve.share_at(1.6)
    assert low < 0.5 < high
    assert value == pytest.approx(0.5, abs=0.12)
    told = " ".join(report.sentences)
    assert "crack more often" in told
    assert "At the limit itself" in told


def test_where_stress_has_nothing_to_do_with_it_that_is_said():
    wrong = 0
    for seed in range(20):
        report = cracks_against_stress(studio(60, seed, 0.0), Limit.TEMPORARY)
        wrong += report.curve.rises
    # One-sided, nineteen times in twenty.
    assert wrong <= 4
    assert report.within.value == pytest.approx(0.5, abs=0.12)


def test_a_studio_that_has_hardly_begun_is_told_so():
    nothing = cracks_against_stress([], Limit.TEMPORARY)
    assert "Nothing has been noted" in nothing.sentences[0]
    one = [Found("n", "float", Limit.TEMPORARY, 5e6, 3.5e6, cracked=True)]
    report = cracks_against_stress(one, Limit.TEMPORARY)
    assert report.curve is None
    assert "too little" in report.sentences[1]
    assert "1 night)" in report.sentences[1]
    # One night with many cracked pieces is still one night.
    many = [Found("n", "float", Limit.TEMPORARY, s * 3.5e6, 3.5e6, s > 1, 20) for s in (0.5, 2.0)]
    assert "too little" in cracks_against_stress(many, Limit.TEMPORARY).sentences[1]


@given(some=st.integers(0, 200), more=st.integers(0, 200))
def test_intervals_hold_what_was_seen_and_narrow_with_more(some, more):
    share = share_of(some, some + more)
    assert 0.0 <= share.low <= share.high <= 1.0
    if share.value is not None:
        assert share.low <= share.value <= share.high
        twice = share_of(2 * some, 2 * (some + more))
        assert twice.high - twice.low <= share.high - share.low + 1e-12


@dataclass
class _Piece:
    piece: str
    per_length: float
    stress: StressRange

    def range_of(self, limit):
        return self.stress if limit is self.stress.limit else None


@dataclass
class _Verdict:
    pieces: tuple


TENSION = StressRange(Limit.TEMPORARY, 4e6, 3e6, 5e6, 4e6, 3.5e6, 7e6)
NIGHT = _Verdict((_Piece("decanter", 8e-7, TENSION), _Piece("float", 0.0, TENSION)))


def outcome(kind, piece="decanter", **more):
    return Outcome(piece, MORNING, kind, **more)


def test_outcomes_meet_their_pieces_by_name():
    outcomes = [
        outcome(OutcomeKind.SOUND, count=5),
        outcome(OutcomeKind.CRACKED),
        outcome(OutcomeKind.STRAIN_SEEN),
        outcome(OutcomeKind.CRACKED, piece="nobody's"),
    ]
    found = found_of("n1", NIGHT, outcomes, Limit.TEMPORARY)
    assert [(f.cracked, f.count) for f in found] == [(False, 5), (True, 1)]
    assert found[0].share == pytest.approx(4.0 / 3.5)
    assert found_of("n1", NIGHT, outcomes, Limit.PERMANENT_JOINT) == ()


def test_what_the_polariscope_showed_is_laid_beside_the_prediction():
    shown = [
        outcome(OutcomeKind.STRAIN_SEEN, retardation=16e-9, light_path=0.010),
        outcome(OutcomeKind.STRAIN_SEEN, retardation=16e-9),
        outcome(OutcomeKind.STRAIN_SEEN, piece="float", retardation=9e-9, light_path=0.01),
    ]
    (seen,) = seen_of(NIGHT, shown)
    assert seen.seen / seen.predicted == pytest.approx(2.0)
    few = seen_against_predicted([seen])
    assert "too few" in few.sentence
    rng = np.random.default_rng(3)
    many = [Seen("decanter", 8e-7 * 1.5 * np.exp(rng.normal(0, 0.1)), 8e-7) for _ in range(12)]
    report = seen_against_predicted(many)
    assert report.low < 1.5 < report.high
    assert "more strain than reckoned" in report.sentence
    same = seen_against_predicted([Seen("d", 8e-7 * s, 8e-7) for s in (0.8, 0.95, 1.1, 1.2)])
    assert "no difference" in same.sentence
