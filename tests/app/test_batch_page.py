"""The page “Batch”: asked by mouse and key, reckoned at once, kept, printed, taken from stock."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path

import pytest
from PySide6.QtCore import Qt
from PySide6.QtTest import QAbstractItemModelTester
from PySide6.QtWidgets import QDialog, QFileDialog, QLineEdit
from pytestqt.qtbot import QtBot

from app.batch.page import BatchPage
from app.batch.sheets_view import SheetsView
from app.card.paper_preview import PaperPreview
from app.studio import Studio
from app.widgets.banner import Weight
from core.batch.answer import BatchAnswer
from core.batch.batch import Part
from core.batch.material import Hazard, Material
from core.batch.request import MeltSize, Prefer
from core.batch.volatilisation import USUAL_LOSSES
from core.composition.composition import Composition
from core.furnace.ledger import Pot
from core.glass.glass import Glass
from core.glass.properties import properties_of
from core.store.book import Book
from core.units import MassUnit, UnitChoice

CLEAR = Composition.from_percent({"SiO2": 72.0, "Na2O": 16.0, "CaO": 10.0, "K2O": 2.0})
OWN = (
    Material.from_formula("sand", "SiO2", price=0.5, stock=100.0, hazards=(Hazard.SILICA,)),
    Material.from_formula("soda ash", "Na2CO3", price=1.2, stock=40.0, hazards=(Hazard.ALKALI,)),
    Material.from_formula("whiting", "CaCO3", price=0.7),
    Material.from_formula("potash", "K2CO3", price=3.0, moisture=0.02),
    Material.from_formula("cobalt oxide", "Co3O4", price=60.0, stock=0.4),
)


@pytest.fixture
def page(book: Book, studio: Studio, qtbot: QtBot) -> BatchPage:
    book.save_glass(Glass("quay clear", CLEAR))
    book.fill_materials(OWN)
    book.set_currency("EUR")
    made = BatchPage(studio)
    qtbot.addWidget(made)
    made.resize(1040, 700)
    made.show()
    return made


@pytest.fixture
def reckoned(page: BatchPage, studio: Studio, qtbot: QtBot) -> Callable[[], BatchAnswer]:
    """Let the pause and the job run out; the answer shown."""

    def wait() -> BatchAnswer:
        settle(page, studio, qtbot)
        assert page.answer.answer is not None, page.answer.waiting.text()
        return page.answer.answer

    return wait


def settle(page: BatchPage, studio: Studio, qtbot: QtBot) -> None:
    page.form.target.analysis.settle()
    qtbot.waitUntil(
        lambda: not page._pause.isActive() and not studio.jobs.is_busy("batch"), timeout=20_000
    )


def retype(qtbot: QtBot, box: QLineEdit, text: str) -> None:
    box.setFocus()
    box.selectAll()
    qtbot.keyClick(box, Qt.Key.Key_Delete)
    qtbot.keyClicks(box, text)
    qtbot.keyClick(box, Qt.Key.Key_Tab)


def press(qtbot: QtBot, button: object) -> None:
    qtbot.mouseClick(button, Qt.MouseButton.LeftButton)


def masses(answer: BatchAnswer) -> dict[str, float]:
    return {line.material: line.mass for line in answer.batch.weighings}


# -- asked and answered ---------------------------------------------------------------------------


def test_nothing_is_reckoned_until_a_glass_is_asked_for(page, book, studio) -> None:
    assert page.answer.answer is None
    assert "analysis" in page.answer.waiting.text()
    assert not page.print.isEnabled()
    assert not page.save.isEnabled()
    assert not page.shelf.isVisible()
    book.save_glass(Glass("new clear", CLEAR))
    studio.tell_changed("glasses")
    assert page.form.target.choose("new clear")


def test_a_glass_of_the_studio_is_weighed_out_at_once(page, reckoned, qtbot) -> None:
    assert page.form.target.choose("quay clear")
    answer = reckoned()
    assert page.form.target.name.text() == "quay clear"
    assert answer.batch.request.target.weight_percent == CLEAR.weight_percent
    # Four weights on a scale of 10 g, none more than two divisions from its exact weight.
    assert answer.batch.balance.glass == pytest.approx(10.0, abs=4 * 0.02)
    # Usual losses are shown and count.
    losses = {"Na2O": USUAL_LOSSES["Na2O"], "K2O": USUAL_LOSSES["K2O"]}
    assert answer.batch.request.volatilises == losses
    assert page.form.losses.rows.names == tuple(losses)
    assert "memory, unverified" in page.form.losses.field.message.text()
    # What is shown is what was reckoned.
    table = page.answer.weigh_out.as_text()
    for line in answer.sheet.lines:
        assert line.material in table
        assert line.shown() in table
    assert "EUR" in table
    assert page.answer.oxides.rows_model.rowCount() == 4
    assert page.answer.properties.rows_model.rowCount() == 5
    assert "(" in page.answer.properties.as_text()  # intervals
    text = page.answer.balance.text()
    assert f"{answer.batch.cost:.2f} EUR" in text
    assert "CO2" in text
    assert "Moisture" in text
    assert any("silicosis" in line for line in page.answer.safety.texts)
    assert any(line.startswith("soda ash") for line in page.answer.safety.texts)


def test_a_typed_analysis_and_a_glass_that_is_changed(page, reckoned, qtbot) -> None:
    qtbot.keyClicks(page.form.target.analysis.text, "SiO2 74, Na2O 16, CaO 10")
    assert set(masses(reckoned())) == {"sand", "soda ash", "whiting"}
    assert page.form.target.glass.value is None
    page.form.target.choose("quay clear")
    assert reckoned().batch.request.target.weight("Na2O") == pytest.approx(16.0)
    page.form.target.analysis_part.open()
    page.form.target.analysis.paste("SiO2 73, Na2O 15, CaO 10, K2O 2")
    assert page.form.target.glass.value is None
    assert reckoned().batch.request.target.weight("Na2O") == pytest.approx(15.0)


def test_melt_size_as_glass_and_as_weighed_out_and_the_scale(page, reckoned, qtbot) -> None:
    page.form.target.choose("quay clear")
    retype(qtbot, page.form.melt.size, "32,5")
    assert reckoned().batch.balance.glass == pytest.approx(32.5, abs=0.03)
    page.form.melt.size_of.set_value(MeltSize.BATCH)
    answer = reckoned()
    assert answer.batch.balance.weighed == pytest.approx(32.5, abs=0.05)
    assert answer.batch.balance.glass < 29.0
    retype(qtbot, page.form.melt.division, "50")
    for line in reckoned().batch.weighings:
        assert line.mass / line.division == pytest.approx(round(line.mass / line.division))
        assert line.division in {0.05, 0.0001}


def test_cullet_of_a_known_glass(page, reckoned, qtbot) -> None:
    page.form.target.choose("quay clear")
    assert not page.form.melt.form.field("share").isVisible()
    page.form.melt.cullet.set_value("quay clear")
    assert page.form.melt.form.field("share").isVisible()
    retype(qtbot, page.form.melt.share, "40")
    retype(qtbot, page.form.melt.price, "0,1")
    line = next(w for w in reckoned().batch.weighings if w.part is Part.CULLET)
    assert line.mass == pytest.approx(4.0, abs=0.011)
    assert line.cost == pytest.approx(0.1 * line.mass)


def test_colour_in_ppm_by_the_oxide(page, reckoned, qtbot) -> None:
    page.form.target.choose("quay clear")
    press(qtbot, page.form.additions.add)
    (row,) = page.form.additions.rows
    row.what.set_value("CoO")
    retype(qtbot, row.amount, "200 ppm")
    answer = reckoned()
    # 200 g of CoO on a tonne of base glass; 2.1 g are weighed to 0.1 g.
    assert answer.batch.glass.weight("CoO") == pytest.approx(0.02 / 1.0002, rel=0.05 / 2.1)
    assert row.form.field("percent").message.text() == "200 ppm"
    assert "With additions" in page.answer.oxides.as_text()
    press(qtbot, row.remove)
    assert reckoned().batch.glass.weight("CoO") == 0.0
    assert page.form.additions.none.isVisible()


def test_an_addition_without_amount_is_told_beside_it(page, studio, qtbot) -> None:
    page.form.target.choose("quay clear")
    press(qtbot, page.form.additions.add)
    (row,) = page.form.additions.rows
    row.what.set_value("cobalt oxide")
    settle(page, studio, qtbot)
    assert page.answer.answer is None
    assert "needed" in row.form.field("percent").error
    retype(qtbot, row.amount, "0.1")
    settle(page, studio, qtbot)
    assert page.answer.answer is not None
    assert row.form.field("percent").error == ""


def test_losses_are_changed_set_back_and_refused(page, reckoned, studio, qtbot) -> None:
    page.form.target.choose("quay clear")
    rows = page.form.losses.rows
    before = masses(reckoned())["soda ash"]
    rows.setData(rows.index(0, 1), "12")
    answer = reckoned()
    assert answer.batch.request.volatilises["Na2O"] == pytest.approx(0.12)
    assert masses(answer)["soda ash"] == pytest.approx(before * 0.98 / 0.88, rel=0.01)
    press(qtbot, page.form.losses.nothing)
    assert not any(reckoned().batch.request.volatilises.values())
    press(qtbot, page.form.losses.usual)
    assert masses(reckoned())["soda ash"] == before
    for text, told in (("80", "loss of 80"), ("much", "not a number")):
        rows.setData(rows.index(0, 1), text)
        settle(page, studio, qtbot)
        assert page.answer.answer is None
        assert told in page.form.losses.field.error
    rows.setData(rows.index(0, 1), "3")
    reckoned()
    assert page.form.losses.field.error == ""


def test_the_grids_keep_the_rules_of_models(page, reckoned) -> None:
    models = (page.form.losses.rows, page.form.rules.weight_rows, page.form.rules.bound_rows)
    mode = QAbstractItemModelTester.FailureReportingMode.Fatal
    testers = [QAbstractItemModelTester(model, mode) for model in models]
    page.form.target.choose("quay clear")
    reckoned()
    for model in models:
        assert model.rowCount() > 0
        model.setData(model.index(0, 1), "1")
    page.form.show_request(None)
    assert len(testers) == 3


def test_advanced_limits_weights_rule_and_sizes(page, reckoned, studio, qtbot) -> None:
    page.form.target.choose("quay clear")
    rules = page.form.rules
    press(qtbot, rules.part.button)
    bounds = rules.bound_rows
    potash = bounds.names.index("potash")
    bounds.setData(bounds.index(potash, 2), "0")
    rules.weight_rows.setData(rules.weight_rows.index(0, 1), "5")
    rules.prefer.set_value(Prefer.FEWEST)
    answer = reckoned()
    assert "potash" not in masses(answer)
    assert answer.batch.request.weights == {"SiO2": 5.0}
    assert answer.batch.request.prefer is Prefer.FEWEST
    # The glass has potash that now cannot be had; it is said, with what would help.
    (short,) = [s for s in answer.batch.shortfalls if s.oxide == "K2O"]
    assert any("K2O comes to" in text and "potash" in text for text in page.answer.short.texts)
    assert short.helps
    retype(qtbot, rules.sizes, "20; 45,5")
    assert [row.glass for row in reckoned().sheet.sizes] == [20.0, 45.5]
    retype(qtbot, rules.sizes, "20 lots")
    settle(page, studio, qtbot)
    assert "not a number" in rules.form.field("sizes").error
    retype(qtbot, rules.sizes, "")
    bounds.setData(bounds.index(potash, 1), "3")
    page.reckon()
    assert "cannot both be" in rules.form.field("bounds").error


# -- aimed at a property ---------------------------------------------------------------------------


def test_expansion_matched_to_another_glass(page, reckoned, qtbot) -> None:
    page.form.target.choose("quay clear")
    press(qtbot, page.form.target.wish_part.button)
    assert page.form.target.partner.set_value("Library: harbour clear")
    answer = reckoned()
    wanted = page.form.target.expansion.value_si
    known = properties_of(Glass("reached", answer.batch.request.target)).expansion.value
    assert known == pytest.approx(wanted, abs=0.06e-7)
    assert answer.batch.request.wished_from is not None
    retype(qtbot, page.form.target.expansion, "97")
    assert page.form.target.partner.value is None


def test_annealing_point_moved_as_far_as_it_goes(page, reckoned, studio, qtbot) -> None:
    page.form.target.choose("quay clear")
    press(qtbot, page.form.target.wish_part.button)
    retype(qtbot, page.form.target.rise, "6")
    retype(qtbot, page.form.target.change, "Na2O, CaO, SiO2")
    answer = reckoned()
    before = properties_of(Glass("before", CLEAR)).annealing_point.value
    assert answer.properties[0].target.value == pytest.approx(before + 6.0, abs=0.2)
    assert answer.batch.request.target.weight("K2O") == pytest.approx(2.0, abs=0.01)
    retype(qtbot, page.form.target.rise, "190")
    settle(page, studio, qtbot)
    assert "as far as" in page.form.target.wishes.field("annealing_rise").error
    assert page.answer.answer is None
    retype(qtbot, page.form.target.rise, "")
    retype(qtbot, page.form.target.change, "sugar")
    settle(page, studio, qtbot)
    assert "sugar" in page.form.target.wishes.field("change").error


# -- wrong input ---------------------------------------------------------------------------------


def test_what_cannot_be_made_or_does_not_sum(page, studio, qtbot) -> None:
    page.form.target.analysis.paste("SiO2 57, PbO 30, K2O 13")
    settle(page, studio, qtbot)
    assert page.answer.answer is None
    told = page.answer.waiting.text()
    assert "30 wt% PbO" in told
    assert "red lead" in told
    assert "PbO" in page.form.target.analysis.text_field.error
    assert not page.print.isEnabled()
    page.form.target.analysis.paste("SiO2 72, Na2O 6")
    settle(page, studio, qtbot)
    assert page.answer.answer is None
    assert "78" in page.answer.waiting.text()


def test_a_wrong_size_keeps_the_last_answer_greyed(page, reckoned, studio, qtbot) -> None:
    page.form.target.choose("quay clear")
    reckoned()
    retype(qtbot, page.form.melt.size, "0")
    settle(page, studio, qtbot)
    assert page.answer.answer is None
    assert page.answer.weigh_out.isVisible()
    assert not page.answer.weigh_out.isEnabled()
    assert page.form.melt.form.field("size").error.startswith("Use ")
    retype(qtbot, page.form.melt.size, "400")
    settle(page, studio, qtbot)
    error = page.form.melt.form.field("size").error
    assert "runs out" in error
    assert "at most" in error
    retype(qtbot, page.form.melt.size, "12")
    reckoned()
    assert page.answer.weigh_out.isEnabled()
    assert not page.answer.waiting.isVisible()


# -- kept, printed, weighed ------------------------------------------------------------------------


def test_a_sheet_is_kept_and_its_materials_taken_from_stock(
    page, reckoned, book, studio, qtbot
) -> None:
    page.form.target.choose("quay clear")
    retype(qtbot, page.form.target.name, "Friday pot")
    answer = reckoned()
    assert page.dirty
    press(qtbot, page.save)
    (record,) = book.batches()
    assert record.name == "Friday pot"
    assert record.batch.weighings == answer.batch.weighings
    assert page.state.text() == "Kept “Friday pot”"
    assert not page.dirty
    assert not page.save.isEnabled()
    before = {m.name: m.stock for m in book.materials()}
    press(qtbot, page.banner._action)
    left = {m.name: m.stock for m in book.materials()}
    weighed = masses(answer)
    assert left["sand"] == pytest.approx(before["sand"] - weighed["sand"])
    assert left["soda ash"] == pytest.approx(before["soda ash"] - weighed["soda ash"])
    assert left["whiting"] is None
    assert page.tabs.currentWidget() is page.sheets
    assert page.sheets.banner.weight is Weight.GOOD
    assert "taken" in page.sheets.table.as_text()
    # Asked again, also after the program was closed, it says so.
    again = SheetsView(studio)
    qtbot.addWidget(again)
    press(qtbot, again.weigh)
    assert "taken before, today" in again.banner.text
    # The list in use is the one of now.
    assert page.list_in_use.find("sand").stock == left["sand"]


def test_stock_that_is_too_small_stays_as_it_is(page, reckoned, book, qtbot) -> None:
    page.form.target.choose("quay clear")
    reckoned()
    press(qtbot, page.save)
    book.save_material(Material.from_formula("soda ash", "Na2CO3", stock=0.2))
    page.tabs.setCurrentWidget(page.sheets)
    press(qtbot, page.sheets.weigh)
    press(qtbot, page.sheets.banner._action)
    assert page.sheets.banner.weight is Weight.PROBLEM
    assert "soda ash" in page.sheets.banner.text
    stocks = {m.name: m.stock for m in book.materials()}
    assert stocks["sand"] == 100.0
    assert stocks["soda ash"] == 0.2


def test_a_kept_sheet_is_used_again_and_removed(page, reckoned, book, qtbot) -> None:
    page.form.target.choose("quay clear")
    retype(qtbot, page.form.melt.size, "25")
    page.form.melt.cullet.set_value("quay clear")
    press(qtbot, page.form.additions.add)
    page.form.additions.rows[0].what.set_value("CoO")
    retype(qtbot, page.form.additions.rows[0].amount, "0.05")
    first = reckoned()
    press(qtbot, page.save)
    page.banner.clear()
    press(qtbot, page.fresh)
    assert page.form.target.is_empty
    press(qtbot, page.answer.empty.button)  # begin from the last batch
    assert reckoned().batch.weighings == first.batch.weighings
    page.banner.clear()
    press(qtbot, page.fresh)
    page.tabs.setCurrentWidget(page.sheets)
    press(qtbot, page.sheets.use)
    again = reckoned()
    assert again.batch.weighings == first.batch.weighings
    assert page.tabs.currentIndex() == 0
    page.tabs.setCurrentWidget(page.sheets)
    press(qtbot, page.sheets.remove)
    press(qtbot, page.sheets.banner._action)
    assert book.batches() == ()
    assert page.sheets.empty.isVisible()


def test_a_sheet_needs_a_name_and_begins_anew(page, reckoned, book, qtbot) -> None:
    page.form.target.analysis.paste("SiO2 74, Na2O 16, CaO 10")
    reckoned()
    press(qtbot, page.save)
    assert "name" in page.form.target.head.field("name").error
    assert book.batches() == ()
    press(qtbot, page.fresh)
    assert not page.form.target.is_empty  # asks before anything is lost
    press(qtbot, page.banner._action)
    assert page.form.target.is_empty
    assert page.answer.answer is None
    assert not page.dirty


def test_the_sheet_is_previewed_and_saved_as_pdf(
    page, reckoned, qtbot, monkeypatch, tmp_path: Path
) -> None:
    page.form.target.choose("quay clear")
    reckoned()
    seen: list[PaperPreview] = []

    def look(preview: PaperPreview) -> int:
        seen.append(preview)
        preview.show()
        where = str(tmp_path / "friday")
        monkeypatch.setattr(QFileDialog, "getSaveFileName", lambda *_: (where, ""))
        press(qtbot, preview.save)
        assert preview.banner.weight is Weight.GOOD
        return 0

    monkeypatch.setattr(QDialog, "exec", look)
    press(qtbot, page.print)
    assert len(seen) == 1
    assert (tmp_path / "friday.pdf").read_bytes().startswith(b"%PDF-")
    press(qtbot, page.save)
    page.tabs.setCurrentWidget(page.sheets)
    press(qtbot, page.sheets.print)
    assert len(seen) == 2


def test_a_pot_is_told_what_is_charged_as_batch(page, reckoned, book, studio, qtbot) -> None:
    book.save_furnace("Quay furnace")
    book.save_pot(Pot("Clear pot", "Quay furnace", 60.0))
    page.form.target.choose("quay clear")
    answer = reckoned()
    press(qtbot, page.save)
    page.tabs.setCurrentWidget(page.sheets)
    page.sheets.pots.aboutToShow.emit()
    (action,) = page.sheets.pots.actions()
    with qtbot.waitSignal(studio.changed) as told:
        action.trigger()
    assert told.args == ["furnace"]
    (record,) = book.charged_glasses()
    assert (record.answer.material, record.answer.pot) == ("batch", "Clear pot")
    assert record.answer.glass.weight_percent == answer.batch.glass.weight_percent
    assert record.answer.glass_yield == pytest.approx(answer.batch.glass_yield)
    assert "Clear pot" in page.sheets.banner.text


# -- surroundings ----------------------------------------------------------------------------------


def test_an_empty_list_is_reckoned_from_pure_compounds(studio, qtbot) -> None:
    page = BatchPage(studio)
    qtbot.addWidget(page)
    page.show()
    assert "pure compounds" in page.shelf.text()
    page.form.target.analysis.paste("SiO2 74, Na2O 16, CaO 10")
    settle(page, studio, qtbot)
    assert page.answer.answer is not None
    assert "no prices" in page.answer.balance.text()
    press(qtbot, page.materials.empty.button)
    assert page.shelf.text() == ""


def test_form_and_answer_take_turns_where_there_is_no_room(page, qtbot) -> None:
    assert not page.tabs.isTabVisible(1)
    page.resize(530, 380)
    assert page.tabs.isTabVisible(1)
    assert page.form.isVisible()
    assert not page.answer.isVisible()
    page.tabs.setCurrentIndex(1)
    assert page.answer.isVisible()
    assert not page.form.isVisible()
    assert page.print.isVisible()
    page.resize(1040, 700)
    assert page.form.isVisible()
    assert page.answer.isVisible()
    assert not page.tabs.isTabVisible(1)
    assert page.tabs.currentIndex() == 0
    assert page.strip.isVisible()


def test_decimal_comma_and_pounds(page, reckoned, studio, qtbot, choose_locale) -> None:
    choose_locale("de_DE")
    page.form.target.choose("quay clear")
    answer = reckoned()
    shown = page.answer.weigh_out.as_text()
    for line in answer.sheet.lines:
        assert line.shown().replace(".", ",") in shown
    choose_locale("en_GB")
    studio.set_units(UnitChoice(mass=MassUnit.POUND))
    # 1 lb is 0.45359237 kg exactly (international yard and pound agreement, 1959).
    assert f"{answer.batch.balance.glass / 0.45359237:.2f} lb" in page.answer.headline.text()
    assert " lb" in page.answer.weigh_out.as_text()
    retype(qtbot, page.form.melt.size, "100")
    assert reckoned().batch.balance.glass == pytest.approx(45.36, abs=0.05)
