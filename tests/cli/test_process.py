"""What only a process of its own can show: what is imported, closed pipes, full disks, exit codes."""

from __future__ import annotations

import os
import subprocess
import sys
from pathlib import Path

import pytest

HEAVY = {"ortools", "pandas", "numpy", "pydantic", "rich"}
STUBBED = """
import sys
sys.path.insert(0, {tests!r})
import wellroom
from report import samples
from types import SimpleNamespace
wellroom.load_scenario = lambda path, sets: SimpleNamespace(units="in")
wellroom.load_catalog = lambda paths: None
wellroom.fit = lambda *given, **options: samples.{answer}
from wellroom.cli import main
sys.argv = ["wellroom", "fit", {scenario!r}, *{options!r}]
main()
"""
MODULES = """
import sys
from wellroom.cli import main
sys.argv = ["wellroom", *{arguments!r}]
code = 0
try:
    main()
except SystemExit as stop:
    code = stop.code
print(code, *sorted({{name.partition(".")[0] for name in sys.modules}}), file=sys.stderr)
"""


def _python(code: str, **options: object) -> subprocess.CompletedProcess[str]:
    return subprocess.run(  # type: ignore[call-overload,no-any-return]
        [sys.executable, "-c", code], text=True, stderr=subprocess.PIPE, timeout=60, check=False, **options
    )


@pytest.mark.parametrize(
    ("arguments", "code"),
    [
        (["--help"], "0"),
        (["fit", "--help"], "0"),
        (["check", "--help"], "0"),
        (["catalog", "--help"], "0"),
        (["schema", "--help"], "0"),
        (["order", "--help"], "0"),
        (["--version"], "0"),
        (["fit"], "2"),
        (["fit", "x.toml", "--json", "--csv"], "2"),
        (["order", "x.toml", "--pick", "0", "-o", "a.pdf"], "2"),
        (["order", "x.toml", "--pick", "1"], "2"),
    ],
)
def test_help_and_usage_load_nothing_heavy(arguments: list[str], code: str) -> None:
    """Help, version and usage errors load none of the heavy packages."""
    ran = _python(MODULES.format(arguments=arguments), stdout=subprocess.DEVNULL)
    last = ran.stderr.splitlines()[-1].split()
    assert last[0] == code
    assert "click" in last
    assert not HEAVY & set(last[1:])


def test_import_of_the_package_loads_nothing_heavy() -> None:
    """Importing the package and its errors costs next to nothing."""
    code = "import sys, wellroom; wellroom.Fault; print(*sys.modules, file=sys.stderr)"
    names = {name.partition(".")[0] for name in _python(code).stderr.split()}
    assert "wellroom" in names
    assert not HEAVY & names
    assert "click" not in names


def test_json_loads_no_package_for_display() -> None:
    """A document for programs is written without rich and pandas."""
    code = "import sys; from report import samples; from wellroom.report import json_text, csv_text; "
    code += (
        "json_text(samples.fit_result()); csv_text(samples.nothing()); print(*sys.modules, file=sys.stderr)"
    )
    tests = str(Path(__file__).parents[1])
    names = set(_python(code, env=os.environ | {"PYTHONPATH": tests}).stderr.split())
    assert "wellroom.report.out" in names
    assert not {"rich", "pandas", "numpy"} & names


def _stubbed(tmp_path: Path, answer: str, *options: str) -> str:
    scenario = tmp_path / "truck.toml"
    scenario.write_text("", encoding="utf-8")
    tests = str(Path(__file__).parents[1])
    return STUBBED.format(tests=tests, answer=answer, scenario=str(scenario), options=options)


@pytest.mark.parametrize("options", [(), ("--json",), ("--csv",)])
@pytest.mark.parametrize(("answer", "code"), [("fit_result()", 0), ("nothing()", 1)])
def test_closed_pipe_is_quiet_and_keeps_the_code(
    tmp_path: Path, options: tuple[str, ...], answer: str, code: int
) -> None:
    """A reader that stops reading changes neither the exit code nor standard error."""
    read, write = os.pipe()
    os.close(read)
    with os.fdopen(write, "wb") as closed:
        ran = _python(_stubbed(tmp_path, answer, *options), stdout=closed)
    assert (ran.returncode, ran.stderr) == (code, "")


@pytest.mark.skipif(
    not Path("/dev/full").exists(), reason="only some systems have a disk that is always full"
)
def test_full_disk_is_one_plain_line(tmp_path: Path) -> None:
    """An answer that can't be written is said in one line, code 2."""
    with open("/dev/full", "wb") as full:
        ran = _python(_stubbed(tmp_path, "fit_result()"), stdout=full)
    assert ran.returncode == 2
    assert ran.stderr.startswith("standard output: answer: found ")
    assert ran.stderr.count("\n") == 1


def test_ascii_output_never_fails(tmp_path: Path) -> None:
    """An output that knows ASCII only gets question marks, no error."""
    env = os.environ | {"PYTHONIOENCODING": "ascii", "PYTHONUTF8": "0"}
    answer = 'renamed(samples.fit_result(), "L\\u00f6schwagen")'
    ran = _python(_stubbed(tmp_path, answer), stdout=subprocess.PIPE, env=env)
    assert (ran.returncode, ran.stderr) == (0, "")
    assert "L?schwagen" in ran.stdout


def test_interrupt_of_the_process_is_code_130(tmp_path: Path) -> None:
    """A real interrupt signal ends in one quiet line and code 130."""
    code = _stubbed(tmp_path, "fit_result()").replace(
        "wellroom.fit = ",
        "import os, signal; signal.signal(signal.SIGINT, signal.default_int_handler); "
        "wellroom.fit = lambda *a, **o: os.kill(os.getpid(), signal.SIGINT); _ = ",
    )
    ran = _python(code, stdout=subprocess.DEVNULL)
    assert (ran.returncode, ran.stderr) == (130, "interrupted\n")


def test_module_runs_as_the_command_does() -> None:
    """``python -m wellroom`` is the command."""
    ran = subprocess.run(
        [sys.executable, "-m", "wellroom", "--help"], capture_output=True, text=True, timeout=60, check=False
    )
    assert ran.returncode == 0
    assert ran.stdout.startswith("Usage: wellroom ")
