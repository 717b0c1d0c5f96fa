"""The page exactly as it prints, redrawn while the text is typed."""

from __future__ import annotations

from nicegui import ui

from .session import Session


def page_panel(session: Session) -> None:
    """The pages of the open tune; those of the last good text stay while it is wrong."""
    with (
        ui.element("section")
        .classes("pages")
        .props('tabindex="0" aria-label="Page of the tune"') as panel
    ):
        papers: list[ui.html] = []

    def show() -> None:
        pages = session.desk.shown.pages
        with panel:
            while len(papers) < len(pages):
                papers.append(ui.html("", sanitize=False).classes("paper"))
        for paper, page in zip(papers, pages, strict=False):
            if paper.content != page:
                paper.set_content(page)
        for paper in papers[len(pages) :]:
            paper.delete()
        del papers[len(pages) :]
        panel.classes(
            add="stale" if not session.desk.work.good else "",
            remove="" if not session.desk.work.good else "stale",
        )

    session.listen("work", show)
