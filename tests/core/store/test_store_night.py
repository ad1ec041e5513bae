"""Events, outcomes, formats, sources, alarms, fits and the search through all of them."""

from __future__ import annotations

from dataclasses import replace
from datetime import datetime, timedelta

import numpy as np
import pytest

from core.equipment.lehr import Lehr
from core.errors import BookError, RunError
from core.furnace.ledger import Charge, FurnaceReading, Pot
from core.load.gathering import Gathering
from core.load.load import Load
from core.melt.fitted import Fitted
from core.run.equipment_fit import EquipmentFit
from core.run.file_pattern import best_pattern, file_pattern, matches
from core.run.live_source import EquipmentKind, LiveSource, SourceKind
from core.run.log_format import LogFormat, LogUnit
from core.run.log_times import DateOrder
from core.run.readings import Readings
from core.run.run_event import EventKind, Outcome, OutcomeKind, RunEvent
from core.store.book import Book, HitKind, NoteSubject

HOUR = timedelta(hours=1)


def test_events_are_kept_in_order_and_corrected(book: Book, run_id: int, evening: datetime) -> None:
    shut = RunEvent(evening + HOUR, EventKind.DOOR_CLOSED)
    opened = RunEvent(evening, EventKind.DOOR_OPEN, "to look", "decanter", ("a b/ü.jpg", "c.png"))
    book.add_run_event(run_id, shut)
    record = book.add_run_event(run_id, opened)
    assert [r.event for r in book.run_events(run_id)] == [opened, shut]
    cut = RunEvent(evening + 2 * HOUR, EventKind.POWER_CUT)
    assert book.change_run_event(record.id, cut).event == cut
    assert [r.event for r in book.run_events(run_id)] == [shut, cut]
    book.delete_run_event(record.id)
    assert [r.event for r in book.run_events(run_id)] == [shut]
    with pytest.raises(BookError, match="no event"):
        book.delete_run_event(record.id)
    with pytest.raises(BookError, match="no run"):
        book.add_run_event(99, cut)


def test_outcomes_are_kept_over_all_runs(
    book: Book, run_id: int, plan_id: int, evening: datetime
) -> None:
    strained = Outcome(
        "decanter", evening + 20 * HOUR, OutcomeKind.STRAIN_SEEN, 2, 35e-9, 0.022, "2", "rim"
    )
    sound = Outcome("deck prism", evening + 20 * HOUR, OutcomeKind.SOUND, photos=("p.jpg",))
    later = book.start_run(plan_id, evening + 24 * HOUR).id
    record = book.add_outcome(later, sound)
    book.add_outcome(run_id, strained)
    assert [r.outcome for r in book.outcomes()] == [strained, sound]
    assert [r.outcome for r in book.outcomes(later)] == [sound]
    cracked = replace(sound, kind=OutcomeKind.CRACKED, count=1)
    assert book.change_outcome(record.id, cracked).outcome == cracked
    book.delete_outcome(record.id)
    assert book.outcomes(later) == ()
    book.delete_run(run_id)
    assert book.outcomes() == ()


def test_retardation_over_the_path_of_the_light() -> None:
    # 40 nm over 50 mm are 8 nm/cm.
    seen = Outcome("prism", datetime.now().astimezone(), OutcomeKind.STRAIN_SEEN, 1, 40e-9, 0.05)
    assert seen.retardation_per_length == pytest.approx(8e-7)
    assert replace(seen, light_path=None).retardation_per_length is None


@pytest.mark.parametrize(
    ("changes", "field"),
    [
        ({"piece": " "}, "piece"),
        ({"count": 0}, "count"),
        ({"retardation": float("nan")}, "retardation"),
        ({"retardation": -1e-9}, "retardation"),
        ({"light_path": 0.0}, "light_path"),
        ({"photos": ("",)}, "photos"),
        ({"found_at": datetime(2026, 3, 1)}, "found_at"),  # noqa: DTZ001 - the point of it
    ],
)
def test_an_impossible_outcome_is_refused(changes: dict[str, object], field: str) -> None:
    right = Outcome("prism", datetime.now().astimezone(), OutcomeKind.SOUND)
    with pytest.raises(RunError) as caught:
        replace(right, **changes)  # type: ignore[arg-type]
    assert caught.value.field == field


def test_a_format_is_found_by_the_files_name(book: Book) -> None:
    shore = LogFormat("cp1252", ";", ",", 3, unit=LogUnit.FAHRENHEIT, date_order=DateOrder.DMY)
    own = LogFormat(header_lines=0, time_columns=(0, 1), temperature_column=2)
    book.remember_log_format(file_pattern("shore lehr 2026-03-14.csv"), shore)
    book.remember_log_format("*.csv", own)
    found = book.log_format_for("Shore Lehr 2026-04-01.CSV")
    assert found is not None
    assert (found.format, found.pattern) == (shore, "shore lehr *.csv")
    other = book.log_format_for("net loft.csv")
    assert other is not None
    assert other.format == own
    assert book.log_format_for("net loft.txt") is None
    book.remember_log_format("*.csv", shore)
    assert {record.format for record in book.log_formats()} == {shore}
    book.forget_log_format("*.csv")
    assert book.log_format_for("net loft.csv") is None
    for wrong in (
        lambda: book.forget_log_format("*.csv"),
        lambda: book.remember_log_format("**", own),
    ):
        with pytest.raises(BookError):
            wrong()


@pytest.mark.parametrize(
    ("name", "pattern"),
    [
        ("lehr 2026-03-14 2130.csv", "lehr *.csv"),
        ("night.txt", "night.txt"),
        ("LOG00017.CSV", "LOG*.CSV"),
        ("lehr [1] 2026.csv", "lehr [[]*[]] *.csv"),
    ],
)
def test_what_varies_in_a_name_is_a_star(name: str, pattern: str) -> None:
    assert file_pattern(name) == pattern
    assert matches(name, pattern)


def test_the_pattern_that_says_most_wins() -> None:
    assert best_pattern("a1b.csv", ["*.csv", "a*b.csv", "a*.csv"]) == "a*b.csv"
    assert best_pattern("c.txt", ["*.csv"]) is None


def test_sources_are_kept_renamed_and_go_with_their_lehr(book: Book, lehr: Lehr) -> None:
    book.save_lehr(lehr)
    book.save_furnace(lehr.name)  # a furnace may have a lehr's name
    settings = {"path": "C:/log/ü.csv", "every": 0.5, "port": 502, "swap": True, "unit": None}
    source = LiveSource("thermocouple", lehr.name, SourceKind.FILE, settings)
    hot = LiveSource(
        "melt", lehr.name, SourceKind.MODBUS_SERIAL, equipment_kind=EquipmentKind.FURNACE
    )
    book.save_live_source(source)
    book.save_live_source(hot)
    assert [record.source for record in book.live_sources()] == [hot, source]
    renamed = replace(source, name="lehr logger", kind=SourceKind.MODBUS_TCP)
    book.save_live_source(renamed, renamed_from="thermocouple")
    assert [record.source for record in book.live_sources()] == [renamed, hot]
    for wrong in (
        lambda: book.save_live_source(replace(hot, name="lehr logger"), renamed_from="melt"),
        lambda: book.save_live_source(replace(hot, equipment="no such")),
        lambda: book.save_live_source(replace(hot, settings={"scale": float("nan")})),
        lambda: book.delete_live_source("thermocouple"),
    ):
        with pytest.raises(BookError):
            wrong()
    book.delete_lehr(lehr.name)
    assert [record.source for record in book.live_sources()] == [hot]


def test_an_alarm_is_raised_seen_and_over(book: Book, run_id: int, evening: datetime) -> None:
    cold = book.raise_alarm(run_id, "too cold", evening, "20 °C below the plan", -20.0)
    book.raise_alarm(run_id, "reading stale", evening + HOUR, "No reading for 10 min")
    assert [alarm.is_open for alarm in book.alarms(run_id)] == [True, True]
    book.acknowledge_alarm(cold.id, evening + HOUR)
    book.acknowledge_alarm(cold.id, evening + 2 * HOUR)
    with pytest.raises(RunError, match="before it was raised"):
        book.clear_alarm(cold.id, evening - HOUR)
    book.clear_alarm(cold.id, evening + 3 * HOUR)
    seen, stale = book.alarms()
    assert (seen.acknowledged_at, seen.cleared_at) == (evening + HOUR, evening + 3 * HOUR)
    assert (stale.value, stale.acknowledged_at) == (None, None)


def test_fits_make_a_trend(book: Book, run_id: int, lehr: Lehr, evening: datetime) -> None:
    def fit(tau: float, after: int, run: int | None = None) -> EquipmentFit:
        return EquipmentFit(
            lehr.name,
            EquipmentKind.LEHR,
            evening + after * HOUR,
            (Fitted("time constant", tau, 0.9 * tau, 1.1 * tau, True),),
            0.7,
            run,
            ("Nothing was charged.",),
        )

    book.add_fit(fit(4.0, 48))
    book.add_fit(fit(5.0, 24, run_id))
    book.add_fit(fit(4.5, 24, run_id))  # fitted anew
    found = book.fits(lehr.name)
    assert [record.fit for record in found] == [fit(4.5, 24, run_id), fit(4.0, 48)]
    book.save_lehr(replace(lehr, name="pier lehr"), renamed_from=lehr.name)
    book.delete_run(run_id)
    kept = [record.fit for record in book.fits("pier lehr")]
    assert [(one.equipment, one.run_id) for one in kept] == [("pier lehr", None)] * 2
    book.delete_fit(found[0].id)
    assert len(book.fits("pier lehr")) == 1


def test_what_pieces_were_gathered_from_is_kept(book: Book, load: Load, evening: datetime) -> None:
    gathered = {"decanter": Gathering("left", evening - HOUR)}
    number = book.save_load(replace(load, gathered=gathered))
    assert book.load(number).gathered == gathered


def test_live_readings_told_twice_count_once(book: Book, run_id: int, evening: datetime) -> None:
    times = evening.timestamp() + 60.0 * np.arange(5)
    readings = Readings(times, np.linspace(800.0, 804.0, 5))
    assert book.log_readings(run_id, readings, "register").added == 5
    again = Readings(times + 60.0, np.full(5, 700.0))
    outcome = book.log_readings(run_id, again, "register")
    assert (outcome.added, outcome.skipped) == (1, 4)
    kept = book.readings(run_id)
    assert kept.temperature.tolist() == [800.0, 801.0, 802.0, 803.0, 804.0, 700.0]
    late = book.readings(run_id, since=evening + timedelta(minutes=3))
    assert late.time.tolist() == [times[4], times[4] + 60.0]
    with pytest.raises(RunError, match="not possible"):
        book.log_readings(run_id, Readings(times[:1] + 9, np.array([1e4])), "register")
    assert book.log_readings(run_id, Readings(times[:0], times[:0]), "register").added == 0


def test_everything_written_is_found(
    book: Book, run_id: int, load: Load, evening: datetime
) -> None:
    book.save_furnace("Shore furnace")
    book.save_pot(Pot("left", "Shore furnace"))
    book.add_charge(Charge(evening, "left", "batch", 3.0, "Straße wet"))
    book.add_furnace_reading(FurnaceReading(evening, "Shore furnace", 1400.0, "after the wet one"))
    book.add_run_event(run_id, RunEvent(evening, EventKind.DOOR_OPEN, "wet hands"))
    book.add_outcome(run_id, Outcome("decanter", evening, OutcomeKind.CRACKED, text="wet iron?"))
    book.add_note(NoteSubject.RUN, run_id, evening + HOUR, "Not a wet night.")
    book.add_note(NoteSubject.POT, "left", evening, "wetted")
    book.raise_alarm(run_id, "too cold", evening, "wet thermocouple")
    book.set_run_note(run_id, "wet wood")
    found = book.search("WET")
    assert {hit.kind for hit in found} == {
        HitKind.CHARGE,
        HitKind.FURNACE_READING,
        HitKind.EVENT,
        HitKind.OUTCOME,
        HitKind.NOTE,
        HitKind.ALARM,
        HitKind.RUN,
    }
    assert found[0].text == "Not a wet night."
    assert all(hit.time.utcoffset() == timedelta(0) for hit in found)
    (cracked,) = book.search("cracked decanter")
    assert (cracked.kind, cracked.run_id, cracked.subject) == (
        HitKind.OUTCOME,
        run_id,
        load.name,
    )
    assert [hit.kind for hit in book.search("strasse")] == [HitKind.CHARGE]
    (prisms,) = book.search("deck prism")
    assert (prisms.kind, prisms.run_id) == (HitKind.LOAD, run_id)
    assert book.search("  ") == ()
    assert book.search("wet dry") == ()
    assert len(book.search("wet", limit=2)) == 2
