"""Glasses keep what they were: versions, renaming, and which version a plan was reckoned with."""

from __future__ import annotations

from dataclasses import replace
from datetime import datetime, timedelta
from pathlib import Path

import pytest

from core.composition.parse import parse_composition
from core.errors import BookError
from core.glass.glass import Glass
from core.load.load import Load
from core.plan.plan import Plan
from core.store.book import Book, GlassUse, NoteSubject


@pytest.fixture
def remelted(glass: Glass) -> Glass:
    return replace(glass, composition=parse_composition("SiO2 71, Na2O 17 ± 0.3, CaO 11, MnO <0.1"))


def test_each_change_makes_a_version_with_its_time(
    book: Book, glass: Glass, remelted: Glass, evening: datetime
) -> None:
    first = book.save_glass(glass, saved_at=evening)
    second = book.save_glass(remelted, saved_at=evening + timedelta(days=3))
    assert (first.number, second.number) == (1, 2)
    assert book.glasses() == (remelted,)
    versions = book.glass_versions(glass.name)
    assert versions == (first, second)
    assert [v.glass for v in versions] == [glass, remelted]
    assert [v.saved_at for v in versions] == [evening, evening + timedelta(days=3)]
    assert book.glass_version(glass.name, 1).glass == glass


def test_saving_a_glass_as_it_stands_makes_no_version(
    book: Book, glass: Glass, evening: datetime
) -> None:
    first = book.save_glass(glass, saved_at=evening)
    assert book.save_glass(glass) == first
    assert len(book.glass_versions(glass.name)) == 1


def test_going_back_is_a_version_of_its_own(book: Book, glass: Glass, remelted: Glass) -> None:
    for each in (glass, remelted, glass):
        book.save_glass(each)
    assert [v.glass for v in book.glass_versions(glass.name)] == [glass, remelted, glass]


def test_the_errors_of_an_old_version_come_back(book: Book, glass: Glass, remelted: Glass) -> None:
    book.save_glass(remelted)
    book.save_glass(glass)
    old = book.glass_version(glass.name, 1).glass.composition
    assert old is not None
    assert remelted.composition is not None
    assert old.uncertainty == remelted.composition.uncertainty
    assert old.notes == remelted.composition.notes


def test_a_new_name_is_the_same_glass(
    book: Book, glass: Glass, load: Load, evening: datetime
) -> None:
    book.save_glass(glass, saved_at=evening)
    book.add_note(NoteSubject.GLASS, glass.name, evening, "cords in the last gather")
    load_id = book.save_load(load)
    renamed = replace(glass, name="quay clear, soft")
    version = book.save_glass(renamed, renamed_from=glass.name)
    assert version.number == 1
    assert book.glasses() == (renamed,)
    assert len(book.notes(NoteSubject.GLASS, renamed.name)) == 1
    (kept,) = book.glass_versions(renamed.name)
    assert (kept.name, kept.glass.name) == ("quay clear, soft", "quay clear")
    assert book.glasses_of_load(load_id) == (GlassUse("quay clear", "quay clear, soft", 1, 1),)


def test_a_new_name_with_a_change_is_a_version(book: Book, glass: Glass, remelted: Glass) -> None:
    book.save_glass(glass)
    renamed = replace(remelted, name="quay clear, soft")
    assert book.save_glass(renamed, renamed_from=glass.name).number == 2
    assert book.glasses() == (renamed,)
    with pytest.raises(BookError, match="no glass"):
        book.glass_versions(glass.name)


def test_a_name_in_use_is_refused_and_nothing_written(
    book: Book, glass: Glass, remelted: Glass
) -> None:
    other = replace(glass, name="bottle green")
    book.save_glass(glass)
    book.save_glass(other)
    with pytest.raises(BookError, match="another glass") as caught:
        book.save_glass(replace(remelted, name=other.name), renamed_from=glass.name)
    assert caught.value.field == "name"
    assert set(book.glasses()) == {glass, other}
    with pytest.raises(BookError, match="no glass"):
        book.save_glass(replace(glass, name="third"), renamed_from="never entered")
    with pytest.raises(BookError, match="no glass"):
        book.save_glass(replace(glass, name="fourth"), renamed_from="fourth")
    assert set(book.glasses()) == {glass, other}


def test_a_plan_tells_which_version_it_was_reckoned_with(
    book: Book, glass: Glass, remelted: Glass, load: Load, plan: Plan
) -> None:
    book.save_glass(glass)
    before = book.save_plan(plan, book.save_load(load))
    assert book.glasses_of_plan(before) == (GlassUse(glass.name, glass.name, 1, 1),)
    book.save_glass(remelted)
    after = book.save_plan(plan, book.save_load(replace(load, glasses={glass.name: remelted})))
    (old,) = book.glasses_of_plan(before)
    (new,) = book.glasses_of_plan(after)
    assert (old.version, old.latest, old.is_current) == (1, 2, False)
    assert (new.version, new.latest, new.is_current) == (2, 2, True)


def test_a_note_alone_does_not_part_a_load_from_its_glass(
    book: Book, glass: Glass, load: Load
) -> None:
    book.save_glass(replace(glass, note="a later remark"))
    (use,) = book.glasses_of_load(book.save_load(load))
    assert use.version == 1


def test_a_glass_changed_in_the_load_alone_is_no_version(
    book: Book, glass: Glass, remelted: Glass, load: Load
) -> None:
    book.save_glass(glass)
    (use,) = book.glasses_of_load(book.save_load(replace(load, glasses={glass.name: remelted})))
    assert (use.name, use.version) == (glass.name, None)
    assert not use.is_current


def test_a_glass_of_the_library_or_a_removed_one_has_no_version(
    book: Book, glass: Glass, load: Load
) -> None:
    load_id = book.save_load(load)
    assert book.glasses_of_load(load_id) == (GlassUse(glass.name, None, None, None),)
    book.save_glass(glass)
    load_id = book.save_load(load)
    book.delete_glass(glass.name)
    assert book.glasses_of_load(load_id) == (GlassUse(glass.name, None, None, None),)
    assert book.load(load_id).glasses[glass.name] == glass


def test_what_is_not_there_is_said(book: Book, glass: Glass) -> None:
    book.save_glass(glass)
    with pytest.raises(BookError, match="no version 7 of “quay clear”"):
        book.glass_version(glass.name, 7)
    with pytest.raises(BookError, match="no plan"):
        book.glasses_of_plan(99)
    with pytest.raises(BookError, match="no load"):
        book.glasses_of_load(99)
    with pytest.raises(BookError, match="time zone"):
        book.save_glass(glass, saved_at=datetime(2026, 3, 1, 12))  # noqa: DTZ001


def test_versions_outlive_the_program(tmp_path: Path, glass: Glass, remelted: Glass) -> None:
    path = tmp_path / "kept.sqlite"
    with Book.open(path) as book:
        book.save_glass(glass)
        book.save_glass(remelted)
    with Book.open(path) as book:
        assert [v.glass for v in book.glass_versions(glass.name)] == [glass, remelted]
