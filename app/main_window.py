"""The window: a rail with the six pages in the order of the day's work, a header, menus."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from importlib import import_module
from pathlib import Path

from PySide6.QtCore import QSize, Qt, Signal, SignalInstance
from PySide6.QtGui import (
    QAction,
    QCloseEvent,
    QFont,
    QFontMetrics,
    QGuiApplication,
    QKeySequence,
)
from PySide6.QtWidgets import (
    QButtonGroup,
    QFileDialog,
    QHBoxLayout,
    QMainWindow,
    QMenu,
    QSizePolicy,
    QStackedWidget,
    QToolButton,
    QVBoxLayout,
    QWidget,
)
from shiboken6 import isValid

from app.keeping.keep_dialog import KeepDialog, show_keeping
from app.leaving import ask_to_leave, reasons_to_stay
from app.look_menus import LookMenus
from app.studio import Studio
from app.theme import Appearance, set_role, theme_of, themed_icon
from app.watch.alarm_banner import AlarmBanner
from app.widgets.banner import Banner, Weight
from app.widgets.label import Label, tip_text


@dataclass(frozen=True)
class _Page:
    key: str
    words: str
    widget: str
    """Its class in ``app.<key>.page``."""

    def make(self, studio: Studio) -> QWidget:
        module = import_module(f"app.{self.key}.page")
        page: QWidget = getattr(module, self.widget)(studio)
        return page


PAGES = (
    _Page("tonight", "Tonight", "TonightPage"),
    _Page("glass", "Glass", "GlassPage"),
    _Page("batch", "Batch", "BatchPage"),
    _Page("furnace", "Pots and furnace", "FurnacePage"),
    _Page("logbook", "Log book", "LogBookPage"),
    _Page("equipment", "Equipment", "EquipmentPage"),
)
"""The pages in the order of the day's work; icons have the same names.

Each is made when it is first opened: all at once would keep the window waiting for seconds.
"""

BOOK_FILTER = "Studio books (*.sqlite);;All files (*)"


class MainWindow(QMainWindow):
    """The one window of the program.

    Signals
    -------
    book_wanted(Path)
        A person chose another book to open, or named a new one.
    restore_wanted(Path)
        A person chose the backup that shall take the book's place.
    closed()
        The window has been closed.
    """

    book_wanted = Signal(object)
    restore_wanted = Signal(object)
    closed = Signal()

    def __init__(self, studio: Studio, appearance: Appearance) -> None:
        super().__init__()
        self._studio = studio
        self._appearance = appearance
        self.setWindowTitle(f"{studio.book.path.stem} – Lehrkeeper")
        self.setMinimumSize(QSize(760, 460))  # a small laptop at 200 %
        self.pages = QStackedWidget()
        self.banner = Banner()
        self._buttons: list[QToolButton] = []
        self._keeping: KeepDialog | None = None
        self._leaving = False
        self._rail = self._make_rail()
        right = QVBoxLayout()
        right.setContentsMargins(0, 0, 0, 0)
        right.setSpacing(0)
        right.addWidget(self._make_header())
        told = QVBoxLayout()
        told.setContentsMargins(20, 12, 20, 0)
        told.addWidget(self.banner)
        right.addLayout(told)
        right.addWidget(self.pages, 1)
        middle = QWidget()
        row = QHBoxLayout(middle)
        row.setContentsMargins(0, 0, 0, 0)
        row.setSpacing(0)
        row.addWidget(self._rail)
        row.addLayout(right, 1)
        self.setCentralWidget(middle)
        self._made: dict[str, QWidget] = {}
        self._make_menus()
        studio.page_wanted.connect(self.open_page)
        self._alarms = AlarmBanner(studio, self.banner, self)
        appearance.theme_changed.connect(lambda _: self._tint())
        self._tint()
        self._restore()
        self.pages.setFocus()

    # -- pages ------------------------------------------------------------------------------

    def open_page(self, key: str) -> None:
        """Show the page of that key; an unknown key shows the first."""
        keys = [page.key for page in PAGES]
        number = keys.index(key) if key in keys else 0
        self.pages.setCurrentWidget(self.page(keys[number]))
        self._buttons[number].setChecked(True)
        self._title.setText(PAGES[number].words)
        self._studio.settings.last_page = keys[number]

    @property
    def current_page(self) -> str:
        """Key of the page shown."""
        shown = self.pages.currentWidget()
        return next(key for key, widget in self._made.items() if widget is shown)

    def page(self, key: str) -> QWidget:
        """The widget of a page, made at the first call."""
        if key not in self._made:
            page = next(page for page in PAGES if page.key == key)
            self._made[key] = page.make(self._studio)
            self.pages.addWidget(self._made[key])
        return self._made[key]

    def _make_rail(self) -> QWidget:
        rail = QWidget()
        rail.setObjectName("rail")
        rail.setAttribute(Qt.WidgetAttribute.WA_StyledBackground)
        column = QVBoxLayout(rail)
        column.setContentsMargins(0, 14, 0, 14)
        column.setSpacing(2)
        group = QButtonGroup(self)
        for number, page in enumerate(PAGES, start=1):
            button = QToolButton()
            set_role(button, "rail")
            button.setText(f"  {page.words}")  # room between icon and word
            button.setCheckable(True)
            button.setToolButtonStyle(Qt.ToolButtonStyle.ToolButtonTextBesideIcon)
            button.setIconSize(QSize(24, 24))
            button.setSizePolicy(QSizePolicy.Policy.Expanding, QSizePolicy.Policy.Fixed)
            button.setShortcut(QKeySequence(f"Ctrl+{number}"))
            button.setToolTip(f"{page.words} (Ctrl+{number})")
            button.setAccessibleName(page.words)
            button.clicked.connect(lambda _=False, key=page.key: self.open_page(key))
            group.addButton(button)
            column.addWidget(button)
            self._buttons.append(button)
        column.addStretch(1)
        # The chosen page's word is bold: room for it, so that the rail never changes width.
        bold = QFont(self.font())
        bold.setBold(True)
        widest = max(QFontMetrics(bold).horizontalAdvance(f"  {page.words}") for page in PAGES)
        rail.setFixedWidth(widest + 24 + 62)
        return rail

    def _make_header(self) -> QWidget:
        header = QWidget()
        header.setObjectName("header")
        header.setAttribute(Qt.WidgetAttribute.WA_StyledBackground)
        row = QHBoxLayout(header)
        row.setContentsMargins(20, 10, 20, 10)
        self._title = Label(role="title")
        book = Label(self._studio.book.path.stem, role="muted")
        book.setToolTip(tip_text(str(self._studio.book.path)))
        book.setAccessibleName(f"Studio book {self._studio.book.path.stem}")
        row.addWidget(self._title)
        row.addStretch(1)
        row.addWidget(book)
        return header

    def _tint(self) -> None:
        theme = theme_of()
        for page, button in zip(PAGES, self._buttons, strict=True):
            button.setIcon(themed_icon(page.key, theme))
        self.setWindowIcon(themed_icon("app", theme, theme.accent))

    # -- menus ------------------------------------------------------------------------------

    def _make_menus(self) -> None:
        file = self.menuBar().addMenu("&File")
        self._add(file, "&Open another book…", self._choose_book, QKeySequence.StandardKey.Open)
        self._add(file, "&New book…", self._name_book, QKeySequence.StandardKey.New)
        self._add(file, "&Where is my book?", self._tell_place)
        self._add(file, "&Keep the book safe…", self._keep_safe)
        file.addSeparator()
        self._add(file, "&Reset settings", self._reset_settings)
        file.addSeparator()
        leave = self._add(file, "&Quit", self.close, QKeySequence.StandardKey.Quit)
        leave.setMenuRole(QAction.MenuRole.QuitRole)

        view = self.menuBar().addMenu("&View")
        go = view.addMenu("&Page")
        for page in PAGES:
            self._add(go, page.words, lambda key=page.key: self.open_page(key))
        view.addSeparator()
        self.look = LookMenus(view, self._studio, self._appearance)

    def _add(
        self,
        menu: QMenu,
        words: str,
        act: Callable[[], object],
        key: QKeySequence.StandardKey | None = None,
    ) -> QAction:
        action = QAction(words, self)
        if key is not None:
            action.setShortcut(key)
        action.triggered.connect(lambda _=False: act())
        menu.addAction(action)
        return action

    def _choose_book(self) -> None:
        folder = str(self._studio.book.path.parent)
        name, _ = QFileDialog.getOpenFileName(self, "Open another book", folder, BOOK_FILTER)
        if name:
            self._want_book(Path(name))

    def _want_book(self, path: Path) -> None:
        self._ask_and_emit(self.book_wanted, path)

    def _keep_safe(self) -> None:
        if self._keeping is not None and isValid(self._keeping):
            self._keeping.raise_()
            self._keeping.activateWindow()
            return
        self._keeping = show_keeping(self._studio, self)
        self._keeping.restore_wanted.connect(self._want_restored)
        self._keeping.book_wanted.connect(self._want_book)

    def _want_restored(self, backup: Path) -> None:
        self._ask_and_emit(self.restore_wanted, backup)

    def _ask_and_emit(self, signal: SignalInstance, path: Path) -> None:
        if self.may_leave():
            signal.emit(path)
            # Still here when that book could not be opened.
            self._leaving = False

    def _name_book(self) -> None:
        folder = str(self._studio.book.path.with_name("new book.sqlite"))
        name, _ = QFileDialog.getSaveFileName(
            self,
            "Name a new book",
            folder,
            BOOK_FILTER,
            options=QFileDialog.Option.DontConfirmOverwrite,  # a book there is opened, not lost
        )
        if name:
            path = Path(name)
            self._want_book(path if path.suffix else path.with_suffix(".sqlite"))

    def _tell_place(self) -> None:
        path = self._studio.book.path
        self.banner.tell(
            Weight.INFORMATION,
            f"Everything you enter is kept in this one file:\n{path}\n"
            "Backups of it, its check and copies for other programs: File, Keep the book safe.",
        )

    def _reset_settings(self) -> None:
        self._studio.settings.reset()
        self.look.reset()
        self.banner.tell(
            Weight.GOOD,
            "Units and colours are as they were on the first day. Your book is untouched.",
        )

    # -- place on the screen ----------------------------------------------------------------

    def _restore(self) -> None:
        settings = self._studio.settings
        geometry = settings.geometry
        if geometry.isEmpty() or not self.restoreGeometry(geometry):
            self.resize(QSize(1280, 820))
        state = settings.window_state
        if not state.isEmpty():
            self.restoreState(state)
        self.bring_on_screen()
        self.open_page(settings.last_page)

    def bring_on_screen(self) -> None:
        """Move to the primary screen when no screen shows the title bar; never larger than it."""
        primary = QGuiApplication.primaryScreen()
        if primary is None:
            return
        bar = self.frameGeometry()
        bar.setHeight(30)
        seen = [screen.availableGeometry().intersected(bar) for screen in QGuiApplication.screens()]
        if any(part.width() >= 120 and part.height() >= 15 for part in seen):
            return
        room = primary.availableGeometry()
        self.resize(self.size().boundedTo(room.size()))
        self.move(room.center() - self.rect().center())

    def may_leave(self) -> bool:
        """Ask, where something typed is not saved; False when the person wants to stay."""
        unsaved = [page for page in PAGES if getattr(self._made.get(page.key), "dirty", False)]
        recorded = [run.load.lehr.name for run in self._studio.watch.recording]
        reasons = reasons_to_stay([page.words for page in unsaved], recorded)
        if not reasons or self._leaving:
            return True
        self.open_page(unsaved[0].key if unsaved else "tonight")
        # Once is enough: opening another book closes this window next.
        self._leaving = ask_to_leave(self, reasons)
        return self._leaving

    def closeEvent(self, event: QCloseEvent) -> None:
        """Ask about what is not saved, remember the place; the studio stops background work."""
        if not self.may_leave():
            event.ignore()
            return
        self._studio.settings.geometry = self.saveGeometry()
        self._studio.settings.window_state = self.saveState()
        self._studio.settings.sync()
        super().closeEvent(event)
        self.closed.emit()
