"""What is shipped: the wheel and the source archive are built, looked into, installed and run elsewhere.

Nothing here needs a network: the backend builds in this environment, and the throw-away environment takes its
dependencies from this one.
"""

from __future__ import annotations

import json
import os
import subprocess
import sys
import sysconfig
import tarfile
import zipfile
from pathlib import Path

import pytest

ROOT = Path(__file__).resolve().parents[2]
DATA = ("catalogs", "scenarios")


def run(*command: str | Path, at: Path) -> subprocess.CompletedProcess[str]:
    """Run a command in a folder, without what would lead Python back to the checkout."""
    env = {name: value for name, value in os.environ.items() if name not in ("PYTHONPATH", "PYTHONHOME")}
    return subprocess.run(
        [str(word) for word in command],
        cwd=at,
        env=env,
        text=True,
        capture_output=True,
        timeout=300,
        check=False,
    )


def build(kind: str, source: Path, to: Path) -> Path:
    """Build a ``wheel`` or ``sdist`` of the project in ``source`` and return its path."""
    ran = run(sys.executable, "-m", "hatchling", "build", "-t", kind, "-d", to, at=source)
    assert ran.returncode == 0, ran.stderr
    (built,) = to.iterdir()
    return built


def data_files() -> set[str]:
    """Return the data files of the checkout, as they are called in the package."""
    return {
        f"wellroom/_data/{folder}/{path.name}"
        for folder in DATA
        for path in (ROOT / folder).iterdir()
        if path.suffix in (".csv", ".toml")
    }


@pytest.fixture(scope="module")
def archive(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """The source archive of the checkout."""
    return build("sdist", ROOT, tmp_path_factory.mktemp("sdist"))


@pytest.fixture(scope="module")
def wheel(archive: Path, tmp_path_factory: pytest.TempPathFactory) -> Path:
    """The wheel built from the unpacked source archive, as pip does it."""
    source = tmp_path_factory.mktemp("source")
    with tarfile.open(archive) as packed:
        packed.extractall(source, filter="data")
    (top,) = source.iterdir()
    return build("wheel", top, tmp_path_factory.mktemp("wheel"))


@pytest.fixture(scope="module")
def elsewhere(wheel: Path, tmp_path_factory: pytest.TempPathFactory) -> Path:
    """The scripts of a fresh environment that holds the wheel, and sees this one's dependencies."""
    home = tmp_path_factory.mktemp("environment")
    made = run(sys.executable, "-m", "venv", "--without-pip", home, at=home)
    assert made.returncode == 0, made.stderr
    scripts = Path(sysconfig.get_path("scripts", "venv", {"base": str(home)}))
    pip = (sys.executable, "-m", "pip", "--python", scripts / "python", "install")
    put = run(*pip, "--quiet", "--no-deps", "--no-index", wheel, at=home)
    assert put.returncode == 0, put.stderr
    site = Path(sysconfig.get_path("purelib", "venv", {"base": str(home), "platbase": str(home)}))
    (site / "dependencies.pth").write_text(sysconfig.get_path("purelib") + "\n", encoding="utf-8")
    return scripts


def test_wheel_holds_the_package_and_its_data_and_no_more(wheel: Path) -> None:
    """The wheel carries every module, catalog and scenario under the package, and nothing beside it."""
    with zipfile.ZipFile(wheel) as packed:
        names = set(packed.namelist())
    modules = {
        f"wellroom/{path.relative_to(ROOT / 'solver/wellroom').as_posix()}"
        for path in (ROOT / "solver/wellroom").rglob("*.py")
    }
    assert data_files() | modules <= names
    tops = {name.split("/")[0] for name in names}
    assert "wellroom" in tops
    assert all(top == "wellroom" or top.endswith(".dist-info") for top in tops)
    assert not [name for name in names if name.endswith(".pyc")]


def test_wheel_carries_licence_and_readme(wheel: Path) -> None:
    """The licence lies in the wheel and the README is its description."""
    with zipfile.ZipFile(wheel) as packed:
        (licence,) = (name for name in packed.namelist() if name.endswith("/LICENSE"))
        (metadata,) = (name for name in packed.namelist() if name.endswith(".dist-info/METADATA"))
        assert packed.read(licence) == (ROOT / "LICENSE").read_bytes()
        text = packed.read(metadata).decode()
    assert "License-Expression: MIT" in text
    assert text.endswith((ROOT / "README.md").read_text(encoding="utf-8"))


def test_archive_holds_what_the_wheel_is_built_from(archive: Path) -> None:
    """The source archive has the sources, the data, README, LICENSE and the project file."""
    with tarfile.open(archive) as packed:
        names = {name.partition("/")[2] for name in packed.getnames()}
    assert {"README.md", "LICENSE", "pyproject.toml"} <= names
    assert {name.rsplit("/", 1)[1] for name in data_files()} <= {name.rsplit("/", 1)[-1] for name in names}


def test_installed_package_is_the_wheels_own(elsewhere: Path, tmp_path: Path) -> None:
    """In the fresh environment the package, its catalogs and its scenarios are the installed ones."""
    code = "import wellroom.data as d; print(d.__file__, d.catalogs_dir(), d.scenarios_dir(), sep='\\n')"
    ran = run(elsewhere / "python", "-c", code, at=tmp_path)
    assert ran.returncode == 0, ran.stderr
    for line in ran.stdout.splitlines():
        assert Path(line).is_relative_to(elsewhere.parent)


def test_installed_command_answers_on_a_shipped_scenario(elsewhere: Path, tmp_path: Path) -> None:
    """Installed from the wheel and run from an empty folder, ``fit`` answers on a scenario called by name."""
    ran = run(elsewhere / "wellroom", "fit", "least", "--top", "1", "--json", at=tmp_path)
    assert (ran.returncode, ran.stderr) == (0, "")
    answer = json.loads(ran.stdout)
    assert answer["status"] == "proven"
    assert len(answer["fits"]) == 1
    assert not list(tmp_path.iterdir())


def test_installed_catalogs_are_without_fault(elsewhere: Path, tmp_path: Path) -> None:
    """The installed catalogs are the checkout's, and read without a fault."""
    ran = run(elsewhere / "wellroom", "catalog", at=tmp_path)
    assert ran.returncode == 0, ran.stderr
    assert ran.stdout.endswith("no fault\n")
