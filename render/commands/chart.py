"""`midneck chart`: sheets in, comping charts out."""

from __future__ import annotations

import time
from collections.abc import Iterator, Sequence
from dataclasses import fields, replace
from functools import partial
from pathlib import Path
from textwrap import fill
from typing import Any

import click

from ...converter.chart import CompingChart
from ...converter.hand.plan import PlanOptions
from ...converter.hand.player import Player
from ...converter.prose.facts import summary_lines
from ...converter.prose.remarks import clash_lines
from ...grammar.errors import SheetError
from ...grammar.foreign_text import one_line
from ...grammar.frozen import frozen
from ...grammar.sheet import Sheet
from ..batch import Runner, one_by_one, run_steps
from ..charts import Chart, chart
from ..export import CHART_FORMATS, export_chart
from ..names import Clashes, choices_in_name, clashes, is_folder, stem_of, target
from ..options import check_dpi
from ..output import (
    OutputError,
    clear_unfinished,
    json_line,
    paths_of,
    write_files,
    write_only,
)
from ..page.drawing.style import PageStyle
from ..processes import in_processes, sensible_jobs
from ..sources import STDIN, KeyChoice, Source, fetch, files_in, load
from ..stamps import fingerprint, is_current, stale_results
from .each import draws_bar, for_each, sheets_of, warn
from .groups import GroupedCommand
from .messages import say, tell_earlier_pages, write_text
from .options import (
    chart_options,
    check_print_options,
    dpi_option,
    force_option,
    group,
    heading_options,
    key_options,
    output_format,
    output_option,
    paper_options,
    pick,
    plan_options,
    player_of,
    player_options,
    quiet_option,
    style_of,
    update_option,
)


@frozen
class PrintOptions:
    """What of a chart goes to standard output."""

    as_json: bool
    text: bool
    words: bool
    explain: bool

    @property
    def anything(self) -> bool:
        """Whether anything is printed."""
        return self.as_json or self.text or self.words or self.explain


def printed_texts(
    name: str, chart: CompingChart, options: PrintOptions, style: PageStyle
) -> Iterator[str]:
    """The texts of a sheet that the options name, with numerals, areas and a rhythm as in style."""
    analysis, rhythm = style.analysis is not False, style.rhythm
    if options.as_json:
        from ..report import report

        yield json_line(report(chart, name))
    if options.text:
        from ..text import terminal_width, text_chart

        yield text_chart(chart, analysis, terminal_width(), rhythm)
    if options.words:
        from ..text import chart_in_words

        yield chart_in_words(chart, analysis, rhythm)
    if options.explain:
        from ...converter.prose.hand import explanation_lines

        yield "\n".join(_folded(line) for line in explanation_lines(chart)) + "\n"


def _folded(line: str) -> str:
    """A line wrapped at 80 columns; the lines that continue it are indented."""
    indent = " " * (len(line) - len(line.lstrip()) + 2)
    return fill(line, 80, subsequent_indent=indent)


output_options = group(
    output_option,
    click.option("--format", "kind", type=click.Choice(CHART_FORMATS), help="What to write (pdf)."),
    click.option("--tab", is_flag=True, help="MusicXML with the voicings as tablature."),
    click.option("--text", is_flag=True, help="Print the chart for a terminal."),
    click.option("--words", is_flag=True, help="Print the chart in sentences, to be read aloud."),
    click.option("--json", "as_json", is_flag=True, help="Print the report, a line a sheet."),
    click.option("--explain", is_flag=True, help="Tell what the hand does and why."),
    force_option,
    update_option,
    click.option("--jobs", type=click.IntRange(1, 64), help="Sheets to work on at once."),
    click.option("--scheduler", metavar="ADDRESS", help="Work on a cluster: tcp://HOST:PORT."),
    click.option(
        "--no-sync",
        "sync",
        flag_value=False,
        default=True,
        help="Do not wait for the disk at each file; faster for folders.",
    ),
    quiet_option,
)


@frozen
class _Task:
    """What to do with each sheet; `clashes` keeps the results apart.

    `choice_words` are the choices in the names of results, `settings` all that a result depends on
    besides its sheet, as one text: both are worked out once for all sheets.
    """

    out: str | None
    kind: str
    tab: bool
    force: bool
    update: bool
    quiet: bool
    print_options: PrintOptions
    choice: KeyChoice
    player: Player
    options: PlanOptions
    style: PageStyle
    many: bool
    clashes: Clashes
    choice_words: str
    settings: str
    sync: bool

    @property
    def prints(self) -> bool:
        """Whether standard output holds a result, so that no summary may be printed there."""
        return self.print_options.anything or self.out == "-"

    @property
    def draws(self) -> bool:
        """Whether files are written, or one goes to standard output."""
        return self.out is not None or not self.prints


@click.command(
    "chart",
    cls=GroupedCommand,
    epilog="\b\nExample:\n  midneck chart my_tune.txt --key Eb --second-page",
)
@click.argument("sheets", nargs=-1, required=True)
@output_options
@key_options
@player_options
@paper_options
@dpi_option
@chart_options
@heading_options
def command(sheets: tuple[str, ...], jobs: int | None, scheduler: str | None, **given: Any) -> int:
    """Make a comping chart of each SHEET: a text file, MusicXML, a folder of them, or -."""
    inputs = sheets_of(sheets)
    names = inputs.names
    _refuse_book(given["out"], len(names))
    task = _task(given, names)
    bar = draws_bar(len(names)) and not task.prints
    if task.draws and task.out != "-":
        for folder in {_path(name, task).parent for name in names}:
            clear_unfinished(folder)
    if task.update and inputs.in_folder:
        _tell_stale(names, task)
    steps = _Steps(task, summary=not (bar or task.prints or task.quiet))
    return for_each(
        inputs,
        _runner(names, steps, jobs, scheduler),
        on_problems=_print_problems if task.print_options.as_json else None,
        progress=bar and not task.quiet,
    )


def _runner(names: list[str], steps: _Steps, jobs: int | None, scheduler: str | None) -> Runner:
    """Where the sheets are worked on; processes of this machine do not read standard input."""
    task = steps.task
    if scheduler is not None:
        from ..cluster import on_cluster

        if jobs is not None:
            raise click.UsageError("--jobs is for this machine: give it or --scheduler")
        writes = task.draws and task.out != "-"
        return on_cluster(
            steps, scheduler, [_path(name, task).parent for name in names] if writes else []
        )
    jobs = jobs or (1 if task.prints else sensible_jobs(len(names)))
    work = partial(run_steps, steps=steps)
    if jobs == 1 or len(names) == 1 or STDIN in names:
        return one_by_one(work)
    return in_processes(work, jobs)


def _refuse_book(out: str | None, count: int) -> None:
    """Refuse one file for several sheets. Raises UsageError."""
    if out is None or count < 2 or is_folder(out):
        return
    suffix = Path(out).suffix
    kind = suffix.lstrip(".").lower()
    if kind in CHART_FORMATS:
        raise click.UsageError(
            f"-o {out} is one file, and there are {count} sheets: chart makes a page of each, in a "
            f"folder as with -o {out.removesuffix(suffix)}/ --format {kind}; a book of them is "
            "another command, midneck book"
        )


def _tell_stale(names: list[str], task: _Task) -> None:
    """Name the pages in the folders of results that have no sheet: it was removed or renamed.

    Sheets beside their pages count as well as those that were given.
    """
    for folder in sorted({_path(name, task).parent for name in names}):
        beside = files_in([str(folder)]) if folder.is_dir() else []
        for page in stale_results(folder, task.kind, {stem_of(name) for name in names + beside}):
            say(
                f"{one_line(str(page))}: none of these sheets has its name; delete the page if its "
                "sheet was removed or renamed",
                err=True,
            )


def _task(given: dict[str, Any], names: list[str]) -> _Task:
    """The options as one value. Raises UsageError when they contradict each other."""
    check_print_options(given)
    choice = pick(KeyChoice, given)
    options = plan_options(given)
    player = player_of(given)
    style = style_of(given)
    given["kind"] = output_format(given["kind"], given["out"], CHART_FORMATS)
    check_dpi(style.dpi, given["kind"])
    if style.rhythm is not None and given["kind"] == "musicxml":
        raise click.UsageError("--rhythm draws strokes on a page: leave it out for MusicXML")
    if given["tab"] and given["kind"] != "musicxml":
        raise click.UsageError("--tab is for MusicXML: add --format musicxml or -o FILE.musicxml")
    task = _Task(
        **{field.name: given[field.name] for field in fields(_Task) if field.name in given},
        print_options=pick(PrintOptions, given),
        choice=choice,
        player=player,
        options=options,
        style=style,
        many=len(names) > 1,
        clashes=Clashes({}, {}),
        choice_words=choices_in_name(choice, player, options),
        settings=repr((given["kind"], given["tab"], choice, player, options, style)),
    )
    if task.update and task.prints:
        raise click.UsageError("--update is for files: it goes with nothing that is printed")
    return (
        replace(task, clashes=clashes({name: _path(name, task) for name in names}))
        if task.draws and task.out != "-"
        else task
    )


def _path(name: str, task: _Task) -> Path:
    """Where the result of a sheet goes."""
    return target(name, f".{task.kind}", task.out, task.many, task.choice_words)


@frozen
class _Made:
    """What a sheet becomes: texts to print, files to write, lines of a summary.

    `seconds` is how long the chart took.
    """

    texts: tuple[str, ...]
    files: tuple[tuple[str, bytes], ...]
    summary: tuple[str, ...]
    seconds: float


@frozen
class _Steps:
    """The steps from the file of a sheet to what is printed and written."""

    task: _Task
    summary: bool

    def fetch(self, name: str) -> Source | None:
        """The content of a sheet; None when its result is up to date. Raises OSError."""
        task = self.task
        path = _path(name, task)
        task.clashes.check(name)
        source = fetch(name)
        if task.update and is_current(path, _digest(source, task)):
            if self.summary:
                say(f"{one_line(str(path))} is up to date")
            return None
        return source

    def make(self, name: str, source: Source) -> _Made:
        """The chart of a sheet as texts and files; prints warnings."""
        began = time.perf_counter()
        task = self.task
        sheet = load(source, task.choice)
        if not task.quiet:
            warn(name, sheet)
        comping = _charted(sheet, task).comping
        if not task.quiet:
            for line in clash_lines(comping):
                say(f"{name}: {line}", err=True)
        texts = printed_texts(name, comping, task.print_options, task.style)
        digest = _digest(source, task)
        files = export_chart(comping, task.style, task.kind, task.tab, digest) if task.draws else ()
        lines = summary_lines(comping) if self.summary else ()
        return _Made(tuple(texts), tuple(files), tuple(lines), time.perf_counter() - began)

    def finish(self, name: str, made: _Made) -> None:
        """Write the files of a chart and print its texts. Raises OutputError."""
        began = time.perf_counter()
        written = _written(name, made.files, self.task) if self.task.draws else []
        for text in made.texts:
            write_text(text)
        for line in made.summary:
            say(line)
        if self.summary:
            seconds = made.seconds + time.perf_counter() - began
            say(f"  wrote   {one_line(', '.join(written))} in {seconds:.2f} s")


def _charted(sheet: Sheet, task: _Task) -> Chart:
    """The chart of a sheet with the options of the task."""
    plan = task.options
    return chart(
        sheet,
        player=task.player,
        style=plan.style,
        smooth=plan.smooth,
        same_grips=plan.same_grips,
    )


def _digest(source: Source, task: _Task) -> str:
    """The fingerprint of a sheet's result."""
    return fingerprint(source.data, Path(source.name).name, task.settings)


def _check_not_sheet(path: Path, name: str) -> None:
    """Check that a result does not overwrite its sheet. Raises OutputError."""
    if path.exists() and path.samefile(name):
        raise OutputError(f"{path} is the sheet itself: name another place with -o")


def _written(name: str, files: Sequence[tuple[str, bytes]], task: _Task) -> list[str]:
    """The names of the files that were written. Raises OutputError."""
    if task.out == "-":
        write_only(files)
        return ["-"]
    path = _path(name, task)
    if name != STDIN:
        _check_not_sheet(path, name)
    pages = paths_of(path, [ending for ending, _ in files])
    task.clashes.check_pages(name, pages)
    write_files(path, files, task.force, task.sync)
    tell_earlier_pages(path, len(pages), "chart")
    return [str(page) for page in pages]


def _print_problems(error: SheetError) -> None:
    """The mistakes of a sheet as data, instead of its report."""
    from ..report import problems_report

    write_text(json_line(problems_report(error)))
