"""`midneck help`: the sheet format, or the help of a command."""

from __future__ import annotations

import click

from ...grammar.errors import nearest
from ...grammar.text import format_text
from .groups import GroupedCommand
from .main import COMMANDS
from .messages import write_text

#: What there is help on besides the commands.
FORMAT = "format"


@click.command(
    "help", cls=GroupedCommand, epilog="\b\nExamples:\n  midneck help format\n  midneck help chart"
)
@click.argument("topic", required=False)
@click.pass_context
def command(ctx: click.Context, topic: str | None) -> None:
    """Print the help on a TOPIC: format (how to type a tune), or the name of a command."""
    if topic == FORMAT:
        write_text(_on_terminal(format_text()))
        return
    above = ctx.parent
    assert above is not None  # the command belongs to the group
    if topic is None:
        click.echo(above.get_help())
        return
    group = above.command
    found = group.get_command(above, topic) if isinstance(group, click.Group) else None
    if found is None:
        topics = [FORMAT, *COMMANDS]
        near = nearest(topic.lower(), topics)
        hint = f"did you mean {near!r}?" if near else f"there is on {', '.join(topics)}"
        raise click.UsageError(f"there is no help on {topic!r}; {hint}")
    with click.Context(found, info_name=topic, parent=above) as inner:
        click.echo(found.get_help(inner))


def _on_terminal(markdown: str) -> str:
    """The text with its headings in capitals instead of number signs before them."""
    lines = markdown.splitlines()
    return (
        "\n".join(line.lstrip("# ").upper() if line.startswith("#") else line for line in lines)
        + "\n"
    )
