"""The book's description of each furnace with its pot, as the text of a melt file."""

from __future__ import annotations

import json

from core.errors import LehrkeeperError
from core.melt.melt_file import parse_melt
from core.melt.melt_task import MeltTask
from core.melt.melt_writer import melt_to_toml
from core.store.envelope import read_enveloped, write_enveloped
from core.store.pages import Pages, furnace_row

_KIND = "furnace"


class FurnaceMeltPages(Pages):
    """One melt for each furnace: what it is built of, its usual pot, and the night last asked for.

    It is kept as a melt file, which a person can read and take elsewhere.
    """

    def save_furnace_melt(self, furnace: str, task: MeltTask | None) -> None:
        """Keep a furnace's melt, or forget it.

        Raises
        ------
        BookError
            There is no such furnace.
        LoadError
            If the melt's time zone has no known name.
        """
        content = {} if task is None else {"melt": melt_to_toml(task)}
        with self._writing() as session:
            furnace_row(session, furnace).settings = write_enveloped(_KIND, content)

    def furnace_melt(self, furnace: str) -> MeltTask | None:
        """Return a furnace's melt; ``None`` while nobody has described it.

        Raises
        ------
        BookError
            There is no such furnace.
        LoadError
            If what was kept cannot be read, with its line.
        """
        with self._reading() as session:
            text = furnace_row(session, furnace).settings
        # Books from before furnaces were described hold an envelope with nothing in it.
        if _KIND not in json.loads(text):
            return None
        melt = read_enveloped(_KIND, text, lambda fields: fields.content.get("melt"))
        if not isinstance(melt, str):
            return None
        try:
            return parse_melt(melt)
        except LehrkeeperError as error:
            error.message = f"The description of “{furnace}” cannot be read: {error.message}"
            raise
