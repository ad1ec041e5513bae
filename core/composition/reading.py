"""What has been read of an analysis so far, and its rules: nothing twice, one decimal mark."""

from __future__ import annotations

from dataclasses import dataclass, field, replace

from core.composition.amounts import Amount, AmountKind, Unit, decimal_marks, read_amount
from core.composition.counting import Basis, given_twice
from core.composition.headings import Heading, is_total, read_heading
from core.composition.how_read import Entry
from core.composition.names import Component, NameKind, unknown_name
from core.errors import CompositionError, Place

TOTAL = Component("total", "", NameKind.LEFT_OUT)
"""Stands for the total as printed under an analysis."""

_LABELS = {"oxide", "oxides", "component", "components", "constituent", "constituents", "element"}
_LABELS |= {"elements", "amount", "amounts", "percent", "analysis", "composition", "content"}
_LABELS |= {"contents", "unit", "units", "value", "values", "weight", "mass", "concentration"}
_LABELS |= {"conc", "sample", "name", "glass", "chemical", "fraction", "average", "mean"}
_LABELS |= {"and", "of", "by", "in", "with"}
_ERROR_LABELS = {
    **dict.fromkeys(("±", "+/-", "+-", "error", "errors", "err", "sd", "s.d", "std", "stdev"), 1.0),
    **dict.fromkeys(("se", "s.e", "σ", "1σ", "sigma", "1s", "uncertainty"), 1.0),
    **dict.fromkeys(("2σ", "2s"), 2.0),
}


@dataclass
class _Row:
    owner: Component
    place: Place
    unit: Unit | None
    text: str
    at: Place
    error: str | None = None
    sigmas: float = 1.0


@dataclass
class Reading:
    """Names and amounts in the order they were met; amounts are read when all is known.

    Attributes
    ----------
    file : str or None
        For messages.
    places : dict of str to Place
        Where each name stands, by the name as written and by its oxide.
    bases : list of (Basis, Place)
        Bases that headings name.
    unit : Unit or None
        Of amounts that name none themselves.
    error_sigmas : float or None
        Standard errors in one of a column of errors; ``None`` without such a column.
    """

    file: str | None
    places: dict[str, Place] = field(default_factory=dict)
    bases: list[tuple[Basis, Place]] = field(default_factory=list)
    unit: Unit | None = None
    error_sigmas: float | None = None
    _claimed: dict[str, Component] = field(default_factory=dict)
    _rows: list[_Row] = field(default_factory=list)

    def place(self, line: int, column: int) -> Place:
        """A place in the text."""
        return Place(file=self.file, line=line, column=str(column))

    def heading(self, text: str, place: Place) -> Heading | None:
        """What a word names; ``None`` for a label that says nothing.

        Raises
        ------
        CompositionError
            It is neither.
        """
        if is_total(text):
            return Heading(text, TOTAL)
        try:
            found = read_heading(text)
        except CompositionError as error:
            raise _placed(error, place) from error
        if found is not None:
            if found.basis is not None:
                self.bases.append((found.basis, place))
            return found
        if is_label(text):
            return None
        if next((c for c in text if c.isalnum()), "").isdigit() or text[:1] in "<>±":
            raise CompositionError(
                f"“{text}” is not a number.",
                field=text,
                place=place,
                remedy="Write each oxide followed by its percentage, such as SiO2 70.1.",
            )
        raise _placed(unknown_name(text), place)

    def claim(self, owner: Component, place: Place) -> None:
        """Refuse an oxide already read."""
        key = owner.oxide or owner.written.casefold()
        if key in self._claimed:
            if owner is TOTAL:
                return
            raise _placed(given_twice(self._claimed[key], owner), place)
        self._claimed[key] = owner
        for name in (owner.written, owner.oxide):
            self.places.setdefault(name, place)

    def add(self, owner: Component, place: Place, text: str, at: Place, unit: Unit | None) -> None:
        """Take an amount as written."""
        self._rows.append(_Row(owner, place, unit, text, at))

    def add_unit(self, unit: Unit) -> None:
        """The unit stands behind the last amount."""
        self._rows[-1].unit = self._rows[-1].unit or unit

    def add_error(self, owner: Component | None, text: str, sigmas: float, place: Place) -> None:
        """Take the error of an oxide, or (``None``) of the last amount."""
        rows = [r for r in self._rows if owner is None or r.owner.oxide == owner.oxide]
        if not rows or rows[-1].error is not None:
            raise CompositionError(
                f"The error “{text}” belongs to no amount.",
                field=owner.written if owner else None,
                place=place,
                remedy="Give each oxide one amount and at most one error.",
            )
        rows[-1].error, rows[-1].sigmas = text, sigmas

    @property
    def is_empty(self) -> bool:
        """True before the first amount."""
        return not self._rows

    def entries(self) -> tuple[list[Entry], float | None]:
        """Every entry, and the total as printed.

        Raises
        ------
        CompositionError
            An amount cannot be read, or decimal commas and points are mixed.
        """
        entries: list[Entry] = []
        total: float | None = None
        marks: set[str] = set()
        for row in self._rows:
            marks |= decimal_marks(row.text) | decimal_marks(row.error or "")
            if len(marks) > 1 and not _clearly_wrong(row):
                raise CompositionError(
                    "Decimal commas and decimal points are mixed, so “1,5” could be one number or "
                    "two.",
                    field=row.owner.written,
                    place=row.at,
                    remedy="Use one of the two throughout.",
                )
            amount = self._amount(row)
            if row.owner is TOTAL:
                total = amount.value
            else:
                entries.append((row.owner, amount))
        return entries, total

    def _amount(self, row: _Row) -> Amount:
        name = row.owner.written
        try:
            unit = row.unit or (self.unit if not names_unit(row.text) else None)
            amount = read_amount(row.text, name, unit)
            if row.error is None or not row.error.strip():
                return amount
            spread = read_amount(row.error, f"the error of {name}", unit)
        except CompositionError as error:
            raise _placed(error, row.at) from error
        if spread.kind is AmountKind.NOTHING:
            return amount
        if spread.kind is not AmountKind.NUMBER or spread.value < 0 or amount.error > 0:
            raise CompositionError(
                f"The error of {name} cannot be read: “{row.error}”.",
                field=name,
                place=row.at,
                remedy="Type one plain number for it, such as 0.5.",
            )
        return replace(amount, error=spread.value / row.sigmas, kind=AmountKind.ERROR)


def names_unit(text: str) -> bool:
    """Tell whether an amount names its unit itself."""
    return any(c in text for c in "%‰/") or "pp" in text.casefold()


def is_label(text: str) -> bool:
    """Tell a word that says nothing, such as “Oxide” above a column."""
    return text.casefold().rstrip(".:") in _LABELS


def error_label(text: str) -> float | None:
    """Standard errors in one of a column so headed; ``None`` if the heading says no such thing."""
    return _ERROR_LABELS.get(text.casefold().rstrip(".:").strip())


def no_amount(owner: Component, place: Place) -> CompositionError:
    """The error for a name without an amount."""
    return CompositionError(
        f"{owner.written} has no amount.",
        field=owner.written,
        place=place,
        remedy="Write its percentage after it, or leave it out.",
    )


def ambiguous(text: str, owner: Component, place: Place) -> CompositionError:
    """The error for commas that could be decimal marks or separators."""
    return CompositionError(
        f"“{text}” could be one number with a decimal comma or several numbers.",
        field=owner.written,
        place=place,
        remedy="Separate columns by semicolons or tabs, or use decimal points.",
    )


def _clearly_wrong(row: _Row) -> bool:
    """One number with both marks in it is refused for itself."""
    return len(decimal_marks(row.text)) > 1


def _placed(error: CompositionError, place: Place) -> CompositionError:
    return CompositionError(error.message, field=error.field, place=place, remedy=error.remedy)
