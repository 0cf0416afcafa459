"""What every JSON report shares: the schema's number, and how a place is written."""

from __future__ import annotations

import json
from collections.abc import Mapping
from typing import Any

from cfgaudit.syntax.document import Place

SCHEMA = 1
Json = Mapping[str, Any]


def place_form(place: Place) -> dict[str, Any]:
    """A place with 1-based lines and columns, the end column excluded."""
    return {
        "file": place.file,
        "line": place.line,
        "column": place.column,
        "end_line": place.end_line,
        "end_column": place.end_column,
    }


def dump(report: Json) -> str:
    """A report as JSON text; bytes of a configuration that are no UTF-8 stand in it as escapes."""
    text = json.dumps({"schema": SCHEMA, **report}, ensure_ascii=False, indent=2)
    return text.encode("utf-8", "backslashreplace").decode("utf-8") + "\n"
