"""Lehrs, furnaces and pots given another name, or removed."""

from __future__ import annotations

from dataclasses import replace
from datetime import datetime

import pytest

from core.equipment.lehr import Lehr
from core.errors import BookError
from core.furnace.ledger import Charge, FurnaceReading, Pot
from core.store.book import Book, NoteSubject


@pytest.fixture
def furnace(book: Book) -> str:
    book.save_furnace("shore furnace")
    book.save_pot(Pot("left pot", "shore furnace", 60.0))
    return "shore furnace"


def test_a_renamed_lehr_keeps_its_notes(book: Book, lehr: Lehr, evening: datetime) -> None:
    book.save_lehr(lehr)
    book.add_note(NoteSubject.LEHR, lehr.name, evening, "new door seal")
    renamed = replace(lehr, name="quay lehr", thermocouple_offset=3.0)
    book.save_lehr(renamed, renamed_from=lehr.name)
    assert book.lehrs() == (renamed,)
    assert [note.text for note in book.notes(NoteSubject.LEHR, "quay lehr")] == ["new door seal"]


def test_a_name_in_use_is_refused_and_nothing_written(book: Book, lehr: Lehr) -> None:
    other = replace(lehr, name="quay lehr")
    book.save_lehr(lehr)
    book.save_lehr(other)
    with pytest.raises(BookError, match="another lehr") as caught:
        book.save_lehr(replace(other, name=lehr.name, ambient=300.0), renamed_from="quay lehr")
    assert caught.value.field == "name"
    assert set(book.lehrs()) == {lehr, other}
    with pytest.raises(BookError, match="no lehr"):
        book.save_lehr(replace(lehr, name="third"), renamed_from="never entered")


def test_a_renamed_furnace_keeps_pots_and_temperatures(
    book: Book, furnace: str, evening: datetime
) -> None:
    book.add_furnace_reading(FurnaceReading(evening, furnace, 1480.0))
    book.save_furnace("hill furnace", renamed_from=furnace)
    assert book.furnaces() == ("hill furnace",)
    assert book.pots() == (Pot("left pot", "hill furnace", 60.0),)
    assert book.furnace_readings("hill furnace")[0].temperature == 1480.0
    book.save_furnace("second")
    with pytest.raises(BookError, match="another furnace"):
        book.save_furnace("second", renamed_from="hill furnace")


def test_a_renamed_pot_keeps_its_charges(book: Book, furnace: str, evening: datetime) -> None:
    book.add_charge(Charge(evening, "left pot", "cullet", 20.0))
    book.save_pot(Pot("clear pot", furnace, 55.0), renamed_from="left pot")
    assert book.pots() == (Pot("clear pot", furnace, 55.0),)
    assert book.charges()[0].charge.pot == "clear pot"
    book.save_pot(Pot("right pot", furnace))
    with pytest.raises(BookError, match="another pot") as caught:
        book.save_pot(Pot("right pot", furnace), renamed_from="clear pot")
    assert caught.value.field == "name"


def test_a_furnace_goes_only_when_nothing_stands_on_it(
    book: Book, furnace: str, evening: datetime
) -> None:
    with pytest.raises(BookError, match="it has pots"):
        book.delete_furnace(furnace)
    book.delete_pot("left pot")
    book.add_furnace_reading(FurnaceReading(evening, furnace, 1480.0))
    with pytest.raises(BookError, match="written down"):
        book.delete_furnace(furnace)
    book.delete_furnace_reading(furnace, evening)
    book.delete_furnace(furnace)
    assert book.furnaces() == ()
    with pytest.raises(BookError, match="no furnace"):
        book.delete_furnace(furnace)
