"""Accessibility of a page as axe-core judges it (Web Content Accessibility Guidelines 2.2, AA)."""

from __future__ import annotations

from axe_playwright_python.sync_playwright import Axe
from playwright.sync_api import Page

TAGS = ["wcag2a", "wcag2aa", "wcag21a", "wcag21aa", "wcag22aa", "best-practice"]


def violations(page: Page, within: str = "html") -> list[str]:
    """What axe finds wrong, as rule and the elements, in the element of a selector.

    Under a modal dialog the page is dimmed and inactive, so that contrast is not asked of it
    (success criterion 1.4.3): judge the dialog alone.
    """
    found = (
        Axe()
        .run(page, context=within, options={"runOnly": {"type": "tag", "values": TAGS}})
        .response
    )
    assert len(found["passes"]) > 10
    return [
        f"{rule['id']}: {node['target']} {node['failureSummary'][:200]}"
        for rule in found["violations"]
        for node in rule["nodes"]
    ]
