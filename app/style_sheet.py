"""The style sheet, written from the colours of a theme.

Kept small: Fusion and the palette do most of it. Roles are set with ``app.theme.set_role``.
"""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from app.theme import Theme


def style_sheet(theme: Theme, icons: Path) -> str:
    """The application's style sheet in the colours of ``theme``."""
    arrow = (icons / f"chevron_{theme.name}.svg").as_posix()
    tick = (icons / f"tick_{theme.name}.svg").as_posix()
    return f"""
QToolTip {{ background: {theme.raised}; color: {theme.ink}; border: 1px solid {theme.edge_strong};
  padding: 5px 7px; }}
QMainWindow::separator {{ background: {theme.edge}; width: 1px; height: 1px; }}

QLabel {{ background: transparent; }}
QLabel[role="title"] {{ font-size: 17pt; font-weight: 600; }}
QLabel[role="heading"] {{ font-size: 12.5pt; font-weight: 600; }}
QLabel[role="label"] {{ font-weight: 600; }}
QLabel[role="figure"] {{ font-size: 20pt; font-weight: 600; }}
QLabel[role="muted"] {{ color: {theme.muted}; }}
QLabel[role="small"] {{ color: {theme.muted}; font-size: 9.5pt; }}
QLabel[role="error"] {{ color: {theme.problem}; font-size: 9.5pt; }}
QLabel[role="note"] {{ color: {theme.caution}; font-size: 9.5pt; }}
QLabel[role="unit"] {{ color: {theme.muted}; }}
QLabel[role="good"] {{ color: {theme.good}; font-weight: 600; }}
QLabel[role="late"] {{ color: {theme.problem}; font-weight: 600; }}

QFrame[role="card"] {{ background: {theme.raised}; border: 1px solid {theme.edge};
  border-radius: 8px; }}
QFrame[role="rule"] {{ background: {theme.edge}; border: none; max-height: 1px;
  min-height: 1px; }}
QFrame[role="information"] {{ background: {theme.information_soft};
  border: 1px solid {theme.information}; border-radius: 6px; }}
QFrame[role="caution"] {{ background: {theme.caution_soft};
  border: 1px solid {theme.caution}; border-radius: 6px; }}
QFrame[role="problem"] {{ background: {theme.problem_soft};
  border: 1px solid {theme.problem}; border-radius: 6px; }}
QFrame[role="good"] {{ background: {theme.good_soft};
  border: 1px solid {theme.good}; border-radius: 6px; }}
QLabel[role="good"] {{ background: transparent; border: none; }}
QFrame[role="caution_strip"] {{ background: {theme.caution_soft}; border: none;
  border-left: 4px solid {theme.caution}; }}

QLineEdit, QPlainTextEdit, QTextEdit, QDateEdit, QComboBox {{
  background: {theme.raised}; color: {theme.ink}; border: 1px solid {theme.edge_strong};
  border-radius: 5px; padding: 4px 8px; selection-background-color: {theme.accent};
  selection-color: {theme.accent_ink}; }}
QLineEdit, QDateEdit, QComboBox {{ min-height: 24px; }}
QLineEdit:focus, QPlainTextEdit:focus, QTextEdit:focus, QDateEdit:focus, QComboBox:focus {{
  border: 2px solid {theme.accent}; padding: 3px 7px; }}
QLineEdit:disabled, QPlainTextEdit:disabled, QDateEdit:disabled, QComboBox:disabled {{
  background: {theme.surface}; color: {theme.faint}; border-color: {theme.edge}; }}
QLineEdit:read-only {{ background: {theme.surface}; border-color: {theme.edge}; }}
QLineEdit[invalid="true"], QPlainTextEdit[invalid="true"], QDateEdit[invalid="true"],
QComboBox[invalid="true"] {{ border: 2px solid {theme.problem}; padding: 3px 7px;
  background: {theme.problem_soft}; }}
QComboBox::drop-down, QDateEdit::drop-down {{ border: none; width: 26px;
  subcontrol-origin: padding; subcontrol-position: center right; }}
QComboBox::down-arrow, QDateEdit::down-arrow {{ image: url("{arrow}"); width: 12px;
  height: 12px; }}
QComboBox QAbstractItemView {{ background: {theme.raised}; color: {theme.ink};
  border: 1px solid {theme.edge_strong}; padding: 4px; outline: 0;
  selection-background-color: {theme.selection}; selection-color: {theme.ink}; }}
QComboBox QAbstractItemView::item {{ min-height: 28px; padding: 2px 6px; }}

QCheckBox, QRadioButton {{ spacing: 8px; background: transparent; }}
QCheckBox::indicator {{ width: 18px; height: 18px; border: 1px solid {theme.edge_strong};
  border-radius: 4px; background: {theme.raised}; }}
QCheckBox::indicator:checked {{ background: {theme.accent}; border-color: {theme.accent};
  image: url("{tick}"); }}
QCheckBox::indicator:focus {{ border: 2px solid {theme.accent}; }}
QCheckBox::indicator:disabled {{ border-color: {theme.edge}; background: {theme.surface}; }}
QRadioButton::indicator {{ width: 18px; height: 18px; border: 1px solid {theme.edge_strong};
  border-radius: 10px; background: {theme.raised}; }}
QRadioButton::indicator:checked {{ width: 8px; height: 8px; border: 6px solid {theme.accent};
  background: {theme.accent_ink}; }}
QRadioButton::indicator:focus {{ border-color: {theme.ink}; }}
QRadioButton::indicator:disabled {{ border-color: {theme.edge}; background: {theme.surface}; }}

QPushButton {{ background: {theme.raised}; color: {theme.ink};
  border: 1px solid {theme.edge_strong}; border-radius: 5px; padding: 6px 14px;
  min-height: 22px; }}
QPushButton:hover {{ background: {theme.accent_soft}; }}
QPushButton:focus {{ border: 2px solid {theme.accent}; padding: 5px 13px; }}
QPushButton:pressed {{ background: {theme.selection}; }}
QPushButton:disabled {{ color: {theme.faint}; border-color: {theme.edge};
  background: {theme.surface}; }}
QPushButton[role="primary"] {{ background: {theme.accent}; color: {theme.accent_ink};
  border-color: {theme.accent}; font-weight: 600; }}
QPushButton[role="primary"]:hover {{ border-color: {theme.ink}; }}
QPushButton[role="primary"]:focus {{ border: 2px solid {theme.ink}; }}
QPushButton[role="primary"]:disabled {{ background: {theme.edge}; border-color: {theme.edge};
  color: {theme.muted}; }}
QPushButton[role="quiet"] {{ background: transparent; border-color: transparent;
  color: {theme.accent}; }}
QPushButton[role="quiet"]:hover {{ background: {theme.accent_soft}; }}
QPushButton[role="quiet"]:focus {{ border: 2px solid {theme.accent}; }}
QPushButton[role="quiet"]:disabled {{ color: {theme.faint}; }}

QTableView {{ background: {theme.raised}; alternate-background-color: {theme.surface};
  border: 1px solid {theme.edge}; border-radius: 6px; gridline-color: {theme.edge};
  selection-background-color: {theme.selection}; selection-color: {theme.ink}; outline: 0; }}
QTableView::item {{ padding: 2px 8px; }}
QTableView::item:focus {{ border: 2px solid {theme.accent}; padding: 0px 6px; }}
QTableView:focus {{ border: 1px solid {theme.accent}; }}
QListWidget[role="ticks"] {{ background: {theme.raised}; border: 1px solid {theme.edge};
  border-radius: 6px; outline: 0; padding: 4px; }}
QListWidget[role="ticks"]::item {{ padding: 4px 6px; color: {theme.ink}; }}
QListWidget[role="ticks"]::item:focus {{ border: 1px solid {theme.accent}; }}
QHeaderView {{ background: {theme.raised}; border: none; }}
QHeaderView::section {{ background: {theme.raised}; color: {theme.muted}; font-weight: 600;
  border: none; border-bottom: 1px solid {theme.edge_strong}; padding: 7px 11px; }}

QWidget#rail {{ background: {theme.rail}; border: none;
  border-right: 1px solid {theme.edge}; }}
QToolButton[role="rail"] {{ background: transparent; color: {theme.ink}; border: none;
  border-left: 4px solid transparent; border-radius: 0; padding: 11px 14px 11px 12px;
  text-align: left; }}
QToolButton[role="rail"]:hover {{ background: {theme.surface}; }}
QToolButton[role="rail"]:checked {{ background: {theme.surface}; font-weight: 700;
  border-left: 4px solid {theme.accent}; }}
QToolButton[role="rail"]:focus {{ background: {theme.accent_soft}; }}
QWidget#header {{ background: {theme.surface}; border-bottom: 1px solid {theme.edge}; }}

QMenuBar {{ background: {theme.surface}; padding: 2px 6px; }}
QMenuBar::item {{ padding: 5px 10px; border-radius: 4px; background: transparent; }}
QMenuBar::item:selected {{ background: {theme.accent_soft}; }}
QMenu {{ background: {theme.raised}; border: 1px solid {theme.edge_strong}; padding: 5px; }}
QMenu::item {{ padding: 7px 26px 7px 26px; border-radius: 4px; }}
QMenu::item:selected {{ background: {theme.accent_soft}; color: {theme.ink}; }}
QMenu::item:disabled {{ color: {theme.faint}; }}
QMenu::separator {{ height: 1px; background: {theme.edge}; margin: 5px 8px; }}

QScrollArea {{ background: transparent; border: none; }}
QScrollArea > QWidget > QWidget#page {{ background: transparent; }}
QTabWidget::pane {{ border: none; border-top: 1px solid {theme.edge}; }}
QTabBar::tab {{ background: transparent; color: {theme.muted}; padding: 8px 16px; border: none;
  border-bottom: 3px solid transparent; }}
QTabBar::tab:selected {{ color: {theme.ink}; font-weight: 600;
  border-bottom: 3px solid {theme.accent}; }}
QTabBar::tab:focus {{ color: {theme.accent}; }}
QSplitter::handle {{ background: transparent; }}
QSplitter::handle:hover {{ background: {theme.accent_soft}; }}
QProgressBar {{ border: 1px solid {theme.edge_strong}; border-radius: 5px; height: 10px;
  background: {theme.raised}; text-align: center; }}
QProgressBar::chunk {{ background: {theme.accent}; border-radius: 4px; }}
"""
