"""Alarms over a night; the plan soaks at 525 °C for 2 h, then 20 °C/h to 470 °C, then 60 °C/h."""

from datetime import UTC, datetime, time, timedelta

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from core.errors import RunError
from core.live.events import Signal, SignalKind
from core.live.watch import watch
from core.live.watch_types import AlarmKind, QuietHours, WatchSettings, alarm_news, silenced
from core.live.watch_words import alarm_words
from core.run.readings import Readings
from core.units import TemperatureUnit, UnitChoice, kelvin_from

SETTINGS = WatchSettings()


def night(plan, until=7.0, every=10.0, noise=0.3):
    """Readings that follow the plan for some hours, with the flicker of a 0.1° display."""
    time = plan.start.timestamp() + np.arange(0.0, until * 3600.0, every)
    flicker = np.random.default_rng(7).normal(0.0, noise, time.size)
    return time, np.round(plan.temperature_at(time) + flicker, 1)


def look(plan, time, temperature, previous=None, **more):
    now = datetime.fromtimestamp(float(time[-1]) + 1.0, UTC)
    return watch(plan, Readings(time, temperature), now, SETTINGS, previous, **more)


def hours(plan, moment):
    return (moment - plan.start).total_seconds() / 3600.0


def test_a_night_on_plan_raises_nothing(plan):
    assert look(plan, *night(plan)).alarms == ()


def test_a_quarter_of_an_hour_too_hot_is_raised_after_two_minutes_and_clears(plan):
    time, temperature = night(plan)
    hot = (time >= time[0] + 3600) & (time < time[0] + 4500)
    temperature[hot] += 16.0
    (alarm,) = look(plan, time, temperature).alarms
    assert alarm.kind is AlarmKind.TOO_HOT
    assert hours(plan, alarm.raised) == pytest.approx(1.0 + 120 / 3600, abs=11 / 3600)
    assert hours(plan, alarm.cleared) == pytest.approx(1.25 + 120 / 3600, abs=11 / 3600)
    assert 15.0 < alarm.worst < 18.0
    assert alarm.limit == 10.0
    assert alarm.planned == pytest.approx(kelvin_from(525.0))


def test_a_minute_with_the_door_open_is_no_alarm(plan):
    time, temperature = night(plan)
    temperature[(time >= time[0] + 3600) & (time < time[0] + 3660)] -= 60.0
    assert look(plan, time, temperature).alarms == ()


def test_a_reading_at_the_edge_does_not_chatter(plan):
    time, temperature = night(plan, until=2.0)
    edge = time >= time[0] + 1800
    # Half above the band, half just inside it, by turns of three minutes.
    swing = np.where((time // 180) % 2 == 0, 11.0, 9.0)
    temperature[edge] = kelvin_from(525.0) + swing[edge]
    alarms = [a for a in look(plan, time, temperature).alarms if a.kind is AlarmKind.TOO_HOT]
    assert len(alarms) == 1
    assert alarms[0].active


def test_cooling_too_fast_names_both_rates(plan):
    time, temperature = night(plan, until=3.5)
    late = time > time[0] + 2.5 * 3600
    temperature[late] -= (time[late] - time[0] - 2.5 * 3600) * 40.0 / 3600.0  # 60 °C/h in all
    alarms = {a.kind: a for a in look(plan, time, temperature).alarms}
    alarm = alarms[AlarmKind.TOO_FAST]
    # Half of a window of 10 minutes must be on the new slope, then it holds for 2 more.
    assert 2.5 + 5 / 60 < hours(plan, alarm.raised) < 2.5 + 13 / 60
    assert alarm.worst * 3600 == pytest.approx(60.0, abs=3.0)
    assert alarm.planned * 3600 == pytest.approx(20.0)
    sentence = alarm_words(alarm, UnitChoice()).sentence
    assert "planned are 20.0 °C/h" in sentence


def test_the_same_rate_below_the_range_is_as_planned(plan):
    # 470 °C is reached after 4.75 h; from there on 60 °C/h is the plan.
    assert look(plan, *night(plan, until=10.0)).alarms == ()


def test_a_register_that_hangs_in_the_slow_cooling(plan):
    time, temperature = night(plan, until=4.0)
    stands = time >= time[0] + 3 * 3600
    temperature[stands] = temperature[stands][0]
    kinds = {a.kind: a for a in look(plan, time, temperature).alarms}
    flat = kinds[AlarmKind.FLAT]
    assert flat.active
    assert hours(plan, flat.raised) == pytest.approx(3.0 + 20 / 60, abs=11 / 3600)


def test_a_lively_reading_that_hangs_in_the_soak(plan):
    time, temperature = night(plan, until=1.9)
    stands = time >= time[0] + 3600
    temperature[stands] = temperature[stands][0]
    assert [a.kind for a in look(plan, time, temperature).alarms] == [AlarmKind.FLAT]


def test_a_controller_of_whole_degrees_may_stand_in_the_soak(plan):
    time = plan.start.timestamp() + np.arange(0.0, 1.9 * 3600, 10.0)
    assert look(plan, time, np.full(time.size, kelvin_from(525.0))).alarms == ()


@pytest.mark.parametrize("celsius", [1372.0, -999.0, 25.0])
def test_a_thermocouple_that_breaks_is_told_at_once(plan, celsius):
    # Burn-out to the top of type K and a filler: common practice, no source. 25 °C is the cold
    # junction, which an open pair reads on instruments without burn-out detection.
    time, temperature = night(plan, until=1.0)
    temperature[-1] = kelvin_from(celsius)
    (alarm,) = look(plan, time, temperature).alarms
    assert alarm.kind is AlarmKind.BROKEN
    assert alarm.raised.timestamp() == time[-1]


def test_what_the_source_says_of_its_thermocouple(plan):
    time, temperature = night(plan, until=1.0)
    said = Signal(SignalKind.BROKEN, plan.start, "The device says that no thermocouple answers.")
    state = look(plan, time, temperature, signal=said)
    (alarm,) = state.alarms
    assert alarm.kind is AlarmKind.BROKEN
    assert alarm_words(alarm, UnitChoice()).sentence == said.sentence
    more_time, more = night(plan, until=1.1)
    cleared = look(plan, more_time, more, state, signal=Signal(SignalKind.GOOD))
    assert not cleared.active


def test_no_new_reading(plan):
    time, temperature = night(plan, until=1.0)
    readings = Readings(time, temperature)
    last = datetime.fromtimestamp(float(time[-1]), UTC)
    fine = watch(plan, readings, last + timedelta(seconds=170), SETTINGS)
    assert fine.alarms == ()
    stale = watch(plan, readings, last + timedelta(seconds=190), SETTINGS, fine)
    (alarm,) = stale.alarms
    assert alarm.kind is AlarmKind.STALE
    assert alarm.worst == pytest.approx(190.0)
    more_time, more = night(plan, until=1.2)
    assert not look(plan, more_time, more, stale).active


def test_a_logger_s_wrong_clock_neither_hides_nor_feigns_silence(plan):
    time, temperature = night(plan, until=1.0)
    readings = Readings(time, temperature)
    behind = datetime.fromtimestamp(float(time[-1]) + 3600.0, UTC)
    assert watch(plan, readings, behind, SETTINGS, arrived=behind).alarms == ()
    ahead = datetime.fromtimestamp(float(time[-1]) - 1800.0, UTC)
    (alarm,) = watch(plan, readings, ahead, SETTINGS, arrived=ahead - timedelta(seconds=200)).alarms
    assert alarm.kind is AlarmKind.STALE
    assert alarm.worst == pytest.approx(200.0)


def test_readings_typed_every_half_hour_are_not_stale_between(plan):
    time, temperature = night(plan, until=2.0, every=1800.0)
    now = datetime.fromtimestamp(float(time[-1]) + 3600.0, UTC)
    assert watch(plan, Readings(time, temperature), now, SETTINGS).alarms == ()


def test_nothing_is_stale_before_the_plan_or_after_it(plan):
    empty = Readings(np.array([]), np.array([]))
    for moment in (plan.start - timedelta(hours=1), plan.ready_at + timedelta(hours=1)):
        assert watch(plan, empty, moment, SETTINGS).alarms == ()
    late = watch(plan, empty, plan.start + timedelta(minutes=10), SETTINGS)
    assert [a.kind for a in late.alarms] == [AlarmKind.STALE]


def test_a_program_begun_late_is_watched_by_its_own_hours(plan):
    time, temperature = night(plan)
    state = look(plan, time + 1800.0, temperature, begun=plan.start + timedelta(minutes=30))
    assert state.alarms == ()


def test_quiet_hours_list_but_do_not_sound(plan):
    time_, temperature = night(plan, until=2.0)
    temperature[time_ > time_[0] + 3600] += 30.0
    readings = Readings(time_, temperature)
    now = datetime.fromtimestamp(float(time_[-1]), UTC)  # 19:29 UTC
    loud = watch(plan, readings, now, SETTINGS)
    assert loud.sounding
    night_hours = QuietHours(time(19, 0), time(7, 0), "UTC")
    quiet = watch(plan, readings, now, WatchSettings(quiet=night_hours))
    assert quiet.active
    assert not quiet.sounding
    assert not silenced(loud, now).sounding
    assert silenced(loud, now).active


@pytest.mark.parametrize(
    ("clock", "inside"), [("22:59", False), ("23:00", True), ("03:00", True), ("06:30", False)]
)
def test_quiet_hours_over_midnight(clock, inside):
    hours = QuietHours(time(23, 0), time(6, 30), "Europe/Lisbon")  # UTC in winter
    moment = datetime.fromisoformat(f"2026-11-25T{clock}:00+00:00")
    assert hours.cover(moment) is inside


@settings(max_examples=25, deadline=None)
@given(
    cuts=st.lists(st.integers(1, 1439), max_size=12, unique=True),
    faults=st.lists(
        st.tuples(st.integers(0, 1400), st.integers(1, 200), st.sampled_from([-30, 14, 300, 0])),
        max_size=4,
    ),
)
def test_how_often_one_looks_changes_no_alarm_of_the_readings(plan, cuts, faults):
    time, temperature = night(plan, until=8.0, every=20.0)
    for start, length, size in faults:
        part = slice(start, start + length)
        temperature[part] = temperature[start] if size == 0 else temperature[part] + size
    once = look(plan, time, temperature)
    state = None
    for end in [*sorted(cuts), time.size]:
        state = look(plan, time[:end], temperature[:end], state)
    assert _facts(state) == _facts(once)


def _facts(state):
    return [(a.kind, a.raised, a.cleared, a.worst) for a in state.alarms]


def test_every_alarm_says_what_to_do_and_what_to_mind(plan):
    time, temperature = night(plan, until=3.5)
    late = time > time[0] + 2.5 * 3600
    temperature[late] -= (time[late] - time[0] - 2.5 * 3600) * 60.0 / 3600.0
    temperature[(time > time[0] + 1000) & (time < time[0] + 3000)] += 20
    temperature[-1] = kelvin_from(1372.0)
    now = datetime.fromtimestamp(float(time[-1]) + 600.0, UTC)
    state = watch(plan, Readings(time, temperature), now, SETTINGS)
    kinds = {alarm.kind for alarm in state.alarms}
    assert kinds >= set(AlarmKind) - {AlarmKind.FLAT}
    for alarm in state.alarms:
        words = alarm_words(alarm, UnitChoice(TemperatureUnit.FAHRENHEIT))
        assert words.sentence
        assert words.advice
        assert words.caution
        assert "nan" not in str(words)
        assert "°C" not in str(words)
    hot = next(a for a in state.alarms if a.kind is AlarmKind.TOO_HOT)
    # 525 °C is 977 °F; about 20 K are 36 °F.
    assert "(977 °F)" in alarm_words(hot, UnitChoice(TemperatureUnit.FAHRENHEIT)).sentence


@pytest.mark.parametrize(
    "change", [{"too_hot": 0.0}, {"rate_factor": 0.5}, {"hysteresis": 12.0}, {"flat_after": 1e9}]
)
def test_impossible_settings_are_refused(change):
    with pytest.raises(RunError) as caught:
        WatchSettings(**change)
    assert caught.value.field in change


def test_quiet_hours_need_two_times_and_a_known_zone():
    with pytest.raises(RunError):
        QuietHours(time(6), time(6))
    with pytest.raises(RunError):
        QuietHours(time(6), time(7), "Nowhere/Atlantis")


@pytest.mark.parametrize("seed", range(6))
def test_a_noisy_logger_is_not_taken_for_fast_cooling(plan, seed):
    time = plan.start.timestamp() + np.arange(0.0, 7.0 * 3600.0, 60.0)
    noise = np.random.default_rng(seed).normal(0.0, 1.5, time.size)
    assert look(plan, time, plan.temperature_at(time) + noise).alarms == ()


def test_news_between_two_looks(plan):
    time, temperature = night(plan)
    hot = (time >= time[0] + 3600) & (time < time[0] + 4500)
    temperature[hot] += 16.0
    middle, end = int(np.searchsorted(time, time[0] + 4000)), time.size
    first = look(plan, time[:middle], temperature[:middle])
    second = look(plan, time[:end], temperature[:end], silenced(first, plan.start))
    assert [one.kind for one in alarm_news(None, first).raised] == [AlarmKind.TOO_HOT]
    assert alarm_news(None, first).cleared == ()
    news = alarm_news(first, second)
    assert news.raised == ()
    assert [one.kind for one in news.cleared] == [AlarmKind.TOO_HOT]
    assert news.cleared[0].heard is not None
    whole = alarm_news(None, look(plan, time, temperature))
    assert len(whole.raised) == len(whole.cleared) == 1
