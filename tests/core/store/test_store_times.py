"""The column type for times, by itself."""

from __future__ import annotations

from datetime import UTC, datetime, timedelta, timezone

import pytest
from hypothesis import given
from hypothesis import strategies as st
from sqlalchemy import Column, Integer, MetaData, Table, create_engine, insert, select
from sqlalchemy.exc import StatementError

from core.errors import BookError
from core.store.base import UtcDateTime, as_utc

table = Table("t", MetaData(), Column("id", Integer, primary_key=True), Column("at", UtcDateTime))
zones = st.integers(-23 * 60, 23 * 60).map(lambda m: timezone(timedelta(minutes=m)))


@given(st.datetimes(datetime(2, 1, 1), datetime(9998, 1, 1), timezones=zones))  # noqa: DTZ001
def test_an_instant_comes_back_exactly_in_utc(moment: datetime) -> None:
    kind = UtcDateTime()
    dialect = create_engine("sqlite://").dialect
    stored = kind.process_bind_param(moment, dialect)
    assert isinstance(stored, int)
    found = kind.process_result_value(stored, dialect)
    assert found == moment
    assert found is not None
    assert found.tzinfo is UTC


def test_no_time_stays_no_time() -> None:
    dialect = create_engine("sqlite://").dialect
    assert UtcDateTime().process_bind_param(None, dialect) is None
    assert UtcDateTime().process_result_value(None, dialect) is None


def test_a_time_without_zone_never_reaches_the_file() -> None:
    engine = create_engine("sqlite://")
    table.create(engine)
    naive = datetime(2026, 3, 14, 21, 30)  # noqa: DTZ001 - the point of the test
    with engine.begin() as connection:
        with pytest.raises(StatementError) as caught:
            connection.execute(insert(table).values(at=naive))
        assert isinstance(caught.value.orig, BookError)
        with pytest.raises(StatementError):
            connection.execute(select(table).where(table.c.at > naive))
        assert connection.execute(select(table)).all() == []
    engine.dispose()
    with pytest.raises(BookError) as refused:
        as_utc(naive, "out_by")
    assert refused.value.field == "out_by"


@pytest.mark.parametrize(
    "moment",
    [
        datetime(1, 1, 1, tzinfo=timezone(timedelta(hours=14))),
        datetime(9999, 12, 31, 23, tzinfo=timezone(timedelta(hours=-14))),
    ],
)
def test_a_time_off_the_calendar_is_a_plain_error(moment: datetime) -> None:
    with pytest.raises(BookError, match="calendar") as caught:
        as_utc(moment, "started_at")
    assert caught.value.field == "started_at"
