"""Starts the window: identity, log, preferences, colours, the book, in this order."""

from __future__ import annotations

import logging
import sys
from datetime import UTC, datetime
from pathlib import Path
from typing import TYPE_CHECKING

from PySide6.QtCore import QCoreApplication, QLibraryInfo, QLocale, QObject, Qt, QTimer, QTranslator
from PySide6.QtWidgets import QApplication, QFileDialog, QMessageBox

from app.faults import FaultHook, log_file, start_log
from app.settings import APPLICATION, ORGANISATION, Settings
from app.studio import Studio
from app.theme import Appearance
from app.widgets.banner import Weight
from app.work_process import WorkProcess
from core.errors import BookDamagedError, BookError, LehrkeeperError
from core.version import VERSION

if TYPE_CHECKING:
    from app.main_window import MainWindow
    from core.store.book import Book

log = logging.getLogger(__name__)

DEMO_FILE = "demo studio.sqlite"
DEMO_WORDS = (
    "This is an invented studio to try things on. It has its own file; your own book, if you "
    "have one, is not touched."
)


def set_identity() -> None:
    """Name the program before anything asks where its files belong."""
    QCoreApplication.setOrganizationName(ORGANISATION)
    QCoreApplication.setApplicationName(APPLICATION)
    QCoreApplication.setApplicationVersion(VERSION)


_TURN = 0.001
"""[s] Python's own 5 ms, several times over for one redrawing, are felt."""


def make_application() -> QApplication:
    """The application, named before it is made."""
    # While curves are reckoned in the background the window waits at most so long for its turn.
    sys.setswitchinterval(_TURN)
    set_identity()
    existing = QApplication.instance()
    application = existing if isinstance(existing, QApplication) else QApplication(sys.argv[:1])
    application.setApplicationDisplayName("Lehrkeeper")
    translator = QTranslator(application)
    folder = QLibraryInfo.path(QLibraryInfo.LibraryPath.TranslationsPath)
    # Qt's own buttons (Open, Cancel) in English like the rest, whatever the system speaks.
    if translator.load(QLocale(QLocale.Language.English), "qtbase", "_", folder):
        application.installTranslator(translator)
    return application


class Starter(QObject):
    """Holds what lives as long as the program: studio, window, appearance."""

    def __init__(self, application: QApplication, settings: Settings) -> None:
        super().__init__(application)
        self._application = application
        self._settings = settings
        self.appearance = Appearance(application, settings.theme)
        self.studio: Studio | None = None
        self.window: MainWindow | None = None
        self._told = ""
        # Left open for days, the program makes its backups all the same.
        self._hourly = QTimer(self)
        self._hourly.setInterval(3_600_000)
        self._hourly.timeout.connect(self._back_up_again)
        self._hourly.start()

    def open(self, path: Path, *, demo: bool = False) -> bool:
        """Open a book and show it in a new window; asks for another when it cannot be opened.

        Returns
        -------
        bool
            False when the person gave up.
        """
        book = self._open_book(path)
        if book is None:
            return False
        if demo:
            _fill_demo(book)
        else:
            self._settings.last_book = str(book.path)
        self._show(book)
        if demo and self.window is not None:
            self.window.banner.tell(Weight.INFORMATION, DEMO_WORDS)
        elif self.window is not None and book.risk:
            self.window.banner.tell(Weight.CAUTION, book.risk)
        if self._told and self.window is not None:
            self.window.banner.tell(Weight.GOOD, self._told)
        self._told = ""
        return True

    def close(self) -> None:
        """Stop background work and close the book."""
        window, studio = self.window, self.studio
        self.window = self.studio = None
        if window is not None:
            window.closed.disconnect(self._quit)
            window.close()
            window.deleteLater()
        if studio is not None:
            studio.close()
            studio.deleteLater()

    def _show(self, book: Book) -> None:
        from app.main_window import MainWindow  # noqa: PLC0415 -- plots load while nothing shows

        old_window, old_studio = self.window, self.studio
        self.studio = Studio(book, self._settings, parent=self)
        self.studio.jobs.work_process = WorkProcess()
        self.window = MainWindow(self.studio, self.appearance)
        self.window.book_wanted.connect(self._change_book)
        self.window.restore_wanted.connect(self._restore)
        self.window.closed.connect(self._quit)
        self.window.show()
        self._back_up_daily(self.studio)
        if old_window is not None and old_studio is not None:
            old_window.closed.disconnect(self._quit)
            old_window.close()
            old_window.deleteLater()
            old_studio.close()
            old_studio.deleteLater()

    def _change_book(self, path: Path) -> None:
        self.open(path)

    def _back_up_again(self) -> None:
        if self.studio is not None:
            self._back_up_daily(self.studio)

    def _back_up_daily(self, studio: Studio) -> None:
        from core.store.backup import back_up_if_due  # noqa: PLC0415 -- with the book

        studio.jobs.submit(
            back_up_if_due,
            studio.book.path,
            on_failed=self._tell_no_backup,
            kind="backup",
            owner=self.window,
        )

    def _tell_no_backup(self, error: LehrkeeperError) -> None:
        log.warning("No backup: %s", error)
        if self.window is not None:
            self.window.banner.tell(Weight.CAUTION, str(error))

    def _restore(self, backup: Path) -> None:
        """Put a backup in the place of the open book, which is closed for it and opened again."""
        from app.keeping.words import restored_words  # noqa: PLC0415 -- wanted hardly ever
        from core.store.restore import restore  # noqa: PLC0415

        if self.studio is None:
            return
        path = self.studio.book.path
        self.close()
        try:
            self._told = restored_words(restore(path, backup))
        except LehrkeeperError as error:
            # Nothing was changed: the book is there as before.
            log.warning("The backup %s was not put back: %s", backup, error)
            if self.open(path) and self.window is not None:
                self.window.banner.tell_error(error)
            return
        if not self.open(path):
            self._quit()

    def _quit(self) -> None:
        self._application.quit()

    def _open_book(self, path: Path) -> Book | None:
        from core.store.book import Book  # noqa: PLC0415 -- SQL loads after the first paint

        while True:
            try:
                return Book.open(path)
            except BookError as error:
                log.warning("The book %s cannot be opened: %s", path, error)
                if isinstance(error, BookDamagedError):
                    other = self._ask_about_damage(path, error)
                else:
                    other = self._ask_for_another(path, error)
                if other is None:
                    return None
                path = other

    def _ask_about_damage(self, path: Path, error: BookError) -> Path | None:
        from app.keeping.damaged_dialog import (  # noqa: PLC0415 -- wanted hardly ever
            DamagedDialog,
            WayOut,
        )

        words = "Stay in this book" if self.window is not None else "Quit"
        dialog = DamagedDialog(path, error, leave_words=words, parent=self.window)
        dialog.exec()
        if dialog.way is WayOut.MENDED:
            self._told = dialog.told
            return dialog.book
        return self._choose_another(path) if dialog.way is WayOut.ANOTHER else None

    def _ask_for_another(self, path: Path, error: BookError) -> Path | None:
        box = QMessageBox(self.window)
        box.setIcon(QMessageBox.Icon.Warning)
        box.setTextFormat(Qt.TextFormat.PlainText)
        box.setWindowTitle("Lehrkeeper")
        box.setText("This book cannot be opened.")
        box.setInformativeText(f"{error}\n\n{path}")
        other = box.addButton("Choose another book…", QMessageBox.ButtonRole.AcceptRole)
        words = "Stay in this book" if self.window is not None else "Quit"
        leave = box.addButton(words, QMessageBox.ButtonRole.RejectRole)
        box.setDefaultButton(other)
        box.setEscapeButton(leave)
        box.exec()
        if box.clickedButton() is not other:
            return None
        return self._choose_another(path)

    def _choose_another(self, path: Path) -> Path | None:
        name, _ = QFileDialog.getSaveFileName(
            self.window,
            "Choose a book, or name a new one",
            str(path.parent),
            "Studio books (*.sqlite);;All files (*)",
            options=QFileDialog.Option.DontConfirmOverwrite,
        )
        return Path(name) if name else None


def _fill_demo(book: Book) -> None:
    """Put the invented demo studio into a fresh book; one that has been used stays as it is."""
    if book.glasses() or book.loads() or book.furnaces():
        return
    from core.store.demo import fill_demo  # noqa: PLC0415 -- wanted once at most

    fill_demo(book, datetime.now(UTC).astimezone())


def book_to_open(settings: Settings, database: Path | None, *, demo: bool) -> Path:
    """Which book: the one asked for, the demo's, the last one if still there, or the usual."""
    from core.store.place import default_book_path  # noqa: PLC0415 -- with the book, later

    if database is not None:
        return database.expanduser().absolute()
    usual = default_book_path()
    if demo:
        return usual.with_name(DEMO_FILE)
    last = Path(settings.last_book) if settings.last_book else None
    return last if last is not None and last.is_file() else usual


def open_window(
    *, database: Path | None = None, demo: bool = False, reset_settings: bool = False
) -> int:
    """Open the window and stay until it is closed; returns the exit status."""
    application = make_application()
    start_log(log_file())
    FaultHook(VERSION).install()
    settings = Settings()
    if reset_settings:
        settings.reset()
    starter = Starter(application, settings)
    if not starter.open(book_to_open(settings, database, demo=demo), demo=demo):
        return 1
    status = application.exec()
    starter.close()
    return status
