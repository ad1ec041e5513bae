"""Tables of many analyses: one a row, columns named by oxide; other columns are left alone."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace

from core.composition.amounts import Amount, AmountKind, Unit, read_amount
from core.composition.composition import Basis, Composition
from core.composition.counting import given_twice
from core.composition.headings import Heading, is_total, read_heading
from core.composition.how_read import Entry, listed, notes_on
from core.errors import CompositionError, Place


@dataclass(frozen=True)
class AnalysisColumns:
    """The columns of a table that make up an analysis. Make them with :meth:`of`.

    Attributes
    ----------
    amounts : tuple of (int, Heading)
        Columns of amounts by their index.
    errors : tuple of (int, Heading)
        Columns of standard errors.
    others : tuple of int
        Columns that say nothing of the analysis, to be carried through.
    basis : Basis
    notes : tuple of str
        How headings that are not plain oxides were read, in plain sentences.
    total : int or None
        The column of printed totals.
    file : str or None
        For messages.
    """

    amounts: tuple[tuple[int, Heading], ...]
    errors: tuple[tuple[int, Heading], ...]
    others: tuple[int, ...]
    basis: Basis
    notes: tuple[str, ...]
    total: int | None = None
    file: str | None = None

    @classmethod
    def of(
        cls, headings: Sequence[str], basis: Basis | None = None, *, file: str | None = None
    ) -> AnalysisColumns:
        """Find the columns of an analysis among the headings of a table.

        Parameters
        ----------
        headings : sequence of str
            As read by :func:`core.composition.headings.read_heading`.
        basis : Basis, optional
            Wins over what the headings say; without either the amounts are wt%.
        file : str, optional
            File name for messages.

        Raises
        ------
        CompositionError
            No heading names an oxide; one is named twice or has more than one reading; some are in
            wt% and some in mol%; an error belongs to no amount; an oxide is typed with a zero. The
            place names the column.
        """
        amounts: list[tuple[int, Heading]] = []
        errors: list[tuple[int, Heading]] = []
        others: list[int] = []
        total: int | None = None
        for index, text in enumerate(headings):
            place = Place(file, 1, text.strip())
            try:
                heading = read_heading(text)
            except CompositionError as error:
                raise _placed(error, place) from error
            if heading is None:
                _check_zero(text, place)
                if total is None and is_total(text):
                    total = index
                others.append(index)
                continue
            group = errors if heading.is_error else amounts
            same = next((h for _, h in group if _key(h) == _key(heading)), None)
            if same is not None:
                raise _placed(given_twice(same.component, heading.component), place)
            group.append((index, heading))
        if not any(heading.oxide for _, heading in amounts):
            raise CompositionError(
                "No column is named by an oxide.",
                place=Place(file, 1),
                remedy="Head each column with its oxide, such as SiO2, Na2O, CaO.",
            )
        known = {heading.oxide for _, heading in amounts}
        for _, heading in errors:
            if heading.oxide not in known:
                raise CompositionError(
                    f"There are errors of {heading.oxide} but no amounts.",
                    field=heading.oxide,
                    place=Place(file, 1, heading.text),
                    remedy="Add the column of its amounts, or leave this one out.",
                )
        named = [(h.basis, h.text) for _, h in amounts if h.basis is not None]
        if basis is None and len({b for b, _ in named}) > 1:
            raise CompositionError(
                "Some columns are in wt% and others in mol%.",
                field="basis",
                place=Place(file, 1, next(t for b, t in named if b is not named[0][0])),
                remedy="Give all in one of the two, or choose the basis.",
            )
        chosen = basis or (named[0][0] if named else None) or Basis.WEIGHT
        notes = notes_on([(heading.component, Amount(0.0)) for _, heading in amounts])
        left_out = [f"“{heading.text}”" for _, heading in amounts if not heading.oxide]
        if left_out:
            notes += (f"Left out, being no oxide of the glass: {listed(left_out)}.",)
        return cls(tuple(amounts), tuple(errors), tuple(others), chosen, notes, total, file)

    def composition(self, cells: Sequence[str], line: int | None = None) -> Composition:
        """The analysis in one row; blank cells, and cells a short row lacks, are none.

        Parameters
        ----------
        cells : sequence of str
        line : int, optional
            Number of the row in its file, for messages.

        Raises
        ------
        CompositionError
            What :meth:`Composition.from_percent` refuses and amounts that cannot be read; the
            place names the line and the column.
        """
        errors = {
            heading.oxide: (heading, cells[index])
            for index, heading in self.errors
            if index < len(cells) and cells[index].strip()
        }
        entries: list[Entry] = []
        column = ""
        try:
            for index, heading in self.amounts:
                text = cells[index] if index < len(cells) else ""
                if not text and (not errors or heading.oxide not in errors):
                    continue
                column = heading.text
                unit = None if heading.unit is Unit.PERCENT else heading.unit
                amount = read_amount(text, heading.component.written, unit)
                if heading.oxide in errors:
                    column = errors[heading.oxide][0].text
                    amount = _with_error(amount, *errors[heading.oxide])
                entries.append((heading.component, amount))
            column = ""
            return Composition.from_entries(
                entries, self.basis, stated_total=self._total(cells), blanks_noted=False
            )
        except CompositionError as error:
            column = column or self._column_of(error.field)
            raise _placed(error, Place(self.file, line, column or None)) from error

    def _total(self, cells: Sequence[str]) -> float | None:
        if self.total is None or self.total >= len(cells) or not cells[self.total].strip():
            return None
        return read_amount(cells[self.total], "total").value

    def _column_of(self, field: str | None) -> str:
        named = (h.text for _, h in self.amounts if field in {h.oxide, h.component.written})
        return next(named, "")


def _check_zero(text: str, place: Place) -> None:
    """Refuse “K20”: carried through as no oxide, it would leave the potash out unnoticed."""
    if "0" not in text:
        return
    try:
        meant = read_heading(text.replace("0", "O"))
    except CompositionError:
        return
    if meant is not None and meant.oxide:
        raise CompositionError(
            f"“{text.strip()}” is not an oxide in the table.",
            field=text.strip(),
            place=place,
            remedy=f"Did you mean {meant.oxide}, with the letter O?",
        )


def _key(heading: Heading) -> str:
    return heading.oxide or heading.component.written.casefold()


def _with_error(amount: Amount, heading: Heading, text: str) -> Amount:
    unit = None if heading.unit is Unit.PERCENT else heading.unit
    name = f"the error of {heading.component.written}"
    error = read_amount(text, name, unit or (None if amount.unit is Unit.PERCENT else amount.unit))
    if error.kind is AmountKind.NOTHING:
        return amount
    if error.kind is not AmountKind.NUMBER or error.value < 0 or amount.error > 0:
        raise CompositionError(
            f"{name[0].upper()}{name[1:]} cannot be read: “{text.strip()}”.",
            field=heading.oxide,
            remedy="Give one plain number, such as 0.5.",
        )
    return replace(amount, error=error.value / heading.sigmas, kind=AmountKind.ERROR)


def _placed(error: CompositionError, place: Place) -> CompositionError:
    return CompositionError(error.message, field=error.field, place=place, remedy=error.remedy)
