"""Numbers and texts as TOML writes them."""

from __future__ import annotations

import json


def toml_number(value: float) -> str:
    """A number to twelve figures."""
    text = f"{value:.12g}"
    return "0" if text == "-0" else text


def toml_text(value: str) -> str:
    """A TOML basic string; its escapes are those of JSON, and DEL must be escaped as well."""
    return json.dumps(value, ensure_ascii=False).replace("\x7f", "\\u007f")
