"""A furnace's description in the book, as a melt file."""

from dataclasses import replace
from pathlib import Path

import pytest

from core.errors import BookError, LoadError
from core.melt.melt_file import read_melt
from core.store.book import Book

TASK = read_melt(Path(__file__).parents[3] / "demo_data" / "quay_pot_overnight.toml")


@pytest.fixture
def book(tmp_path):
    with Book.open(tmp_path / "b.sqlite") as opened:
        opened.save_furnace("Quay furnace")
        yield opened


def test_it_is_kept_and_comes_back_the_same(book):
    assert book.furnace_melt("Quay furnace") is None
    book.save_furnace_melt("Quay furnace", TASK)
    # Numbers of a melt file have twelve figures, so that once through it is a fixed point.
    once = book.furnace_melt("Quay furnace")
    book.save_furnace_melt("Quay furnace", once)
    assert book.furnace_melt("Quay furnace") == once
    assert once.furnace.sections == TASK.furnace.sections
    assert (once.fill, once.workable_by) == (TASK.fill, TASK.workable_by)
    book.save_furnace("Harbour furnace", renamed_from="Quay furnace")
    assert book.furnace_melt("Harbour furnace") == once
    book.save_furnace_melt("Harbour furnace", None)
    assert book.furnace_melt("Harbour furnace") is None


def test_no_such_furnace(book):
    with pytest.raises(BookError):
        book.save_furnace_melt("nowhere", TASK)
    with pytest.raises(BookError):
        book.furnace_melt("nowhere")


def test_a_zone_without_a_name_writes_nothing(book):
    book.save_furnace_melt("Quay furnace", TASK)
    with pytest.raises(LoadError):
        book.save_furnace_melt("Quay furnace", replace(TASK, timezone="Nowhere/Atall"))
    assert book.furnace_melt("Quay furnace").timezone == TASK.timezone
