"""The public face: names, commands, and documents that say what is there."""

from __future__ import annotations

import ast
import re
import subprocess
import sys
from pathlib import Path

import click
import pytest

import nesting
from nesting.cli import main

ROOT = Path(__file__).parents[1]
README = (ROOT / "README.md").read_text(encoding="utf-8")
HEAVY = ("numpy", "ortools", "matplotlib", "numba", "shapely")


def in_a_fresh_python(code: str) -> str:
    """Return what a new Python prints."""
    done = subprocess.run(
        [sys.executable, "-W", "error", "-c", code],
        capture_output=True,
        text=True,
        check=True,
        cwd=ROOT,
    )
    return done.stdout


# --- names ---------------------------------------------------------------------------


def test_every_public_name_is_listed_once_in_order() -> None:
    """`__all__` is sorted and holds no name twice."""
    assert nesting.__all__ == sorted(set(nesting.__all__))


def test_what_type_checkers_see_is_what_is_public() -> None:
    """The names imported for type checkers are those that load on demand."""
    tree = ast.parse(Path(nesting.__file__).read_text(encoding="utf-8"))
    block = next(
        node
        for node in tree.body
        if isinstance(node, ast.If) and ast.unparse(node.test) == "TYPE_CHECKING"
    )
    seen = {
        (alias.asname or alias.name, node.module, alias.name)
        for node in block.body
        if isinstance(node, ast.ImportFrom)
        for alias in node.names
    }
    homes = {
        (name, home, nesting._OWN_NAMES.get(name, name))
        for name, home in nesting._HOMES.items()
    }
    assert seen == homes
    assert {name for name, _, _ in seen} | {"__version__"} == set(nesting.__all__)


@pytest.mark.parametrize("name", nesting.__all__)
def test_a_public_name_loads_in_a_fresh_python(name: str) -> None:
    """Each public name can be the first thing a program asks for."""
    code = f"import nesting; print(getattr(nesting, {name!r}) is not None)"
    assert in_a_fresh_python(code).strip() == "True"


def test_a_name_that_is_not_there_is_refused() -> None:
    """An unknown name is an AttributeError, as of any module."""
    with pytest.raises(AttributeError, match="no attribute 'plan_jobs'"):
        nesting.plan_jobs  # noqa: B018


def test_names_can_be_looked_up_before_they_load() -> None:
    """`dir` lists the public names whether or not they were used."""
    code = "import nesting; print(set(nesting.__all__) <= set(dir(nesting)))"
    assert in_a_fresh_python(code).strip() == "True"


def test_the_package_says_that_it_is_typed() -> None:
    """A type checker of another program finds the marker."""
    assert (Path(nesting.__file__).parent / "py.typed").is_file()


# --- speed of the first word ---------------------------------------------------------


@pytest.mark.parametrize(
    "arguments", [["--help"], ["--version"], ["plan", "--help"], ["draw", "--help"]]
)
def test_help_loads_no_heavy_library(arguments: list[str]) -> None:
    """Asking for help imports neither solver nor drawing libraries."""
    code = (
        "import sys\n"
        "from nesting.cli import main\n"
        f"main({arguments!r}, prog_name='nesting', standalone_mode=False)\n"
        f"print('loaded', [name for name in {HEAVY!r} if name in sys.modules])"
    )
    assert in_a_fresh_python(code).splitlines()[-1] == "loaded []"


# --- commands ------------------------------------------------------------------------


@pytest.mark.parametrize("name", sorted(main.commands))
def test_every_command_has_help_and_is_in_the_readme(name: str) -> None:
    """A command says what it does, shows a session, and the README knows it."""
    command = main.commands[name]
    assert command.help is not None
    assert f"$ nesting {name} " in command.help
    assert f"`nesting {name}" in README


@pytest.mark.parametrize("name", sorted(main.commands))
def test_every_option_says_what_it_is(name: str) -> None:
    """An option has help, or a default that says it."""
    for option in main.commands[name].params:
        if isinstance(option, click.Option):
            assert option.help or option.show_default, option.name


# --- the README ----------------------------------------------------------------------


def test_the_commands_in_the_readme_exist() -> None:
    """Every `nesting ...` and `run.py ...` that is shown can be run."""
    shown = set(re.findall(r"\bnesting ([a-z]+) ", "\n".join(_code())))
    assert shown
    assert shown <= set(main.commands)
    run = re.findall(r"scripts/run\.py ([a-z]+)", README)
    usage = (ROOT / "scripts" / "run.py").read_text(encoding="utf-8")
    assert {"plan", "test"} <= set(run)
    for word in set(run):
        assert word in main.commands or f'"{word}": run_' in usage, word


def test_the_options_in_the_readme_exist() -> None:
    """Every option that is shown belongs to some command."""
    known = {
        text
        for command in main.commands.values()
        for option in command.params
        for text in option.opts
    }
    shown = set(re.findall(r"(?<![\w-])--[a-z][a-z-]*", README))
    assert shown <= known | {"--help"}


def test_the_job_in_the_readme_can_be_planned(tmp_path: Path) -> None:
    """What the README shows as input is a job of five parts, and a plan places them."""
    for language, name in (("toml", "job.toml"), ("csv", "parts.csv")):
        block = re.search(
            rf"^```{language}\n(.*?)^```", README, re.DOTALL | re.MULTILINE
        )
        assert block is not None
        (tmp_path / name).write_text(block[1], encoding="utf-8")
    plan = nesting.plan_job(
        nesting.read_job(tmp_path), budget=nesting.Budget(work=1000)
    )
    assert (plan.totals.parts, plan.unplaced) == (5, ())


def test_the_files_that_the_documents_name_are_there() -> None:
    """Links and paths in the documents lead somewhere."""
    documents = [
        ROOT / "README.md",
        ROOT / "DEVELOPERS.md",
        *(ROOT / "docs").glob("*.md"),
        *(ROOT / "samples").glob("*/README.md"),
    ]
    for document in documents:
        text = document.read_text(encoding="utf-8")
        for target in re.findall(r"\]\(([^)#:]+)(?:#[^)]*)?\)", text):
            assert (document.parent / target).exists(), f"{document}: {target}"
    for path in re.findall(r"(?:samples|scripts|docs)/[\w./-]+\w", README):
        assert (ROOT / path).exists(), path


def test_the_pictures_are_small() -> None:
    """The repository stays light: no picture of the documents is over 200 kB."""
    pictures = sorted((ROOT / "docs" / "pictures").iterdir())
    assert pictures
    assert max(picture.stat().st_size for picture in pictures) < 200_000


def _code() -> list[str]:
    """Return the fenced blocks and the inline code of the README."""
    blocks = re.findall(r"^```.*?^```", README, re.DOTALL | re.MULTILINE)
    outside = re.sub(r"^```.*?^```", "", README, flags=re.DOTALL | re.MULTILINE)
    return blocks + re.findall(r"`[^`]+`", outside)
