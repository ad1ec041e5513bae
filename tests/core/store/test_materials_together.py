"""Several materials are changed together or not at all."""

from __future__ import annotations

import pytest

from core.batch.material import Material
from core.errors import BookError, LehrkeeperError
from core.store import materials as pages
from core.store.book import Book

SAND = Material.from_formula("sand", "SiO2", stock=10.0)
SODA = Material.from_formula("soda ash", "Na2CO3", stock=5.0)


def test_all_are_written_in_their_places(book: Book) -> None:
    book.fill_materials([SAND, SODA])
    less = [
        Material.from_formula("soda ash", "Na2CO3", stock=4.0),
        Material.from_formula("Sand", "SiO2", stock=8.0),
    ]
    book.save_materials(less)
    assert [(m.name, m.stock) for m in book.materials()] == [("Sand", 8.0), ("soda ash", 4.0)]


def test_none_is_written_when_one_fails(book: Book, monkeypatch: pytest.MonkeyPatch) -> None:
    book.fill_materials([SAND, SODA])
    write = pages.write_snapshot

    def failing(kind: str, material: Material) -> str:
        if material.name == "soda ash":
            raise BookError("The disk is full.")
        return write(kind, material)

    monkeypatch.setattr(pages, "write_snapshot", failing)
    with pytest.raises(LehrkeeperError, match="disk is full"):
        book.save_materials(
            [
                Material.from_formula("sand", "SiO2", stock=8.0),
                Material.from_formula("soda ash", "Na2CO3", stock=4.0),
            ]
        )
    assert book.materials() == (SAND, SODA)
