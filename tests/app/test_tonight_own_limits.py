"""Limits and places of single pieces, and cold nights, as they are entered."""

from __future__ import annotations

from dataclasses import replace
from datetime import timedelta

import pytest
from PySide6.QtCore import Qt
from pytestqt.qtbot import QtBot
from tonight_nights import (
    BIG_LEHR,
    BUTTON,
    DECANTER,
    FLOAT,
    NOON,
    QUAY_GLASS,
    Clock,
    tonight,
    type_into,
)

from app.studio import Studio
from app.theme import Appearance
from app.tonight.load_panel import LoadPanel
from app.tonight.piece_own import Own
from core.errors import LoadError
from core.load.gathering import Gathering
from core.load.load import Strength
from core.load.placing import Placing
from core.load.reheating import Reheating, ReheatKind

OWN = replace(
    tonight(FLOAT, DECANTER),
    piece_limits={"Ship's decanter": "0/5", "Fishing float": 0.9e6},
    strengths={"Fishing float": Strength(5e6, 3.0)},
    placings={
        "Ship's decanter": Placing(
            hotter=-6.0,
            within=2.0,
            put_in=BUTTON - timedelta(hours=2),
            core=1173.15,
            skin=923.15,
            shelf=0.03,
        )
    },
    gathered={"Fishing float": Gathering("Quay pot", BUTTON - timedelta(hours=3))},
)


@pytest.fixture
def panel(
    studio: Studio, monkeypatch: pytest.MonkeyPatch, appearance: Appearance, qtbot: QtBot
) -> LoadPanel:
    monkeypatch.setattr(studio, "now", Clock(NOON))
    made = LoadPanel(studio)
    qtbot.addWidget(made)
    made.set_choices({QUAY_GLASS.name: QUAY_GLASS}, [BIG_LEHR])
    made.resize(340, 700)
    made.show()
    return made


def test_what_a_load_says_of_its_pieces_stays_with_it(panel: LoadPanel) -> None:
    """A load that is looked at and taken again is the same: nothing that is not shown is lost."""
    panel.show_load(OWN)
    again = panel.load()
    for name in ("piece_limits", "strengths", "placings", "gathered", "reheating"):
        assert getattr(again, name) == getattr(OWN, name)
    cold = replace(OWN, placings={}, reheating=Reheating(ReheatKind.AGAIN, strain=1e6))
    panel.show_load(cold)
    assert panel.load().reheating == cold.reheating
    assert "limit" in panel.pieces.form.details.opener.text()


def test_a_piece_is_given_a_grade_then_a_tension_of_its_own(panel: LoadPanel, qtbot: QtBot) -> None:
    panel.show_load(tonight(DECANTER))
    details = panel.pieces.form.details
    assert not details.form.isVisible()
    qtbot.mouseClick(details.opener, Qt.MouseButton.LeftButton)
    assert details.form.isVisible()
    with qtbot.waitSignal(panel.edited):
        details.grade.set_value("0/5")
    assert panel.load().piece_limits == {"Ship's decanter": "0/5"}
    details.grade.set_value("own")
    assert details.limit.isVisible()
    type_into(qtbot, details.limit, "0.25")
    assert panel.load().piece_limits == {"Ship's decanter": pytest.approx(0.25e6)}
    details.grade.set_value("")
    assert panel.load().piece_limits == {}


def test_strength_and_place_are_typed(panel: LoadPanel, qtbot: QtBot) -> None:
    panel.show_load(tonight(DECANTER, FLOAT))
    details = panel.pieces.form.details
    qtbot.mouseClick(details.opener, Qt.MouseButton.LeftButton)
    type_into(qtbot, details.tension, "4")
    type_into(qtbot, details.factor, "2.5")
    type_into(qtbot, details.places["hotter"], "-7")
    type_into(qtbot, details.places["shelf"], "25")
    load = panel.load()
    assert load.strengths == {"Ship's decanter": Strength(4e6, 2.5)}
    assert load.placings == {"Ship's decanter": Placing(hotter=-7.0, shelf=0.025)}
    panel.pieces.table.selectRow(1)
    assert details.own() == Own()
    panel.pieces.table.selectRow(0)
    assert details.own().placing.hotter == pytest.approx(-7.0)


def test_a_piece_put_in_after_the_button_is_told_beside_its_box(panel: LoadPanel) -> None:
    panel.show_load(tonight(DECANTER))
    details = panel.pieces.form.details
    details.put_in.set_moment(BUTTON + timedelta(hours=1))
    details._on_edited()
    with pytest.raises(LoadError, match="after the button"):
        panel.load()
    assert "after the button" in details.form.field("put_in").error
    details.put_in.set_moment(BUTTON - timedelta(hours=1))
    details._on_edited()
    panel.load()
    assert not details.form.field("put_in").error


def test_a_casting_is_chosen_with_its_stages(panel: LoadPanel, qtbot: QtBot) -> None:
    panel.show_load(tonight(DECANTER))
    panel.folds.open("hours")
    reheat = panel.hours.reheat
    assert panel.load().reheating is None
    with qtbot.waitSignal(panel.edited):
        reheat.kind.set_value(ReheatKind.CASTING)
    assert reheat.boxes["lump"].isVisible()
    assert not reheat.boxes["strain"].isVisible()
    type_into(qtbot, reheat.boxes["lump"], "15")
    type_into(qtbot, reheat.boxes["squeeze_time"], "0:40")
    assert panel.load().reheating == Reheating(ReheatKind.CASTING, lump=0.015, squeeze_time=2400.0)
    reheat.kind.set_value(ReheatKind.AGAIN)
    type_into(qtbot, reheat.boxes["strain"], "1.5")
    assert panel.load().reheating == Reheating(ReheatKind.AGAIN, strain=1.5e6)
