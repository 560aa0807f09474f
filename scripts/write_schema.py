"""Write the JSON Schema of the plan file anew, after its records have changed."""

from __future__ import annotations

from pathlib import Path

from nesting.files.plan_schema import SCHEMA_FILE, schema_text

FOLDER = Path(__file__).resolve().parent.parent / "nesting" / "files"


def main() -> None:
    """Write the file beside the module that makes it."""
    target = FOLDER / SCHEMA_FILE
    target.write_text(schema_text(), encoding="utf-8", newline="\n")
    print(f"wrote {target.relative_to(FOLDER.parent.parent)}")


if __name__ == "__main__":
    main()
