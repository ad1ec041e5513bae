"""Everything a batch is asked with, at the left of the page."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

from PySide6.QtCore import QSignalBlocker, Qt, Signal
from PySide6.QtWidgets import QFrame, QScrollArea, QVBoxLayout, QWidget

from app.batch.additions_card import AdditionsCard
from app.batch.glass_choice import GlassChoices
from app.batch.melt_card import DIVISIONS, MeltCard
from app.batch.rules_card import LossesCard, RulesCard
from app.batch.target_card import TargetCard
from app.widgets.card import card
from core.batch.material import MaterialList
from core.batch.property_target import PropertyWish
from core.batch.request import BatchRequest, MeltSize
from core.batch.request_file import DEFAULT_SIZE
from core.batch.volatilisation import USUAL_LOSSES
from core.errors import LehrkeeperError
from core.units import UnitChoice

UNNAMED = "batch"


@dataclass(frozen=True)
class Asked:
    """What stands in the form: a request, the wish for a property, other melts for the sheet."""

    request: BatchRequest
    wish: PropertyWish | None
    sizes: tuple[float, ...]


class AskedForm(QScrollArea):
    """Target, melt, additions, losses and rules.

    Signals
    -------
    changed()
        A person changed something.
    """

    changed = Signal()

    def __init__(self, units: UnitChoice, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.target = TargetCard(units)
        self.melt = MeltCard(units)
        self.additions = AdditionsCard(units)
        self.losses = LossesCard()
        self.rules = RulesCard(units)
        inside = QWidget()
        inside.setObjectName("page")
        column = QVBoxLayout(inside)
        column.setContentsMargins(0, 0, 10, 4)
        column.setSpacing(12)
        column.addWidget(card("Glass", self.target))
        column.addWidget(card("Melt", self.melt))
        column.addWidget(card("Added: colour, redox, fining", self.additions))
        column.addWidget(card(None, self.losses))
        column.addWidget(card(None, self.rules))
        column.addStretch(1)
        self.setWidgetResizable(True)
        self.setFrameShape(QFrame.Shape.NoFrame)
        self.setHorizontalScrollBarPolicy(Qt.ScrollBarPolicy.ScrollBarAlwaysOff)
        self.setWidget(inside)
        self.target.analysis_changed.connect(self._on_analysis)
        for part in (self.target, self.melt, self.additions, self.losses, self.rules):
            part.changed.connect(self.changed)

    # -- what may be chosen -----------------------------------------------------------------

    def show_choices(self, choices: GlassChoices) -> None:
        """Offer these glasses as target, partner and cullet."""
        self.target.show_choices(choices)
        self.melt.show_choices(choices)

    def show_materials(self, materials: MaterialList) -> None:
        """Offer these materials."""
        self.additions.show_materials(materials)
        self.rules.show_materials(materials)

    def set_units(self, units: UnitChoice) -> None:
        """Show and take numbers in other units."""
        for part in (self.target, self.melt, self.additions, self.rules):
            part.set_units(units)

    # -- value ------------------------------------------------------------------------------

    def asked(self, materials: MaterialList) -> Asked:
        """The request as it stands in the form.

        Raises
        ------
        LehrkeeperError
            ``field`` names the input at fault; :meth:`tell` shows it there.
        """
        composition = self.target.composition()
        wish = self.target.wish()
        melt = self.melt
        size_of = melt.size_of.value
        request = BatchRequest(
            name=self.target.name.text().strip() or UNNAMED,
            target=composition,
            materials=materials,
            size=melt.size.require(),
            size_of=size_of if isinstance(size_of, MeltSize) else MeltSize.GLASS,
            cullet=melt.made_cullet(),
            bounds=self.rules.bounds_given(),
            weights=self.rules.weights_given(),
            volatilises=self.losses.losses(),
            additions=self.additions.additions(),
            division=melt.division.require(),
            fine_division=melt.fine.require(),
            prefer=self.rules.prefers(),
        )
        return Asked(request, wish, self.rules.sizes_wanted())

    def show_request(self, request: BatchRequest | None) -> None:
        """Show a request (an empty form for ``None``), without a signal.

        The target is shown as it stands: a wish that moved it has been fulfilled.
        """
        blocked = QSignalBlocker(self)
        self.clear_told()
        if request is None:
            self.target.show_target("", None)
            self.melt.show_melt(DEFAULT_SIZE, MeltSize.GLASS, None, DIVISIONS)
            self.additions.show_additions(())
            self.losses.show_losses(USUAL_LOSSES)
            self.rules.show_rules(None, {}, {})
        else:
            self.target.show_target(request.name, request.target)
            divisions = (request.division, request.fine_division)
            self.melt.show_melt(request.size, request.size_of, request.cullet, divisions)
            self.additions.show_additions(request.additions)
            self.losses.show_losses(request.volatilises)
            self.rules.show_rules(request.prefer, request.weights, request.bounds)
        self._on_analysis()
        self.verticalScrollBar().setValue(0)
        blocked.unblock()

    def _on_analysis(self) -> None:
        oxides = self.target.oxides
        if oxides:
            self.losses.show_oxides(oxides)
            self.rules.show_oxides(oxides)

    # -- errors -----------------------------------------------------------------------------

    def tell(self, error: LehrkeeperError, *, go_there: bool = False) -> bool:
        """Show an error beside the input it names; False when it names none.

        Parameters
        ----------
        error : LehrkeeperError
        go_there : bool
            Bring the input into sight, as after pressing a button; never while somebody types.
        """
        name = (error.field or "").partition(".")[0]
        melt = _ALSO.get(name, name)
        place: QWidget
        if melt in self.melt.form.fields:
            field = self.melt.form.field(melt)
            field.set_error(str(error))
            place = field
        elif name == "volatilises":
            self.losses.field.set_error(str(error))
            place = self.losses
        elif self.rules.tell(error):
            place = self.rules
        elif self.additions.tell(error):
            place = self.additions
        elif self.target.tell(error):
            place = self.target
        else:
            return False
        if go_there:
            self.ensureWidgetVisible(place)
        return True

    def clear_told(self) -> None:
        """Forget what the core found wrong with an earlier state of the form."""
        for field in self.melt.form.fields.values():
            field.set_error(getattr(field.editor, "error", ""))
        self.losses.field.set_error(self.losses.grid.error)
        for part in (self.rules, self.additions, self.target):
            part.clear_told()


_ALSO: Mapping[str, str] = {"stock": "size"}
"""Fields of the core that are shown beside another input."""
