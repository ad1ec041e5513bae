"""Materials, pot ledgers, batches and charge lists: in and out unchanged, refused when wrong."""

from __future__ import annotations

from dataclasses import replace
from datetime import datetime, timedelta

import pytest

from core.batch.material import Hazard, Material, Use
from core.batch.material_file import shipped_materials
from core.batch.reckon import make_batch
from core.batch.request import Addition, BatchRequest, Bound, Cullet
from core.composition.composition import Composition
from core.errors import BatchError, BookError, FurnaceError
from core.furnace.charged_glass import ChargedGlass, glass_charged
from core.furnace.ledger import Charge, Pot
from core.furnace.planned_charge import PlannedCharge
from core.furnace.pot_entry import PotEntry
from core.furnace.pot_events import LevelSeen, NewPot, Removal, Taken
from core.melt.pot_vessel import PotVessel
from core.store.book import Book

HOUR = timedelta(hours=1)
SAND = Material.from_analysis(
    "Dune sand",
    {"SiO2": 99.4, "Al2O3": 0.25, "Fe2O3": 0.03},
    0.2,
    moisture=0.035,
    price=0.31,
    stock=412.5,
    hazards=(Hazard.SILICA,),
    hazard="dusty",
    note="sieved",
    source="own trial",
)
CHARCOAL = Material.from_analysis("charcoal", {}, 100.0, use=Use.ADDITION, price=2.0)


@pytest.fixture
def pots(book: Book) -> Book:
    book.save_furnace("Shore furnace")
    book.save_pot(Pot("left", "Shore furnace", 60.0))
    book.save_pot(Pot("right", "Shore furnace"))
    return book


def test_materials_come_back_as_they_were(book: Book) -> None:
    assert book.materials() == ()
    for material in (SAND, CHARCOAL):
        book.save_material(material)
    assert book.materials() == (SAND, CHARCOAL)
    book.set_currency(" EUR ")
    assert book.material_list().currency == "EUR"


def test_an_empty_list_reckons_no_batch(book: Book) -> None:
    with pytest.raises(BatchError):
        book.material_list()


def test_a_material_is_changed_in_its_place_and_renamed(book: Book) -> None:
    for material in (SAND, CHARCOAL):
        book.save_material(material)
    dearer = replace(SAND, name="DUNE SAND", price=0.4)
    book.save_material(dearer)
    assert book.materials() == (dearer, CHARCOAL)
    quartz = replace(SAND, name="quartz")
    book.save_material(quartz, renamed_from="dune sand ")
    assert book.materials() == (quartz, CHARCOAL)
    with pytest.raises(BookError, match="another material"):
        book.save_material(replace(quartz, name="Charcoal"), renamed_from="quartz")
    with pytest.raises(BookError, match="no material"):
        book.save_material(SAND, renamed_from="flint")
    book.delete_material("QUARTZ")
    assert book.materials() == (CHARCOAL,)


def test_the_shipped_list_fills_in_what_is_missing(book: Book) -> None:
    shipped = shipped_materials().materials
    own = replace(shipped[1], price=9.0)
    book.save_material(own)
    assert book.fill_materials() == len(shipped) - 1
    kept = book.materials()
    assert kept[0] == own
    assert {material.name for material in kept} == {material.name for material in shipped}
    assert book.fill_materials() == 0


def test_materials_take_another_order(book: Book) -> None:
    book.fill_materials([SAND, CHARCOAL, replace(SAND, name="flint")])
    book.order_materials(["flint", "Charcoal", "flint"])
    assert [material.name for material in book.materials()] == ["flint", "charcoal", "Dune sand"]
    with pytest.raises(BookError, match="no material"):
        book.order_materials(["slag"])


def test_a_pots_ledger_is_kept_corrected_and_cleared(pots: Book, evening: datetime) -> None:
    entries = [
        PotEntry("left", NewPot(evening), "from the kiln"),
        PotEntry("left", Taken(evening + HOUR, 3.5, 0.5)),
        PotEntry("right", Taken(evening + 2 * HOUR, 1.0, 0.1, Removal.DRAINED), "stones"),
        PotEntry("left", LevelSeen(evening + 3 * HOUR, 20.0, 2.0)),
    ]
    for entry in reversed(entries):
        pots.add_pot_entry(entry)
    assert [record.entry for record in pots.pot_entries()] == entries
    assert [r.entry for r in pots.pot_entries(pot="right")] == [entries[2]]
    assert [r.entry for r in pots.pot_entries(furnace="Shore furnace", since=evening + HOUR)] == (
        entries[1:]
    )
    first = pots.pot_entries()[0]
    right = PotEntry("right", LevelSeen(evening, 5.0, 1.0))
    assert pots.change_pot_entry(first.id, right).entry == right
    pots.delete_pot_entry(first.id)
    assert [record.entry for record in pots.pot_entries()] == entries[1:]
    for wrong in (
        lambda: pots.delete_pot_entry(first.id),
        lambda: pots.add_pot_entry(PotEntry("middle", NewPot(evening))),
        lambda: pots.delete_pot("left"),
    ):
        with pytest.raises(BookError):
            wrong()


def test_a_charge_is_corrected(pots: Book, evening: datetime) -> None:
    record = pots.add_charge(Charge(evening, "left", "batch", 12.0))
    right = Charge(evening + HOUR, "right", "cullet", 1.2, "misread")
    assert pots.change_charge(record.id, right).charge == right
    assert [r.charge for r in pots.charges()] == [right]
    with pytest.raises(BookError, match="no charge"):
        pots.change_charge(99, right)


def test_a_pots_shape_is_kept_and_forgotten(pots: Book) -> None:
    assert pots.pot_shape("left") is None
    vessel = PotVessel("left", 0.41, 0.33, 0.37, exposed_share=0.2)
    pots.save_pot_shape("left", vessel)
    assert pots.pot_shape("left") == vessel
    pots.save_pot(Pot("port", "Shore furnace", 55.0), renamed_from="left")
    assert pots.pot_shape("port") == vessel
    pots.save_pot_shape("port", None)
    assert pots.pot_shape("port") is None


def test_what_a_material_makes_is_said_once_for_a_pot_and_time(
    pots: Book, evening: datetime
) -> None:
    potash = Composition.from_percent({"SiO2": 60.0, "K2O": 18.0, "CaO": 22.0})
    everywhere = ChargedGlass("Batch", "quay clear", 0.83)
    in_left = ChargedGlass("batch ", potash, 0.7, 0.05, pot="left")
    later = ChargedGlass("batch", "harbour clear", 0.82, pot="left", since=evening + HOUR)
    for answer in (everywhere, in_left, later):
        pots.save_charged_glass(answer)
    kept = [record.answer for record in pots.charged_glasses()]
    assert kept == [everywhere, in_left, later]
    pots.save_charged_glass(replace(later, glass_yield=0.8))
    kept = [record.answer for record in pots.charged_glasses()]
    assert [answer.glass_yield for answer in kept] == [0.83, 0.7, 0.8]

    def chosen(pot: str, time: datetime) -> ChargedGlass | None:
        return glass_charged(Charge(time, pot, "BATCH", 1.0), kept)

    assert chosen("right", evening) == everywhere
    assert chosen("left", evening) == in_left
    assert chosen("left", evening + HOUR) == kept[2]
    pots.delete_pot("left")
    assert [record.answer for record in pots.charged_glasses()] == [everywhere]
    pots.delete_charged_glass(pots.charged_glasses()[0].id)
    assert pots.charged_glasses() == ()


def test_a_batch_is_kept_with_the_materials_of_its_day(book: Book, evening: datetime) -> None:
    book.fill_materials()
    book.set_currency("EUR")
    clear = Composition.from_percent({"SiO2": 71.0, "Na2O": 16.0, "CaO": 11.0, "Al2O3": 2.0})
    request = BatchRequest(
        "quay blue",
        clear,
        book.material_list(),
        30.0,
        cullet=Cullet("own trimmings", clear, 0.2),
        bounds={"potash feldspar": Bound(0.0, 4.0)},
        weights={"Fe2O3": 2.0},
        volatilises={"Na2O": 0.015},
        additions=(Addition("CoO", 150e-6),),
    )
    batch = make_batch(request)
    record = book.save_batch(batch, made_at=evening)
    kept = book.batch(record.id)
    assert kept == record
    assert kept.glass == batch.balance.glass
    expected = replace(batch, target_properties=None, base_properties=None, glass_properties=None)
    assert kept.batch == expected
    # Reckoned anew from what was kept, to the last gram.
    assert make_batch(kept.batch.request).weighings == batch.weighings
    assert book.batches() == (kept,)
    book.delete_material("silica sand")
    assert book.batch(record.id) == kept
    book.delete_batch(record.id)
    assert book.batches() == ()


def test_a_list_is_ticked_off_into_the_ledger(pots: Book, evening: datetime) -> None:
    planned = [
        PlannedCharge(evening, "left", "batch", 8.0, "dry"),
        PlannedCharge(evening + 3 * HOUR, "right", "cullet", 5.0),
    ]
    record = pots.save_charge_list("Tonight", planned, made_at=evening)
    assert [item.planned for item in record.items] == planned
    first, second = record.items
    done = pots.tick_charge(first.id, evening + HOUR, mass=7.5)
    assert done.done
    (charge,) = pots.charges()
    assert charge.id == done.charge_id
    assert charge.charge == Charge(evening + HOUR, "left", "batch", 7.5, "dry")
    with pytest.raises(BookError, match="ticked off already"):
        pots.tick_charge(first.id, evening + HOUR)
    with pytest.raises(BookError, match="ticked off already"):
        pots.change_planned_charge(first.id, planned[1])
    with pytest.raises(FurnaceError, match="not possible"):
        pots.tick_charge(second.id, evening, mass=-1.0)
    assert [item.done for item in pots.charge_list(record.id).items] == [True, False]
    assert not pots.charge_list(record.id).done
    pots.tick_charge(second.id, evening + 3 * HOUR)
    assert pots.charge_list(record.id).done


def test_a_tick_is_taken_back_within_a_day(pots: Book, evening: datetime) -> None:
    record = pots.save_charge_list("Tonight", [PlannedCharge(evening, "left", "batch", 8.0)])
    (item,) = record.items
    with pytest.raises(BookError, match="not ticked"):
        pots.untick_charge(item.id)
    pots.tick_charge(item.id, evening, ticked_at=evening)
    with pytest.raises(FurnaceError, match="more than a day ago"):
        pots.untick_charge(item.id, now=evening + 25 * HOUR)
    assert len(pots.charges()) == 1
    assert not pots.untick_charge(item.id, now=evening + HOUR).done
    assert pots.charges() == ()
    pots.tick_charge(item.id, evening)
    assert len(pots.charges()) == 1


def test_a_list_grows_and_goes(pots: Book, evening: datetime) -> None:
    record = pots.save_charge_list("Tonight", [PlannedCharge(evening, "left", "batch", 8.0)])
    more = pots.add_planned_charge(record.id, PlannedCharge(evening + HOUR, "right", "sand", 1.0))
    other = PlannedCharge(evening + 2 * HOUR, "left", "sand", 2.0)
    assert pots.change_planned_charge(more.id, other).planned == other
    assert [item.planned.mass for item in pots.charge_lists()[0].items] == [8.0, 2.0]
    pots.delete_planned_charge(more.id)
    pots.tick_charge(record.items[0].id, evening)
    with pytest.raises(BookError, match="cannot be removed"):
        pots.delete_pot("left")
    pots.delete_charge_list(record.id)
    assert pots.charge_lists() == ()
    assert len(pots.charges()) == 1
    for wrong in (
        lambda: pots.save_charge_list(" ", [PlannedCharge(evening, "left", "batch", 8.0)]),
        lambda: pots.save_charge_list("Tonight", []),
        lambda: pots.save_charge_list("T", [PlannedCharge(evening, "middle", "batch", 8.0)]),
        lambda: pots.charge_list(record.id),
    ):
        with pytest.raises(BookError):
            wrong()
    assert pots.charge_lists() == ()
