"""README.md and DEVELOPERS.md against the tree: paths, names, commands, options, dependencies.

Inline code is checked where it is a path or a Python name. A path is written from the root of the
repository or from a folder named before it in the paragraph, or it ends exactly one file's path.
"""

from __future__ import annotations

import ast
import builtins
import inspect
import re
import shlex
import tomllib
from collections.abc import Iterable, Iterator
from functools import cache
from importlib import import_module
from pathlib import Path
from pkgutil import resolve_name
from typing import Final

import click
import midneck
import numpy as np
import pytest
from midneck.render.commands.main import COMMANDS, cli, run
from midneck.render.drills import DrillOptions
from PIL import Image

ROOT: Final = Path(__file__).parents[1]
FOLDERS: Final = ("grammar", "converter", "render", "tests", "examples", ".ci")
DOCUMENTS: Final = ("README.md", "DEVELOPERS.md")
TEXTS: Final = {name: (ROOT / name).read_text(encoding="utf-8") for name in DOCUMENTS}

#: What looks like a path or a Python name in the documents and is none: suffixes of names and of
#: files, marks and words of tests, keys of pyproject.toml.
OTHER_WORDS: Final = {
    "README.md": frozenset(
        {".abc", ".musicxml", ".xml", ".mxl", "D.C.", "N.C.", "harbour_at_six.pdf"}
    ),
    "DEVELOPERS.md": frozenset({"_mm", "_pt", "packages", "quick"}),
}
#: Inline code that is checked: a path, or a name with dots, perhaps called.
WORD: Final = re.compile(r"([\w.][\w./*-]*/?)(\(.*\))?")
ENDING: Final = re.compile(r"\.(py|md|toml|lark|txt|json)$")
OPTION: Final = re.compile(r"(?<![\w-])--[a-z][a-z-]+")


@cache
def files() -> list[str]:
    """The paths of all files and folders of the tree, folders with a slash at the end."""
    found = [path for path in ROOT.iterdir() if path.is_file()]
    for folder in FOLDERS:
        found += [ROOT / folder, *(ROOT / folder).rglob("*")]
    return [
        path.relative_to(ROOT).as_posix() + ("/" if path.is_dir() else "")
        for path in found
        if "__pycache__" not in path.parts
    ]


@cache
def names() -> set[str]:
    """What our modules define at their top and in classes, with the arguments of functions."""
    found = set(FOLDERS) | {"midneck", *dir(builtins)}
    for layer in ("grammar", "converter", "render", "tests"):
        for path in (ROOT / layer).rglob("*.py"):
            found.update(defined_in(ast.parse(path.read_text(encoding="utf-8"))))
    return found


def defined_in(body: ast.Module | ast.ClassDef) -> Iterator[str]:
    for node in body.body:
        if isinstance(node, ast.ClassDef):
            yield node.name
            yield from defined_in(node)
        elif isinstance(node, ast.FunctionDef):
            yield node.name
            yield from (one.arg for one in [*node.args.args, *node.args.kwonlyargs])
        elif isinstance(node, ast.Assign | ast.AnnAssign):
            targets = node.targets if isinstance(node, ast.Assign) else [node.target]
            yield from (one.id for one in targets if isinstance(one, ast.Name))


def inline_code(text: str) -> list[str]:
    """What stands between backticks outside indented blocks, on one line or over two."""
    plain = re.sub(r"(?m)^    .*$", "", text)
    return [" ".join(code.split()) for code in re.findall(r"`([^`]+)`", plain)]


def unknown_words(text: str, tree: list[str], defined: set[str]) -> Iterator[str]:
    """The paths and names in the inline code of a text that are not there."""
    for paragraph in re.split(r"\n\n|\n(?=[|\d-])", text):
        folders = {""}
        for match in filter(None, map(WORD.fullmatch, inline_code(paragraph))):
            word, call = match[1], match[2] or ""
            if "/" in word or ENDING.search(word):
                paths = places_of(word, tree, folders)
                if not paths:
                    yield word
                folders |= {path[: path.rfind("/") + 1] for path in paths}
            elif not (is_public(word) if word[:7] == "midneck" else defined >= {*word.split(".")}):
                yield word
            yield from (one for one in re.findall(r"(\w+)=", call) if one not in defined)


def places_of(word: str, tree: list[str], folders: set[str]) -> set[str]:
    """The path of a word: from the root, in a folder named before, or else the only such ending."""
    found = {folder + word for folder in folders}.intersection(tree)
    ends = {path for path in tree if path.endswith(f"/{word}")}
    return found or (ends if len(ends) == 1 else set())


def is_public(dotted: str) -> bool:
    """Whether `midneck.a.b` is a module, or a name in one."""
    try:
        import_module(dotted)
    except ModuleNotFoundError:
        module, _, name = dotted.rpartition(".")
        return bool(module) and hasattr(import_module(module), name)
    return True


@pytest.mark.parametrize("name", DOCUMENTS)
def test_every_path_and_name_is_there(name: str) -> None:
    unknown = set(unknown_words(TEXTS[name], files(), names()))
    assert unknown == OTHER_WORDS[name]


def test_an_unknown_path_or_name_is_seen() -> None:
    text = (
        "`grammar/sheet.py` `grammar/lost.py` `key.py` `regenerate.py` `read_sheet(text)`\n"
        "`midneck.chart` `midneck.lost` `Sheet.chords` `Sheet.unheard` `chart(sheet, absent=1)`\n"
        "`Dm7 / / G7` `nowhere`\n\n`chart.py`\n\n    `grammar/in_a_block.py`\n"
    )
    assert list(unknown_words(text, files(), names())) == [
        "grammar/lost.py", "regenerate.py", "midneck.lost", "Sheet.unheard", "absent", "nowhere",
        "chart.py",
    ]  # fmt: skip


def paths_in_blocks(text: str) -> Iterator[str]:
    """What begins like a path of the tree in the indented blocks and pictures of a text."""
    begin = "|".join(re.escape(folder) for folder in FOLDERS)
    blocks = "\n".join(re.findall(r"(?m)^    .*$", text) + re.findall(r"\]\(.*?\)", text))
    yield from re.findall(rf"(?<![\w/])(?:{begin})/[\w./-]+", blocks)


@pytest.mark.parametrize("name", DOCUMENTS)
def test_every_path_in_a_block_is_there(name: str) -> None:
    found = list(paths_in_blocks(TEXTS[name]))
    assert found
    assert [path for path in found if not (ROOT / path).exists()] == []


def command_options(name: str) -> set[str]:
    """The options of a command of ours."""
    with click.Context(cli) as context:
        command = cli.get_command(context, name)
    assert command is not None
    options = {"--help"}
    for parameter in command.params:
        options.update(parameter.opts, parameter.secondary_opts)
    return options


def command_lines(text: str) -> Iterator[tuple[str, str]]:
    """The commands of the indented blocks: a name, and all that follows it up to the next."""
    blocks = "\n".join(re.findall(r"(?m)^    .*$", text))
    for line in re.split(r"(?<![\w.])(?:\.venv/bin/)?midneck (?=[a-z])", blocks)[1:]:
        name, _, rest = line.partition(" ")
        yield name, rest


def wrong_commands(text: str) -> Iterator[str]:
    for name, rest in command_lines(text):
        if name not in COMMANDS:
            yield name
        else:
            known = command_options(name)
            yield from (f"{name} {one}" for one in OPTION.findall(rest) if one not in known)


def test_commands_and_options_of_the_readme_are_there() -> None:
    assert list(wrong_commands(TEXTS["README.md"])) == []
    assert {name for name, _ in command_lines(TEXTS["README.md"])} == set(COMMANDS)
    everything = {"--json", "--help"}.union(*map(command_options, COMMANDS))
    mentioned = {
        option for code in inline_code(TEXTS["README.md"]) for option in OPTION.findall(code)
    }
    assert mentioned
    assert mentioned <= everything


def test_a_wrong_command_or_option_is_seen() -> None:
    text = "    midneck chart TUNE --text   this; --lost\n    midneck lost TUNE\n"
    assert list(wrong_commands(text)) == ["chart --lost", "lost"]


def test_the_arguments_of_the_front_door_are_there() -> None:
    calls = [
        code for code in inline_code(TEXTS["README.md"]) if re.match(r"(midneck|Chart)\..*\(", code)
    ]
    checked = 0
    for code in calls:
        path, _, inside = code.rstrip(")").partition("(")
        known = accepted(resolve_name(f"midneck.{path.removeprefix('midneck.')}"))
        given = re.findall(r"(?<!\*)\b[a-z_]+\b", inside.replace("**options", ""))
        assert [one for one in given if one not in known] == []
        checked += len(given)
    assert checked > 20


def accepted(called: object) -> set[str]:
    """The names of the arguments of a function, those of `midneck.drill`'s options too."""
    assert callable(called)
    options = DrillOptions.__annotations__ if called is midneck.drill else ()
    return {*inspect.signature(called).parameters, *options}


def test_the_mistakes_in_the_readme_are_what_is_printed(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    match = re.search(r"(?m)(?:^    (?:bad\.txt:5| ).*\n)+", TEXTS["README.md"])
    assert match is not None
    monkeypatch.chdir(tmp_path)
    line = match[0].splitlines()[1].strip()
    Path("bad.txt").write_text(f"Title: Bad\nKey: C\n\nA:\n{line}\n", encoding="utf-8")
    assert run(["chart", "bad.txt"]) == 2
    printed = capsys.readouterr().err
    assert "".join(f"    {one}\n" for one in printed.splitlines()) == match[0]


#: The command of each picture in the folder of examples, and the page that is shown.
PICTURES: Final = {
    **{
        f"{tune}.png": (f"chart examples/{tune}.txt --dpi 150 -o", f"{tune}.png")
        for tune in ("five_corners", "harbour_at_six", "ledger_blues", "slate_roofs")
    },
    "two_five_one.png": (
        "drill ii-V-I --player small-hand --rhythm four-to-the-bar --dpi 80 -o",
        "two_five_one-1.png",
    ),
}


@pytest.mark.slow
@pytest.mark.parametrize("name", PICTURES)
def test_pictures_are_what_their_commands_draw(
    name: str, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Other versions of the library that draws PNGs may smooth edges in another way."""
    command, page = PICTURES[name]
    monkeypatch.chdir(ROOT)
    assert run([*command.split(), str(tmp_path / name), "--quiet"]) == 0
    old, new = (np.asarray(Image.open(path)) for path in (f"examples/{name}", tmp_path / page))
    assert old.shape == new.shape
    assert (abs(old.astype(int) - new) > 100).mean() < 0.0005


def test_the_line_of_the_readme_is_what_its_command_draws(tmp_path: Path) -> None:
    made = tmp_path / "line.svg"
    tune = ROOT / "examples" / "harbour_at_six.txt"
    assert run(["grid", "--from", str(tune), "--bars", "5-8", "-o", str(made)]) == 0
    texts = [path.read_text("utf-8") for path in (ROOT / "examples" / "exact.svg", made)]
    # The stamp is that of the code, and fonts are cut by a library.
    old, new = (re.sub(r"(?s)<(metadata|style)>.*?</\1>", "", text) for text in texts)
    assert old == new


def test_commands_that_set_up_and_run_are_one_line_each() -> None:
    lines = [line.strip() for line in TEXTS["README.md"].splitlines() if "pip install" in line]
    assert len(lines) == 3
    for line in lines:
        words = shlex.split(line)
        assert words[:5] == ["python3", "-m", "venv", ".venv", "&&"]
    assert lines[1].endswith("&& .venv/bin/pytest")


def libraries(requirements: Iterable[str]) -> list[str]:
    return sorted(re.split(r"[>=<]", one)[0] for one in requirements)


def test_the_tables_of_libraries_are_those_of_the_project() -> None:
    project = tomllib.loads((ROOT / "pyproject.toml").read_text(encoding="utf-8"))["project"]
    extra = project["optional-dependencies"]
    tables = TEXTS["DEVELOPERS.md"].split("| library | licence | why |")
    assert len(tables) == 3
    rows = [re.findall(r"(?m)^\| ([a-z0-9_-]+) \|", table) for table in tables[1:]]
    assert rows[0] == libraries(project["dependencies"])
    assert rows[1] == libraries([*extra["test"], *extra["lint"]])
