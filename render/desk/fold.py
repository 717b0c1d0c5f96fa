"""Disclosure: in narrow windows a panel's less used part is shown by a button before it.

The part is an element of the class `folded` behind the button, among the same siblings. The button
works in the browser alone (`static/fold.js`); wide windows show the part without it.
"""

from __future__ import annotations

import json

from nicegui import ui


def fold_button(label: str, is_open: bool = False) -> None:
    """The button that shows and hides the `folded` element behind it."""
    button = ui.element("button").classes("fold").props('type="button"')
    button.props["aria-expanded"] = str(is_open).lower()
    with button:
        ui.label(label)


def close_fold(selector: str) -> None:
    """Hide what the disclosure button in an element shows."""
    ui.run_javascript(f"import('/static/fold.js').then((it) => it.close({json.dumps(selector)}))")
