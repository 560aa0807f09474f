"""``python -m nesting`` is the ``nesting`` command."""

from nesting.cli import main

main(prog_name="nesting")
