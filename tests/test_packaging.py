"""The wheel: what it holds, that it is the same each time, and that it works away from the checkout."""

import os
import shutil
import subprocess
import sys
import tomllib
import zipfile
from dataclasses import dataclass
from pathlib import Path

import pytest


@dataclass(frozen=True)
class Built:
    """What one build of this checkout made."""

    sdist: Path
    wheel: Path

    def shipped(self) -> set[str]:
        """Return the names in the wheel, without those that describe the wheel itself."""
        with zipfile.ZipFile(self.wheel) as archive:
            return {name for name in archive.namelist() if ".dist-info/" not in name}


def run(*command: str | Path, cwd: Path, **environment: str) -> subprocess.CompletedProcess[str]:
    result = subprocess.run(
        command, cwd=cwd, env=os.environ | environment, capture_output=True, text=True, timeout=240
    )
    assert result.returncode == 0, result.stdout[-3000:] + result.stderr[-3000:]
    return result


@pytest.fixture(scope="module")
def built(repository: Path, tmp_path_factory: pytest.TempPathFactory) -> Built:
    """Build the source archive, and the wheel from that archive alone, as a release does."""
    target = tmp_path_factory.mktemp("dist")
    run(sys.executable, "-m", "build", "--no-isolation", "--outdir", target, repository, cwd=target)
    return Built(next(target.glob("*.tar.gz")), next(target.glob("*.whl")))


@pytest.fixture(scope="module")
def expected(repository: Path) -> set[str]:
    """Return the names that the wheel must hold: git's files, renamed by the table in pyproject.toml."""
    if not (repository / ".git").exists():
        pytest.skip("what belongs in the wheel is known from git, and this is not a git checkout")
    # New files that are not committed yet count, as long as git does not ignore them.
    listing = run("git", "ls-files", "-z", "--cached", "--others", "--exclude-standard", cwd=repository)
    names = [name for name in listing.stdout.split("\0") if name and (repository / name).is_file()]
    project = tomllib.loads((repository / "pyproject.toml").read_text(encoding="utf-8"))
    sources = project["tool"]["hatch"]["build"]["targets"]["wheel"]["sources"]
    return {
        target + name.removeprefix(source)
        for name in names
        for source, target in sources.items()
        if name.startswith(f"{source}/")
    }


def test_wheel_holds_just_the_files_that_git_knows(built: Built, expected: set[str]) -> None:
    shipped = built.shipped()
    assert (sorted(shipped - expected), sorted(expected - shipped)) == ([], [])


@pytest.mark.parametrize(
    "part",
    [
        "leadsman/compute/",
        "leadsman/_data/templates/",
        "leadsman/_data/content/",
        "leadsman/_data/reference/",
        "leadsman/_data/tests/fleet/",
    ],
)
def test_each_part_is_shipped(built: Built, part: str) -> None:
    assert [name for name in built.shipped() if name.startswith(part) and not name.endswith("/.keep")]


def test_no_tests_or_scripts_are_shipped(built: Built) -> None:
    stray = {name for name in built.shipped() if name.endswith(".sh") or "/test_" in name}
    assert (stray, {name.split("/")[0] for name in built.shipped()}) == (set(), {"leadsman"})


def test_license_text_is_shipped(built: Built, repository: Path) -> None:
    with zipfile.ZipFile(built.wheel) as archive:
        name = next(name for name in archive.namelist() if name.endswith("LICENSE"))
        assert archive.read(name) == (repository / "build" / "LICENSE").read_bytes()


def test_same_sources_make_the_same_bytes(built: Built, tmp_path: Path) -> None:
    run(sys.executable, "-m", "tarfile", "-e", built.sdist, tmp_path, cwd=tmp_path)
    (source,) = tmp_path.iterdir()
    for path in source.rglob("*"):
        os.utime(path, (1_000_000_000, 1_000_000_000))
        path.chmod(path.stat().st_mode & ~0o077)
    target = tmp_path / "again"
    command = [sys.executable, "-m", "build", "--no-isolation", "--wheel", "--outdir", target, source]
    run(*command, cwd=tmp_path, TZ="Asia/Tokyo", PYTHONHASHSEED="7")
    assert next(target.glob("*.whl")).read_bytes() == built.wheel.read_bytes()


@pytest.fixture(scope="module")
def site(built: Built, tmp_path_factory: pytest.TempPathFactory) -> Path:
    """Install the wheel into a folder of its own, beside the other packages of this environment."""
    site = tmp_path_factory.mktemp("installed") / "site packages"
    command = [sys.executable, "-m", "pip", "install", "--quiet", "--disable-pip-version-check"]
    run(*command, "--no-deps", "--no-index", "--target", site, built.wheel, cwd=site.parent)
    return site


def test_command_starts_away_from_the_checkout(site: Path, tmp_path: Path) -> None:
    command = shutil.which("leadsman", path=str(site / "bin"))
    assert command is not None
    result = run(command, "--version", cwd=tmp_path, PYTHONPATH=str(site))
    assert result.stdout.startswith("leadsman ")


def test_installed_code_and_data_come_from_the_installation(site: Path, tmp_path: Path) -> None:
    snippet = (
        "import leadsman, pathlib; from leadsman.evidence import read_rows; "
        "print(pathlib.Path(leadsman.__file__).parent); print(len(read_rows()))"
    )
    result = run(sys.executable, "-c", snippet, cwd=tmp_path, PYTHONPATH=str(site))
    folder, rows = result.stdout.split("\n")[:2]
    assert Path(folder) == site / "leadsman"
    assert int(rows) > 0
