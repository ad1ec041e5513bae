"""What the report of a run says, before anything is placed on paper."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from datetime import timedelta, tzinfo

from app.card.card_words import piece_table
from app.card.sheet import Row, Title
from app.local_time import to_local, weekday_clock
from app.logbook.night_story import story_of
from app.logbook.run_sheet import RunSheet
from app.logbook.run_words import count_words, plan_facts, run_facts
from app.widgets.quantity import local_sentence
from core.plan.card import card_of
from core.run.comparison_words import comparison_rows, gap_sentences, segment_rows
from core.units import UnitChoice
from core.verdict.verdict import PieceVerdict, RunVerdict, Standing
from core.verdict.verdict_words import (
    VERDICT_CAUTIONS,
    advice_sentences,
    cause_sentence,
    doubt_sentences,
    run_sentences,
    verdict_sentence,
)

_LONG_AGO = 40
"""Days before a run, from where its days are called by their date."""


@dataclass(frozen=True)
class Table:
    """A table with its titles."""

    titles: tuple[Title, ...]
    rows: tuple[Row, ...]


@dataclass(frozen=True)
class PieceWords:
    """The verdict on a piece: a line in bold, and sentences below."""

    verdict: str
    sentences: tuple[str, ...]
    good: bool


@dataclass(frozen=True)
class ReportWords:
    """Everything on the report but its curve.

    Attributes
    ----------
    title : str
    facts : tuple of str
    pieces : tuple of PieceWords
    remarks : tuple of str
        On the log: gaps, warnings, what the verdict rests on.
    figures, segments, loaded, story : Table
    cautions : tuple of str
    """

    title: str
    facts: tuple[str, ...]
    pieces: tuple[PieceWords, ...]
    remarks: tuple[str, ...]
    figures: Table
    segments: Table
    loaded: Table
    story: Table
    cautions: tuple[str, ...]


def report_words(
    sheet: RunSheet,
    verdict: RunVerdict | None,
    no_verdict: str,
    units: UnitChoice,
    zone: tzinfo | None,
) -> ReportWords:
    """Put a run into the words of its report.

    Parameters
    ----------
    sheet : RunSheet
    verdict : RunVerdict or None
    no_verdict : str
        Why there is none.
    units, zone
        How numbers and times are written.
    """
    run = sheet.run
    remarks: list[str] = [] if verdict is not None else [no_verdict]
    if verdict is not None:
        remarks.extend(run_sentences(verdict, zone))
    if sheet.comparison is not None:
        if verdict is None or not verdict.gaps:
            remarks.extend(gap_sentences(sheet.comparison, zone))
        remarks.extend(sheet.comparison.warnings)
    # On paper "yesterday" would soon be wrong.
    long_ago = run.started_at - timedelta(days=_LONG_AGO)
    facts = [
        f"{run_facts(run, zone, long_ago)} · {to_local(run.started_at, zone):%Y}",
        plan_facts(sheet.plan, zone),
    ]
    facts.extend(
        f"Readings from “{record.file_name}”: {count_words(record.added, 'reading', 'readings')}"
        for record in sheet.imports
        if record.added
    )
    return ReportWords(
        title=run.load_name,
        facts=tuple(facts),
        pieces=tuple(_piece(found, units, zone) for found in verdict.pieces) if verdict else (),
        remarks=tuple(dict.fromkeys(_local(remarks))),
        figures=_figures(sheet, units, zone),
        segments=_segments(sheet, units, zone),
        loaded=_loaded(sheet, units, zone),
        story=_story(sheet, units, zone),
        cautions=tuple(_local(VERDICT_CAUTIONS)),
    )


def _local(sentences: Iterable[str]) -> Iterable[str]:
    return (local_sentence(text) for text in sentences if text)


def _piece(found: PieceVerdict, units: UnitChoice, zone: tzinfo | None) -> PieceWords:
    sentences = (
        cause_sentence(found.cause, units, zone),
        *advice_sentences(found),
        *doubt_sentences(found, units),
    )
    name = "" if found.count == 1 else f"{found.count} × "
    return PieceWords(
        f"{name}{local_sentence(verdict_sentence(found))}",
        tuple(_local(sentences)),
        found.standing is Standing.ANNEALED,
    )


def _figures(sheet: RunSheet, units: UnitChoice, zone: tzinfo | None) -> Table:
    titles = (Title("", gives=1.0), Title("Actual", right=True), Title("Planned", right=True))
    if sheet.comparison is None:
        return Table(titles, ())
    rows = comparison_rows(sheet.comparison, units.temperature, zone)
    return Table(titles, tuple(_row(row) for row in rows))


def _segments(sheet: RunSheet, units: UnitChoice, zone: tzinfo | None) -> Table:
    if sheet.comparison is None:
        return Table((), ())
    head, *rows = segment_rows(sheet.comparison, units.temperature, zone)
    titles = tuple(
        Title(text[:1].upper() + text[1:], right=place > 0, gives=1.0 if place == 0 else 0.0)
        for place, text in enumerate(head)
    )
    return Table(titles, tuple(_row(row) for row in rows))


def _loaded(sheet: RunSheet, units: UnitChoice, zone: tzinfo | None) -> Table:
    titles, rows = piece_table(card_of(sheet.plan, sheet.load, zone), units)
    return Table(tuple(titles), tuple(rows))


def _story(sheet: RunSheet, units: UnitChoice, zone: tzinfo | None) -> Table:
    titles = (Title("Time"), Title("What"), Title("Words", gives=1.0))
    rows = tuple(
        Row((weekday_clock(line.time, zone), line.what, line.words), bold=line.bad)
        for line in story_of(sheet, units)
    )
    return Table(titles, rows)


def _row(cells: Iterable[str]) -> Row:
    return Row(tuple(_minus(local_sentence(f"{cell[:1].upper()}{cell[1:]}")) for cell in cells))


def _minus(text: str) -> str:
    return text.replace("-", "−") if text[:1] == "-" and text[1:2].isdigit() else text
