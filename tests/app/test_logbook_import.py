"""Loggers' files taken into a run, as a person does it."""

from __future__ import annotations

import threading

import pytest
from logbook_nights import (
    SHIPPED,
    broken_file,
    clean_file,
    fahrenheit_file,
    last_night,
    shipped_night,
    two_channel_file,
    undated_file,
)
from PySide6.QtCore import QMimeData, QPointF, Qt, QUrl
from PySide6.QtGui import QDropEvent
from PySide6.QtWidgets import QFileDialog, QLabel

from app.logbook.page import LogBookPage
from core.run.log_format import Corrections, LogUnit
from core.units import ZERO_CELSIUS


@pytest.fixture
def night(book):
    return last_night(book)


@pytest.fixture
def page(qtbot, studio, night):
    made = LogBookPage(studio)
    qtbot.addWidget(made)
    made.resize(1000, 650)
    made.show()
    rest(qtbot, studio)
    return made


def rest(qtbot, studio):
    qtbot.waitUntil(lambda: not studio.jobs.is_busy(), timeout=5000)


def read(qtbot, studio, page, path):
    page.import_files([path])
    assert page.views.currentWidget() is page.importing
    rest(qtbot, studio)
    return page.importing


def take(qtbot, studio, page):
    assert page.importing.take.isEnabled()
    qtbot.mouseClick(page.importing.take, Qt.MouseButton.LeftButton)
    rest(qtbot, studio)
    assert page.views.currentWidget() is page.run_view


def test_a_clean_file_is_understood_shown_and_taken_in_whole(
    qtbot, studio, book, page, night, tmp_path
):
    panel = read(qtbot, studio, page, clean_file(night, tmp_path))
    log, count = panel.log, len(night.moments())
    assert panel.questions.fields == ()
    facts = dict(panel.preview.pairs)
    assert facts["Columns"] == "kept apart by semicolons"
    assert facts["Decimals"] == "marked by a comma"
    assert facts["Time"] == "column “Time”: year, month, day"
    assert facts["Temperature"] == "column “Chamber °C”, in °C"
    assert facts["Clock"] == "UTC"
    assert panel.preview.marked_columns == (
        "Time read as time",
        "Chamber °C read as temperature",
    )
    assert panel.preview.sample.rows_model.rows[0].line == 2
    assert panel.preview.all_good.isVisible()
    assert panel.take.text() == f"&Import all {count} rows"
    take(qtbot, studio, page)
    stored = book.readings(night.run.id)
    # What was shown is what is stored.
    assert stored.time.tolist() == pytest.approx(log.readings.time.tolist(), abs=1e-6)
    assert stored.temperature.tolist() == log.readings.temperature.tolist()
    assert f"{count} new readings" in page.banner.text
    assert page.run_view.against.figures.rows


def test_bad_rows_are_listed_by_line_and_column_and_the_good_ones_taken(
    qtbot, studio, book, page, night, tmp_path
):
    path, words = broken_file(night, tmp_path)
    panel = read(qtbot, studio, page, path)
    bad = panel.preview.problems.rows_model.rows
    assert [row.line for row in bad] == sorted(words)
    for row in bad:
        assert row.column == "Chamber °C"
        assert words[row.line] in row.message
    good = len(night.moments()) - 4
    assert panel.take.text() == f"&Import the {good} good rows"
    take(qtbot, studio, page)
    assert len(book.readings(night.run.id)) == good
    assert "4 bad rows left out" in page.banner.text


def test_fahrenheit_under_a_celsius_header_is_asked_about_not_guessed(
    qtbot, studio, book, page, night, tmp_path
):
    panel = read(qtbot, studio, page, fahrenheit_file(night, tmp_path))
    question = panel.questions.question("unit")
    assert "°F?" in question.words.text()
    assert not panel.take.isEnabled()
    assert panel.log.format.unit is LogUnit.CELSIUS
    question.choose("°F")
    rest(qtbot, studio)
    assert panel.log.format.unit is LogUnit.FAHRENHEIT
    take(qtbot, studio, page)
    stored = book.readings(night.run.id)
    expected = night.celsius(night.moments()) + ZERO_CELSIUS
    assert stored.temperature.tolist() == pytest.approx(expected.tolist(), abs=0.06)


def test_whoever_insists_on_celsius_gets_it(qtbot, studio, book, page, night, tmp_path):
    panel = read(qtbot, studio, page, fahrenheit_file(night, tmp_path))
    panel.questions.question("unit").choose("°C")
    rest(qtbot, studio)
    assert panel.take.isEnabled()
    assert panel.log.format.unit is LogUnit.CELSIUS


def test_of_two_channels_one_must_be_chosen(qtbot, studio, book, page, night, tmp_path):
    panel = read(qtbot, studio, page, two_channel_file(night, tmp_path))
    assert panel.questions.fields == ("temperature_column",)
    assert not panel.take.isEnabled()
    assert "open" in panel.state.text()
    panel.questions.question("temperature_column").choose("Lower °C")
    rest(qtbot, studio)
    assert panel.preview.marked_columns[1] == "Lower °C read as temperature"
    take(qtbot, studio, page)
    expected = night.celsius(night.moments()) + ZERO_CELSIUS
    stored = book.readings(night.run.id).temperature
    assert stored.tolist() == pytest.approx(expected.tolist(), abs=1e-6)


def test_a_file_without_dates_begins_with_the_run_unless_told_otherwise(
    qtbot, studio, book, page, night, tmp_path
):
    panel = read(qtbot, studio, page, undated_file(night, tmp_path))
    assert set(panel.questions.fields) == {"start", "unit"}
    start = panel.questions.question("start")
    assert start.moment == night.run.started_at
    panel.questions.question("unit").choose("°C")
    rest(qtbot, studio)
    assert panel.log.readings.time[0] == night.run.started_at.timestamp()
    later = night.run.started_at.timestamp() + 600
    start.clock.set_moment(type(night.run.started_at).fromtimestamp(later, night.plan.start.tzinfo))
    qtbot.waitUntil(lambda: panel.log.readings.time[0] == later, timeout=5000)
    rest(qtbot, studio)
    take(qtbot, studio, page)
    assert book.readings(night.run.id).time[0] == later


def test_cancel_leaves_nothing(qtbot, studio, book, page, night, tmp_path):
    panel = read(qtbot, studio, page, clean_file(night, tmp_path))
    qtbot.mouseClick(panel.cancel, Qt.MouseButton.LeftButton)
    assert page.views.currentWidget() is page.run_view
    assert len(book.readings(night.run.id)) == 0
    assert book.imports(night.run.id) == ()


def test_stopped_while_taking_in_says_that_nothing_was_kept(
    qtbot, studio, book, page, night, tmp_path, monkeypatch
):
    panel = read(qtbot, studio, page, clean_file(night, tmp_path))
    original, go_on = book.add_readings, threading.Event()

    def slow(*args, cancelled, **kwargs):
        go_on.wait(5)
        return original(*args, cancelled=cancelled, **kwargs)

    monkeypatch.setattr(book, "add_readings", slow)
    qtbot.mouseClick(panel.take, Qt.MouseButton.LeftButton)
    assert panel.is_busy
    qtbot.mouseClick(panel.cancel, Qt.MouseButton.LeftButton)
    go_on.set()
    rest(qtbot, studio)
    assert "nothing of it was kept" in panel.banner.text
    assert len(book.readings(night.run.id)) == 0
    assert panel.take.isEnabled()


def test_the_same_file_again_adds_nothing_and_says_so(qtbot, studio, book, page, night, tmp_path):
    path = clean_file(night, tmp_path)
    read(qtbot, studio, page, path)
    take(qtbot, studio, page)
    before = len(book.readings(night.run.id))
    panel = read(qtbot, studio, page, path)
    assert "taken in before" in panel.remarks.text()
    take(qtbot, studio, page)
    assert len(book.readings(night.run.id)) == before
    assert f"0 new readings, {before} were in the book already" in page.banner.text


def test_a_longer_file_of_the_same_night_adds_only_its_new_times(
    qtbot, studio, book, page, night, tmp_path
):
    path = clean_file(night, tmp_path)
    whole = path.read_text(encoding="utf-8").splitlines()
    path.write_text("\n".join(whole[:31]) + "\n", encoding="utf-8")
    read(qtbot, studio, page, path)
    take(qtbot, studio, page)
    path.write_text("\n".join(whole) + "\n", encoding="utf-8")
    read(qtbot, studio, page, path)
    take(qtbot, studio, page)
    assert f"{len(whole) - 31} new readings, 30 were in the book already" in page.banner.text


def test_what_is_shown_is_taken_in_even_if_the_file_changes_meanwhile(
    qtbot, studio, book, page, night, tmp_path
):
    path = two_channel_file(night, tmp_path)
    panel = read(qtbot, studio, page, path)
    path.write_text("gone", encoding="utf-8")
    panel.questions.question("temperature_column").choose("Upper °C")
    rest(qtbot, studio)
    take(qtbot, studio, page)
    assert len(book.readings(night.run.id)) == len(night.moments())


@pytest.mark.parametrize("content", [b"", b"hello", bytes(range(256)) * 20])
def test_a_file_that_is_no_log_is_explained_and_another_can_be_chosen(
    qtbot, studio, page, night, tmp_path, monkeypatch, content
):
    path = tmp_path / "no log.csv"
    path.write_bytes(content)
    panel = read(qtbot, studio, page, path)
    assert "no log.csv" in panel.banner.text
    assert not panel.take.isVisible()
    good = clean_file(night, tmp_path)
    monkeypatch.setattr(QFileDialog, "getOpenFileNames", lambda *_: ([str(good)], ""))
    qtbot.mouseClick(panel.another, Qt.MouseButton.LeftButton)
    rest(qtbot, studio)
    assert panel.banner.text == ""
    assert panel.take.isEnabled()


def test_a_log_of_another_night_is_cautioned_about(qtbot, studio, page, tmp_path):
    path = tmp_path / "another night.csv"
    path.write_text("Time,Temp °C\n2020-01-01 20:00,520\n2020-01-01 20:05,519\n", encoding="utf-8")
    panel = read(qtbot, studio, page, path)
    assert "No reading falls within the plan" in panel.banner.text
    assert "UTC" not in panel.banner.text  # in the hours of the wall clock here
    assert panel.take.isEnabled()


def test_names_from_a_file_are_never_taken_for_markup_or_shortcuts(
    qtbot, studio, page, night, tmp_path
):
    path = two_channel_file(night, tmp_path)
    text = path.read_text(encoding="utf-8").replace("Upper", "<b>R&D</b>")
    path.write_text(text, encoding="utf-8")
    panel = read(qtbot, studio, page, path)
    question = panel.questions.question("temperature_column")
    assert question.buttons[0].text() == "<b>R&&D</b> °C"
    question.choose("<b>R&D</b> °C")
    rest(qtbot, studio)
    value = panel.preview.facts.findChildren(QLabel)[3]
    assert value.textFormat() is Qt.TextFormat.PlainText
    assert value.text() == "column “<b>R&D</b> °C”, in °C"


def test_a_missing_file_is_explained(qtbot, studio, page, tmp_path):
    panel = read(qtbot, studio, page, tmp_path / "nowhere.csv")
    assert "cannot be read" in panel.banner.text


def test_a_file_dropped_on_the_page_is_read(qtbot, studio, page, night, tmp_path):
    mime = QMimeData()
    mime.setUrls([QUrl.fromLocalFile(str(clean_file(night, tmp_path)))])
    event = QDropEvent(
        QPointF(50, 50),
        Qt.DropAction.CopyAction,
        mime,
        Qt.MouseButton.LeftButton,
        Qt.KeyboardModifier.NoModifier,
    )
    page.dropEvent(event)
    rest(qtbot, studio)
    assert event.isAccepted()
    assert page.views.currentWidget() is page.importing
    assert page.importing.log is not None


def test_a_file_dropped_on_the_list_goes_to_the_selected_run(qtbot, studio, page, night, tmp_path):
    page.show_runs()
    page.import_files([clean_file(night, tmp_path)])
    rest(qtbot, studio)
    qtbot.waitUntil(lambda: page.importing.log is not None, timeout=5000)
    assert night.run.load_name in page.importing.belongs.text()


# -- the shipped logs -----------------------------------------------------------------------


@pytest.mark.parametrize(
    ("name", "asked", "answer", "bad"),
    [
        ("decanters_clean.csv", (), {}, False),
        ("decanters_noisy.csv", (), {}, False),
        ("decanters_power_cut.csv", (), {}, False),
        ("decanters_fahrenheit.csv", ("unit",), {"unit": "°F"}, False),
        (
            "decanters_two_channels.txt",
            ("temperature_column",),
            {"temperature_column": "Chamber °C"},
            False,
        ),
        ("decanters_broken_thermocouple.csv", (), {}, True),
    ],
)
def test_every_shipped_log_can_be_taken_in(qtbot, studio, book, page, name, asked, answer, bad):
    night = shipped_night(book)
    page.open_run(night.run.id)
    rest(qtbot, studio)
    panel = read(qtbot, studio, page, SHIPPED / name)
    assert panel.questions.fields == asked
    assert panel.take.isEnabled() is not bool(asked)
    for field, label in answer.items():
        panel.questions.question(field).choose(label)
        rest(qtbot, studio)
    assert bool(panel.log.problems) is bad
    assert panel.preview.problems.isVisible() is bad
    count = len(panel.log.readings)
    take(qtbot, studio, page)
    assert len(book.readings(night.run.id)) == count
    # Each was logged in the lehr this plan was made for.
    assert page.run_view.against.figures.rows
    assert abs(page.run_view.sheet.comparison.mean_deviation) < 25


# -- several files, memory, corrections ------------------------------------------------------


def split_file(night, folder, parts=3):
    """The night in several files of a daily logger."""
    whole = clean_file(night, folder).read_text(encoding="utf-8").splitlines()
    head, rows = whole[0], whole[1:]
    size = -(-len(rows) // parts)
    paths = []
    for number in range(parts):
        path = folder / f"part {number + 1}.csv"
        lines = [head, *rows[number * size : (number + 1) * size]]
        path.write_text("\n".join(lines) + "\n", encoding="utf-8")
        paths.append(path)
    return paths


def test_many_files_are_taken_in_one_after_the_other(qtbot, studio, book, page, night, tmp_path):
    paths = split_file(night, tmp_path)
    page.import_files([*paths, paths[0]])  # one named twice is read once
    rest(qtbot, studio)
    panel = page.importing
    assert "file 1 of 3" in panel.title.text()
    qtbot.mouseClick(panel.take, Qt.MouseButton.LeftButton)
    qtbot.waitUntil(lambda: "file 2 of 3" in panel.title.text())
    rest(qtbot, studio)
    assert page.views.currentWidget() is panel
    qtbot.mouseClick(panel.take_rest, Qt.MouseButton.LeftButton)
    qtbot.waitUntil(lambda: page.views.currentWidget() is page.run_view, timeout=8000)
    rest(qtbot, studio)
    count = len(night.moments())
    assert len(book.readings(night.run.id)) == count
    assert f"3 files: {count} new readings" in page.banner.text


def test_the_rest_stops_at_the_first_file_with_a_question(
    qtbot, studio, book, page, night, tmp_path
):
    paths = split_file(night, tmp_path)
    wrong = tmp_path / "no log.csv"
    wrong.write_text("hello", encoding="utf-8")
    doubtful = two_channel_file(night, tmp_path)
    page.import_files([paths[0], wrong, doubtful, paths[1]])
    rest(qtbot, studio)
    panel = page.importing
    qtbot.mouseClick(panel.take_rest, Qt.MouseButton.LeftButton)
    qtbot.waitUntil(lambda: "file 3 of 4" in panel.title.text(), timeout=8000)
    rest(qtbot, studio)
    assert panel.questions.open_count == 1
    assert not panel.take.isEnabled()
    qtbot.mouseClick(panel.skip, Qt.MouseButton.LeftButton)
    qtbot.waitUntil(lambda: page.views.currentWidget() is page.run_view, timeout=8000)
    assert "2 files" in page.banner.text
    assert "“no log.csv” was left out" in page.banner.text
    assert len(book.imports(night.run.id)) == 2


def test_answers_are_remembered_by_the_pattern_of_the_name(
    qtbot, studio, book, page, night, tmp_path
):
    first = two_channel_file(night, tmp_path).rename(tmp_path / "lehr 2026-03-01.csv")
    panel = read(qtbot, studio, page, first)
    panel.questions.question("temperature_column").choose("Lower °C")
    rest(qtbot, studio)
    take(qtbot, studio, page)
    assert book.log_formats()[0].pattern == "lehr *.csv"
    second = tmp_path / "lehr 2026-03-02.csv"
    second.write_bytes(first.read_bytes())
    panel = read(qtbot, studio, page, second)
    assert panel.questions.fields == ()
    assert "before: temperature column" in panel.remarks.text()
    assert panel.log.format.column_name(panel.log.format.temperature_column) == "Lower °C"


def test_a_wrong_guess_is_set_right(qtbot, studio, book, page, night, tmp_path):
    panel = read(qtbot, studio, page, two_channel_file(night, tmp_path))
    panel.correct.open()
    names = [panel.corrections.column.itemText(n) for n in range(panel.corrections.column.count())]
    assert names[0].startswith("As found")
    assert [name.split(" (")[0] for name in names[1:]] == ["Upper °C", "Lower °C"]
    lower = night.celsius(night.moments())
    panel.corrections.column.set_value(2)
    rest(qtbot, studio)
    assert panel.log.readings.temperature[0] == pytest.approx(ZERO_CELSIUS + lower[0])
    panel.corrections.unit.set_value(LogUnit.FAHRENHEIT)
    rest(qtbot, studio)
    expected = ZERO_CELSIUS + (lower[0] - 32.0) / 1.8
    assert panel.log.readings.temperature[0] == pytest.approx(expected)
    # Another file begins with nothing set right.
    panel = read(qtbot, studio, page, clean_file(night, tmp_path))
    assert panel.corrections.corrections == Corrections()
