"""What the nights together teach: cracks against stress, strain seen, thermocouples, lehrs."""

from __future__ import annotations

from collections.abc import Sequence

from PySide6.QtCore import QEvent, Qt, Signal
from PySide6.QtWidgets import (
    QFrame,
    QHBoxLayout,
    QProgressBar,
    QPushButton,
    QScrollArea,
    QVBoxLayout,
    QWidget,
)

from app.jobs import Job
from app.logbook.learning_plots import draw_cracks, draw_drift, draw_seen, draw_trend
from app.logbook.learning_work import Taught, Verdicts, learn
from app.logbook.run_words import count_words
from app.plots.clock_axis import ClockAxis
from app.plots.point_plot import PointPlot
from app.studio import Studio
from app.theme import set_role, theme_of, themed_icon
from app.widgets.banner import Banner, Weight
from app.widgets.card import card
from app.widgets.caution import CautionStrip
from app.widgets.choice_box import ChoiceBox
from app.widgets.label import Label
from app.widgets.quantity import local_sentence
from app.widgets.sentence import Sentence
from core.errors import LehrkeeperError
from core.plan.stress_check import Limit

_KIND = "logbook learning"
CAUTION = (
    "A record of few nights misleads easily: what is said here are hints. A polariscope decides on "
    "a piece, a melting point or a good instrument on a thermocouple, a licensed trade on the lehr."
)


class LearningView(QWidget):
    """Cards, one for each thing that can be learned; each says when there is too little.

    Signals
    -------
    left()
        Back to the list.
    taught(Taught)
        What the nights teach is shown.
    """

    left = Signal()
    taught = Signal(object)
    _built = False  # Qt sends change events while the parts are still being made

    def __init__(self, studio: Studio, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self._studio = studio
        self._verdicts: Verdicts = {}
        self._job: Job | None = None
        self.shown: Taught | None = None
        self.back = QPushButton(" &Back")
        set_role(self.back, "quiet")
        self.banner = Banner()
        self.state = Label(role="muted")
        self.progress = QProgressBar()
        self.progress.setRange(0, 100)
        self.progress.setTextVisible(False)
        self.progress.setAccessibleName("How many nights have been gone through")
        self.stop = QPushButton("S&top")
        self.limit = ChoiceBox([(_capital(limit), limit) for limit in Limit])
        self.limit.setAccessibleName("Which stress")
        self.limit.setMinimumWidth(120)
        self.cracks = PointPlot("Cracked and sound pieces by their stress")
        self.crack_words = _Told()
        self.seen = PointPlot("Strain seen against strain predicted")
        self.seen_words = _Told()
        self._lehrs = QVBoxLayout()
        self._lehrs.setSpacing(12)
        self.lehr_cards: list[QFrame] = []
        self._lay_out()
        self.back.clicked.connect(self.leave)
        self.stop.clicked.connect(self._stop)
        self.limit.chosen.connect(lambda _: self._show_cracks())
        studio.units_changed.connect(lambda _: self._show_lehrs())
        self._built = True
        self._tint()

    def _lay_out(self) -> None:
        top = QHBoxLayout()
        top.setSpacing(10)
        top.addWidget(self.back)
        top.addWidget(Label("What the nights teach", role="heading"))
        top.addStretch(1)
        work = QHBoxLayout()
        work.setSpacing(10)
        work.addWidget(self.state, 1)
        work.addWidget(self.progress, 1)
        work.addWidget(self.stop)
        inside = QWidget()
        inside.setObjectName("page")
        column = QVBoxLayout(inside)
        column.setContentsMargins(0, 0, 8, 0)
        column.setSpacing(12)
        cracks = card("Do pieces crack above it?", self.limit, self.crack_words, self.cracks)
        seen = card("Polariscope against prediction", self.seen_words, self.seen)
        column.addWidget(cracks)
        column.addWidget(seen)
        column.addLayout(self._lehrs)
        column.addWidget(CautionStrip(CAUTION))
        column.addStretch(1)
        scroll = QScrollArea()
        scroll.setWidgetResizable(True)
        scroll.setFrameShape(QFrame.Shape.NoFrame)
        scroll.setHorizontalScrollBarPolicy(Qt.ScrollBarPolicy.ScrollBarAlwaysOff)
        scroll.setWidget(inside)
        whole = QVBoxLayout(self)
        whole.setContentsMargins(20, 12, 20, 14)
        whole.setSpacing(8)
        whole.addLayout(top)
        whole.addWidget(self.banner)
        whole.addLayout(work)
        whole.addWidget(scroll, 1)

    # -- going through the nights -----------------------------------------------------------

    def begin(self) -> None:
        """Go through every night of the book; verdicts reckoned before are kept."""
        self.banner.clear()
        self._set_busy(busy=True)
        self.state.setText("The nights are being gone through …")
        self._job = self._studio.jobs.submit(
            learn,
            self._studio.book,
            self._verdicts,
            self._studio.zone,
            on_done=self._on_taught,
            on_failed=self._on_failed,
            on_progress=lambda done: self.progress.setValue(round(100 * done)),
            kind=_KIND,
            owner=self,
        )

    def leave(self) -> None:
        """Stop and go back."""
        self._drop()
        self.left.emit()

    def _stop(self) -> None:
        self._drop()
        self._set_busy(busy=False)
        self.state.setText("Stopped.")

    def _drop(self) -> None:
        if self._job is not None:
            self._job.cancel()
            self._job = None

    def _set_busy(self, *, busy: bool) -> None:
        self.progress.setValue(0)
        for part in (self.progress, self.stop):
            part.setVisible(busy)

    def _on_failed(self, error: LehrkeeperError) -> None:
        self._set_busy(busy=False)
        self.state.setText("")
        self.banner.tell_error(error)

    def _on_taught(self, found: Taught) -> None:
        self._job = None
        self.shown = found
        self._set_busy(busy=False)
        nights = count_words(found.nights, "finished night", "finished nights")
        self.state.setText(f"From {nights} with readings.")
        if found.left_out:
            self.banner.tell(Weight.CAUTION, "\n".join(found.left_out))
        # The stress of which most is known comes first.
        most = max(found.cracks, key=lambda r: r.within.some + r.over.some, default=None)
        if most is not None and most.within.some + most.over.some:
            self.limit.set_value(most.limit)
        self._show_cracks()
        self.seen_words.tell((found.strain.sentence,))
        self.seen.setVisible(bool(found.seen))
        draw_seen(self.seen, found.seen)
        self._show_lehrs()
        self.taught.emit(found)

    # -- what is shown ----------------------------------------------------------------------

    def _show_cracks(self) -> None:
        if self.shown is None:
            return
        report = next(r for r in self.shown.cracks if r.limit is self.limit.value)
        self.crack_words.tell(report.sentences)
        self.cracks.setVisible(any(one.limit is report.limit for one in self.shown.found))
        draw_cracks(self.cracks, report, self.shown.found)

    def _show_lehrs(self) -> None:
        while (item := self._lehrs.takeAt(0)) is not None:
            widget = item.widget()
            widget.setParent(None)
            widget.deleteLater()
        self.lehr_cards.clear()
        if self.shown is None:
            return
        units, zone = self._studio.units, self._studio.zone
        for report in self.shown.drifts:
            words = _Told(report.in_words(units))
            plot = PointPlot(f"Thermocouple of {report.lehr}", dates=ClockAxis(zone))
            draw_drift(plot, report, units)
            plot.setVisible(bool(report.at_soak or report.when_cold))
            self._add_card(card(f"Thermocouple of “{report.lehr}”", words, plot))
        for trend in self.shown.trends:
            if not trend.time.size:
                continue
            plot = PointPlot(f"{trend.parameter} of {trend.equipment}", dates=ClockAxis(zone))
            draw_trend(plot, trend, units)
            title = f"{_capital(trend.parameter)} of “{trend.equipment}”"
            self._add_card(card(title, _Told((trend.sentence,)), plot))

    def _add_card(self, frame: QFrame) -> None:
        self._lehrs.addWidget(frame)
        self.lehr_cards.append(frame)

    def _tint(self) -> None:
        theme = theme_of(self)
        self.back.setIcon(themed_icon("logbook", theme, theme.accent))

    def changeEvent(self, event: QEvent) -> None:
        """Follow the theme."""
        super().changeEvent(event)
        if self._built and event.type() is QEvent.Type.PaletteChange:
            self._tint()


class _Told(QWidget):
    """Sentences one below the other."""

    def __init__(self, sentences: Sequence[str] = ()) -> None:
        super().__init__()
        self._column = QVBoxLayout(self)
        self._column.setContentsMargins(0, 0, 0, 0)
        self._column.setSpacing(4)
        self.texts: tuple[str, ...] = ()
        self.tell(sentences)

    def tell(self, sentences: Sequence[str]) -> None:
        """Say these."""
        while (item := self._column.takeAt(0)) is not None:
            widget = item.widget()
            widget.setParent(None)
            widget.deleteLater()
        self.texts = tuple(local_sentence(text) for text in sentences)
        for text in self.texts:
            self._column.addWidget(Sentence(Weight.INFORMATION, text))


def _capital(text: str) -> str:
    return f"{text[:1].upper()}{text[1:]}"
