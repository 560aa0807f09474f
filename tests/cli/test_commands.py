"""The commands end to end: what they write, what they say, how they end."""

from __future__ import annotations

import json
import signal
from pathlib import Path

import pytest
from click.testing import CliRunner, Result

from nesting.cli import main
from nesting.cli.plan import plan as plan_command
from nesting.cli.watch import Watch
from nesting.model.problem import Progress

WRITTEN = {"plan.json", "drawings.pdf", "blanks.csv"}
STICKS = ("--stick", "pine 2x4 = 96 @ 4.85, 120 @ 6.40", "--units", "inch")


def run(*words: str | Path) -> Result:
    """Run a command in this process."""
    return CliRunner().invoke(main, [str(word) for word in words])


@pytest.fixture
def parts(tmp_path: Path) -> Path:
    """Return a bare part list of sticks."""
    path = tmp_path / "rack.csv"
    path.write_text(
        "part,qty,material,section,length\npost,4,pine,2x4,62\nbar,6,pine,2x4,33 1/2\n",
        encoding="utf-8",
    )
    return path


@pytest.fixture
def planned(parts: Path, tmp_path: Path) -> Path:
    """Return the folder of a finished plan."""
    out = tmp_path / "out"
    result = run("plan", parts, *STICKS, "--out", out)
    assert result.exit_code == 0, result.output
    return out


def test_a_new_job_plans_as_it_is(tmp_path: Path) -> None:
    """The example of a fresh folder is planned, with sheets and sticks, and sound."""
    folder, out = tmp_path / "stand", tmp_path / "stand-plan"
    assert run("new", folder).exit_code == 0
    result = run("plan", folder, "--out", out, "--work", "2000")
    assert result.exit_code == 0, result.output
    assert {path.name for path in out.iterdir()} == WRITTEN
    assert run("verify", out / "plan.json").output == "sound\n"


def test_a_job_is_never_written_over(tmp_path: Path) -> None:
    """A folder that holds something is refused and left as it is."""
    (tmp_path / "job.toml").write_text("mine", encoding="utf-8")
    result = run("new", tmp_path)
    assert result.exit_code == 2
    assert (tmp_path / "job.toml").read_text(encoding="utf-8") == "mine"


def test_a_bare_list_gives_a_summary_of_what_to_buy(
    parts: Path, tmp_path: Path
) -> None:
    """The summary names the stock to buy, its price and how near the best it is.

    Four posts of 62 and six bars of 33 1/2 are 449 in: three sticks of 120 and one
    of 96 hold 456 less trims and kerfs; the plan's own bound says what is proved.
    """
    result = run("plan", parts, *STICKS, "--out", tmp_path / "out")
    assert result.exit_code == 0, result.output
    assert "To buy" in result.output
    assert "pine 2x4" in result.output
    assert "How near the best" in result.output
    assert "$" in result.output


def test_the_plan_file_keeps_the_contract(planned: Path) -> None:
    """Format, ticks, steps and demand stand in the file as others read them."""
    plan = json.loads((planned / "plan.json").read_text(encoding="utf-8"))
    assert plan["format"] == "nesting-plan/1"
    assert plan["ticks_per_mm"] == 1600
    steps = sorted(cut["step"] for layout in plan["layouts"] for cut in layout["cuts"])
    assert steps == list(range(1, len(steps) + 1))
    placed = [
        piece["blank"]
        for layout in plan["layouts"]
        for piece in layout["pieces"]
        if piece["fate"] == "part"
    ]
    assert {name: placed.count(name) for name in set(placed)} == {"post": 4, "bar": 6}
    assert all("from" in cut for layout in plan["layouts"] for cut in layout["cuts"])
    assert plan["unplaced"] == []


def test_the_same_job_and_seed_give_the_same_files(parts: Path, tmp_path: Path) -> None:
    """Two runs that end by counted work write the same bytes, drawings too."""
    outs = [tmp_path / "one", tmp_path / "two"]
    for out in outs:
        result = run("plan", parts, *STICKS, "--out", out, "--seconds", "60")
        assert result.exit_code == 0, result.output
    for name in WRITTEN:
        assert (outs[0] / name).read_bytes() == (outs[1] / name).read_bytes()


@pytest.mark.parametrize(
    "words", [("--seed", str(2**63)), ("--seconds", "nan")], ids=["seed", "seconds"]
)
def test_numbers_no_plan_can_hold_are_refused(
    words: tuple[str, str], parts: Path
) -> None:
    """A slip in an option is the maker's to mend, not a fault of the program."""
    result = run("plan", parts, *words)
    assert result.exit_code == 2
    assert words[0] in result.output


def test_a_part_that_fits_nothing_is_named_and_nothing_is_written(
    parts: Path, tmp_path: Path
) -> None:
    """Exit 1, the part and the reason; no folder."""
    with parts.open("a", encoding="utf-8") as more:
        more.write("flagpole,1,pine,2x4,200\n")
    out = tmp_path / "none"
    result = run("plan", parts, *STICKS, "--out", out)
    assert result.exit_code == 1
    assert "flagpole" in result.output
    assert "longer than any stick" in result.output
    assert "post" not in result.output
    assert not out.exists()


def test_with_leave_out_the_rest_is_planned_and_the_missing_listed(
    parts: Path, tmp_path: Path
) -> None:
    """With the maker's leave a plan may be short, and says so."""
    with parts.open("a", encoding="utf-8") as more:
        more.write("flagpole,1,pine,2x4,200\n")
    out = tmp_path / "short"
    result = run("plan", parts, *STICKS, "--out", out, "--leave-out")
    assert result.exit_code == 0, result.output
    assert "NOT PLACED" in result.output
    plan = json.loads((out / "plan.json").read_text(encoding="utf-8"))
    assert [miss["blank"] for miss in plan["unplaced"]] == ["flagpole"]
    assert run("verify", out / "plan.json").exit_code == 0


def test_every_fault_of_a_list_is_told_at_once(tmp_path: Path) -> None:
    """Exit 2 with a sentence per fault: file, line, column, what was read."""
    path = tmp_path / "bad.csv"
    path.write_text(
        "part,qty,material,section,length\npost,0,pine,2x4,62\nbar,6,pine,2x4,long\n",
        encoding="utf-8",
    )
    result = run("plan", path, *STICKS, "--out", tmp_path / "none")
    assert result.exit_code == 2
    assert "line 2" in result.output
    assert "line 3" in result.output
    assert "'long'" in result.output
    assert not (tmp_path / "none").exists()


def test_options_of_a_bare_list_do_not_go_with_a_job(tmp_path: Path) -> None:
    """A job folder says its own materials; mixing is a usage fault."""
    folder = tmp_path / "stand"
    run("new", folder)
    result = run("plan", folder, "--kerf", "1/8")
    assert result.exit_code == 2
    assert "job.toml" in result.output


def test_a_spoilt_plan_is_not_sound(planned: Path) -> None:
    """A blank moved by a tick is found; exit 3; it is not drawn either."""
    path = planned / "plan.json"
    plan = json.loads(path.read_text(encoding="utf-8"))
    plan["layouts"][0]["pieces"][1]["x"] += 1
    path.write_text(json.dumps(plan), encoding="utf-8")
    drawn = (planned / "drawings.pdf").read_bytes()
    result = run("verify", path)
    assert result.exit_code == 3
    assert "sound" not in result.output.splitlines()
    result = run("draw", path)
    assert result.exit_code == 3
    assert (planned / "drawings.pdf").read_bytes() == drawn


def test_a_proof_by_search_is_named(planned: Path) -> None:
    """A proof with a certificate is checked again; one without has to say so."""
    path = planned / "plan.json"
    plan = json.loads(path.read_text(encoding="utf-8"))
    (bound,) = plan["bounds"]
    assert bound["proven"]
    assert bound["certificate"]["pricing"]["kind"] == "knapsack"
    assert run("verify", path).output == "sound\n"
    bound["certificate"] = None
    path.write_text(json.dumps(plan), encoding="utf-8")
    assert run("verify", path).exit_code == 3
    bound["basis"] = "search: every pattern"
    path.write_text(json.dumps(plan), encoding="utf-8")
    result = run("verify", path)
    assert result.exit_code == 0
    assert result.output == (
        "sound\npine 2x4: proved by search: every pattern; not re-checked\n"
    )


@pytest.mark.parametrize(
    "text",
    ["", "{", "[]", '{"format": "other"}', "\x00\x01", '{"format": "nesting-plan/1"}'],
)
def test_what_is_no_plan_is_bad_input(text: str, tmp_path: Path) -> None:
    """Exit 2 and a sentence, for empty, broken and foreign files."""
    path = tmp_path / "plan.json"
    path.write_text(text, encoding="utf-8")
    result = run("verify", path)
    assert result.exit_code in {2, 3}
    assert "Traceback" not in result.output
    assert str(path) in result.output


def test_draw_makes_the_same_pdf_again(planned: Path) -> None:
    """Drawing a plan file gives the bytes that planning wrote, for the same paper."""
    before = (planned / "drawings.pdf").read_bytes()
    assert run("draw", planned / "plan.json").exit_code == 0
    assert (planned / "drawings.pdf").read_bytes() == before
    other = planned / "a4.pdf"
    drawn = run("draw", planned / "plan.json", "--paper", "a4", "--out", other)
    assert drawn.exit_code == 0
    assert other.read_bytes() != before


def test_a_fault_of_the_program_shows_no_traceback(
    parts: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Whatever breaks inside ends in a sentence and exit 3, unless it is debugged."""

    def breaks(*_: object, **__: object) -> None:
        raise ZeroDivisionError

    monkeypatch.setattr(plan_command, "callback", breaks)
    result = run("plan", parts, *STICKS)
    assert result.exit_code == 3
    assert "fault of the program" in result.output
    monkeypatch.setenv("NESTING_DEBUG", "1")
    assert isinstance(run("plan", parts, *STICKS).exception, ZeroDivisionError)


def test_a_name_the_pipe_has_no_letters_for_is_shown_all_the_same(
    parts: Path, tmp_path: Path
) -> None:
    """A pipe of 256 letters gets question marks for others, the plan keeps them."""
    out = tmp_path / "out"
    words = ["plan", str(parts), "--stick", "dąb 2x4 = 120 @ 6", "--units", "inch"]
    parts.write_text("part,qty,length\nnoga,2,30\n", encoding="utf-8")
    result = CliRunner(charset="cp1252").invoke(main, [*words, "--out", str(out)])
    assert result.exit_code == 0, result.output
    assert "d?b 2x4" in result.output
    assert "dąb" in (out / "plan.json").read_text(encoding="utf-8")


def test_progress_is_silent_in_a_pipe(capsys: pytest.CaptureFixture[str]) -> None:
    """Nothing is written where nobody looks at a terminal."""
    with Watch() as watch:
        watch.say("preparing")
        watch.progress(
            Progress(scope="ply", value=3, lower_bound=2, unplaced=0, share=0.5)
        )
    assert capsys.readouterr() == ("", "")


def test_the_first_interrupt_only_asks_to_stop() -> None:
    """The search sees the request; a second interrupt ends the program."""
    with Watch() as watch:
        assert not watch.cancelled()
        signal.raise_signal(signal.SIGINT)
        assert watch.cancelled()
        with pytest.raises(KeyboardInterrupt):
            signal.raise_signal(signal.SIGINT)


def test_ctrl_c_gives_the_best_plan_so_far(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """An interrupted search still writes a verified plan and says it was stopped."""
    folder, out = tmp_path / "many", tmp_path / "many-plan"
    folder.mkdir()
    rows = [f"p{n},2,ply,{300 + 37 * n % 700},{150 + 53 * n % 400}" for n in range(60)]
    (folder / "parts.csv").write_text(
        "\n".join(["part,qty,material,length,width", *rows]) + "\n", encoding="utf-8"
    )
    (folder / "job.toml").write_text(
        '[job]\nname = "many"\nunits = "mm"\n'
        '[materials.ply]\nkind = "sheet"\nthickness = 18\n'
        "[[materials.ply.stock]]\nlength = 2440\nwidth = 1220\nprice = 70\n"
        "[[materials.ply.stock]]\nlength = 1220\nwidth = 1220\nprice = 37\n",
        encoding="utf-8",
    )

    def interrupt(watch: Watch, _: Progress) -> None:
        if not watch.cancelled():
            signal.raise_signal(signal.SIGINT)

    monkeypatch.setattr(Watch, "progress", interrupt)
    long = ("--seconds", "600", "--work", "1000000000")
    result = run("plan", folder, "--out", out, *long)
    assert result.exit_code == 0, result.output
    assert "You stopped the search" in result.output
    assert {path.name for path in out.iterdir()} == WRITTEN
