"""The set-up scripts, run in a small checkout with stand-ins for Python, apt-get, sudo, id and Java.

Nothing here comes from a publication: the expected behaviour is what README.md promises.
"""

import os
import shutil
import subprocess
import sys
from dataclasses import dataclass, field
from pathlib import Path

import pytest

from children import heard

BASH = shutil.which("bash") or "bash"
TOOLS = ["bash", "cat", "cp", "dirname", "env", "mkdir", "mktemp", "rm", "sed", "tail", "touch", "true"]
LIBRARIES = ["libpango-1.0-0", "libharfbuzz-subset0"]

# Plays the system's Python and, through a link, the environment's own. What it cannot play it hands
# to the real one, so that the scripts' own Python snippets are really run.
PYTHON = """#!{bash}
say() {{ printf '%s\\n' "$*" >>"$CALLS"; }}
case "$*" in
  "-c import sys; sys.exit(sys.version_info"*) [[ -z ${{OLD_PYTHON:-}} ]] ;;
  --version) echo "Python ${{OLD_PYTHON:-3.99.1}}" ;;
  "-c import ensurepip, venv") [[ -e $MACHINE/python3-venv ]] ;;
  "-c import os, sys"*) echo python3-venv ;;
  -) cat >/dev/null; for name in {libraries}; do [[ -e $MACHINE/$name ]] || echo "$name"; done ;;
  "-m venv "*) say "venv"; mkdir -p "$3/bin"; cp "$0" "$3/bin/python"; touch "$3/has-pip" ;;
  "-m pip --version") [[ -e "${{0%/bin/python}}/has-pip" ]] ;;
  "-m pip install "*)
    say "pip ${{*: -1}} cache=${{PIP_CACHE_DIR:-usual}}"
    if [[ -n ${{PIP_FAILS:-}} ]]; then echo "ERROR: no route to host"; exit 1; fi ;;
  "-c import weasyprint") [[ -z ${{NO_PANGO:-}} ]] ;;
  "-m leadsman "*)
    say "$*"; mkdir -p out; echo book >out/handbook.pdf; exit "${{LEADSMAN_EXIT:-0}}" ;;
  "-m "*) say "$*"; [[ " ${{FAILING:-}} " != *" $2 "* ]] ;;
  *) exec {python} "$@" ;;
esac
"""
APT_GET = """#!{bash}
printf '%s\\n' "apt-get ${{DEBIAN_FRONTEND:-interactive}} $*" >>"$CALLS"
if [[ -n ${{APT_FAILS:-}} ]]; then echo "E: Unable to locate package"; exit 100; fi
if [[ $* == *" install "* ]]; then for name in ${{*##* install }}; do touch "$MACHINE/$name"; done; fi
"""
SUDO = '#!{bash}\n[[ -z ${{NO_SUDO:-}} ]] || exit 1\nshift\nexec "$@"\n'
CHROMIUM = "#!{bash}\n"
JAVA = "#!{bash}\n[[ -e $MACHINE/default-jre-headless ]]\n"


@dataclass
class Machine:
    """A small checkout on a machine whose PATH holds nothing but chosen tools and the stand-ins."""

    folder: Path
    environment: dict[str, str] = field(default_factory=dict)

    @property
    def checkout(self) -> Path:
        return self.folder / "a checkout"

    @property
    def venv(self) -> Path:
        return self.checkout / ".venv"

    def lay_out(self, repository: Path) -> None:
        (self.checkout / "build").mkdir(parents=True)
        for name in ("setup_lib.sh", "demo.sh", "test.sh"):
            shutil.copy(repository / "build" / name, self.checkout / "build" / name)
        self.write_project('dependencies = ["numpy"]')
        for name in ("bin", "machine", "elsewhere", "scratch", "home"):
            (self.folder / name).mkdir()
        for name in TOOLS:
            (self.folder / "bin" / name).symlink_to(shutil.which(name) or name)
        for name, text in {"python3": PYTHON, "apt-get": APT_GET, "sudo": SUDO, "java": JAVA}.items():
            self.add_program(name, text)
        self.add_program("id", "#!{bash}\necho 0\n")
        self.add_program("git", "#!{bash}\n")
        self.add_program("chromium", CHROMIUM)
        self.add_program("uname", "#!{bash}\necho Linux\n")
        self.give("python3-venv", "default-jre-headless", *LIBRARIES)

    def add_program(self, name: str, text: str) -> None:
        program = self.folder / "bin" / name
        program.write_text(text.format(bash=BASH, python=sys.executable, libraries=" ".join(LIBRARIES)))
        program.chmod(0o755)

    def write_project(self, dependencies: str, settings: str = "") -> None:
        text = f'[project]\nname = "small"\nversion = "1"\n{dependencies}\n[tool.ruff]\n{settings}\n'
        (self.checkout / "pyproject.toml").write_text(text)

    def give(self, *packages: str) -> None:
        for name in packages:
            (self.folder / "machine" / name).touch()

    def take(self, *packages: str) -> None:
        for name in packages:
            (self.folder / "machine" / name).unlink()

    def run(
        self, script: str = "demo.sh", *arguments: str, **environment: str
    ) -> subprocess.CompletedProcess[str]:
        """Run a script of the checkout from another folder, by a relative path."""
        with heard():
            return subprocess.run(
                [BASH, f"../a checkout/build/{script}", *arguments],
                cwd=self.folder / "elsewhere",
                env={
                    "PATH": str(self.folder / "bin"),
                    "HOME": str(self.folder / "home"),
                    "TMPDIR": str(self.folder / "scratch"),
                    "CALLS": str(self.folder / "calls"),
                    "MACHINE": str(self.folder / "machine"),
                    **environment,
                },
                capture_output=True,
                text=True,
                timeout=60,
            )

    def calls(self) -> list[str]:
        """Return what the stand-ins were asked to do since the last call of this method."""
        record = self.folder / "calls"
        lines = record.read_text().splitlines() if record.exists() else []
        record.unlink(missing_ok=True)
        return lines


@pytest.fixture
def machine(tmp_path: Path, repository: Path) -> Machine:
    machine = Machine(tmp_path)
    machine.lay_out(repository)
    return machine


BUILD = "-m leadsman build --out out"


class TestFirstAndSecondRun:
    def test_first_run_installs_and_builds_and_second_run_only_builds(self, machine: Machine) -> None:
        first = machine.run()
        assert first.returncode == 0, first.stderr
        assert machine.calls() == ["venv", "pip . cache=usual", BUILD]
        assert f"1 file in {machine.checkout}/out:" in first.stdout
        assert "handbook.pdf" in first.stdout
        second = machine.run(PIP_FAILS="yes", APT_FAILS="yes")
        assert second.returncode == 0, second.stderr
        assert machine.calls() == [BUILD]

    def test_log_is_kept_only_where_a_message_names_it(self, machine: Machine) -> None:
        scratch = machine.folder / "scratch"
        machine.run()
        machine.run(OLD_PYTHON="3.9.2")
        assert list(scratch.iterdir()) == []
        machine.write_project('dependencies = ["another"]')
        failed = machine.run(PIP_FAILS="yes")
        (log,) = scratch.iterdir()
        assert str(log) in failed.stderr

    def test_changed_dependencies_are_installed_into_the_same_environment(self, machine: Machine) -> None:
        machine.run()
        machine.calls()
        machine.write_project('dependencies = ["numpy", "scipy"]')
        assert machine.run().returncode == 0
        assert machine.calls() == ["pip . cache=usual", BUILD]

    def test_changed_checker_settings_install_nothing(self, machine: Machine) -> None:
        machine.run()
        machine.calls()
        machine.write_project('dependencies = ["numpy"]', settings="line-length = 90")
        assert machine.run().returncode == 0
        assert machine.calls() == [BUILD]

    def test_the_tests_environment_serves_the_demo_but_not_the_other_way_round(
        self, machine: Machine
    ) -> None:
        machine.run("demo.sh")
        machine.calls()
        machine.run("test.sh")
        assert machine.calls()[0] == "pip .[test] cache=usual"
        machine.run("demo.sh")
        assert machine.calls() == [BUILD]

    def test_arguments_and_exit_code_of_the_build_are_passed_through(self, machine: Machine) -> None:
        result = machine.run("demo.sh", "--edition", "two words", LEADSMAN_EXIT="1")
        assert result.returncode == 1
        assert machine.calls()[-1] == f"{BUILD} --edition two words"

    @pytest.mark.parametrize("home", ["", "/proc/no-such-home"])
    def test_a_home_without_room_for_caches(self, machine: Machine, home: str) -> None:
        assert machine.run(HOME=home).returncode == 0
        assert machine.calls()[1] == f"pip . cache={machine.venv}/cache/pip"


class TestBrokenEnvironments:
    def test_failed_installation_is_shown_and_the_next_run_starts_afresh(self, machine: Machine) -> None:
        failed = machine.run(PIP_FAILS="yes")
        assert failed.returncode == 1
        assert "needs the network" in failed.stderr
        assert "ERROR: no route to host" in failed.stderr
        assert not list(machine.venv.glob(".ready-*"))
        machine.calls()
        (machine.venv / "left over").touch()
        again = machine.run()
        assert again.returncode == 0
        assert "unfinished" in again.stdout
        assert machine.calls() == ["venv", "pip . cache=usual", BUILD]
        assert not (machine.venv / "left over").exists()

    def test_environment_cut_off_before_pip_came_is_made_again(self, machine: Machine) -> None:
        machine.run()
        machine.calls()
        (machine.venv / "has-pip").unlink()
        (machine.venv / ".ready-base").unlink()
        assert machine.run().returncode == 0
        assert machine.calls()[0] == "venv"

    def test_moved_checkout_is_set_up_again(self, machine: Machine) -> None:
        machine.run()
        machine.calls()
        (machine.venv / ".made-for").write_text("3.11 /another/place/.venv\n")
        (machine.venv / ".ready-base").write_text("of another place\n")
        assert machine.run().returncode == 0
        assert machine.calls()[0] == "venv"

    def test_empty_stamp_counts_for_nothing(self, machine: Machine) -> None:
        machine.run()
        machine.calls()
        (machine.venv / ".ready-base").write_text("")
        assert machine.run().returncode == 0
        assert machine.calls() == ["pip . cache=usual", BUILD]

    def test_somebody_elses_broken_environment_is_left_alone(self, machine: Machine) -> None:
        machine.venv.mkdir()
        (machine.venv / "precious").touch()
        result = machine.run()
        assert result.returncode == 2
        assert "was not made by this script" in result.stderr
        assert (machine.venv / "precious").exists()
        assert machine.calls() == []

    def test_somebody_elses_working_environment_is_used(self, machine: Machine) -> None:
        (machine.venv / "bin").mkdir(parents=True)
        shutil.copy(machine.folder / "bin" / "python3", machine.venv / "bin" / "python")
        (machine.venv / "has-pip").touch()
        assert machine.run().returncode == 0
        assert machine.calls() == ["pip . cache=usual", BUILD]

    def test_typesetting_libraries_that_do_not_load_leave_no_stamp(self, machine: Machine) -> None:
        result = machine.run(NO_PANGO="yes")
        assert result.returncode == 2
        assert "do not load" in result.stderr
        assert not list(machine.venv.glob(".ready-*"))


class TestSystemPackages:
    def test_root_installs_just_what_is_missing_without_questions(self, machine: Machine) -> None:
        machine.take("python3-venv", "libharfbuzz-subset0")
        assert machine.run().returncode == 0
        update, install = machine.calls()[:2]
        assert update.endswith("update")
        assert install.startswith("apt-get noninteractive ")
        assert "--no-install-recommends" in install
        assert install.endswith(" install python3-venv libharfbuzz-subset0")

    def test_sudo_without_a_password_serves_too(self, machine: Machine) -> None:
        machine.add_program("id", "#!{bash}\necho 1000\n")
        machine.take("libpango-1.0-0")
        assert machine.run().returncode == 0
        assert machine.calls()[1].endswith(" install libpango-1.0-0")

    def test_java_is_wanted_for_the_tests_only(self, machine: Machine) -> None:
        machine.take("default-jre-headless")
        assert machine.run("demo.sh").returncode == 0
        assert not any("apt-get" in call for call in machine.calls())
        assert machine.run("test.sh").returncode == 0
        assert machine.calls()[1].endswith(" install default-jre-headless")

    def test_browser_is_wanted_for_the_tests_only(self, machine: Machine) -> None:
        (machine.folder / "bin" / "chromium").unlink()
        assert machine.run("demo.sh").returncode == 0
        assert not any("apt-get" in call for call in machine.calls())
        assert machine.run("test.sh").returncode == 0
        assert machine.calls()[1].endswith(" install chromium libatomic1")

    @pytest.mark.parametrize("reason", ["no apt-get", "no rights", "apt-get fails"])
    def test_without_a_browser_the_check_goes_on_and_says_what_is_skipped(
        self, machine: Machine, reason: str
    ) -> None:
        (machine.folder / "bin" / "chromium").unlink()
        if reason == "no apt-get":
            (machine.folder / "bin" / "apt-get").unlink()
        elif reason == "no rights":
            machine.add_program("id", "#!{bash}\necho 1000\n")
        result = machine.run("test.sh", NO_SUDO="yes", APT_FAILS="yes")
        assert result.returncode == 0, result.stderr
        assert "hromium" in result.stdout
        assert "the tests of the book in a browser are skipped" in result.stdout
        assert "All checks passed" in result.stdout

    def test_library_removed_later_is_noticed(self, machine: Machine) -> None:
        machine.run()
        machine.calls()
        machine.take("libpango-1.0-0")
        assert machine.run().returncode == 0
        assert machine.calls()[1].endswith(" install libpango-1.0-0")

    @pytest.mark.parametrize("reason", ["no apt-get", "no rights"])
    def test_message_names_the_packages_for_each_system(self, machine: Machine, reason: str) -> None:
        machine.take("libharfbuzz-subset0")
        if reason == "no apt-get":
            (machine.folder / "bin" / "apt-get").unlink()
        else:
            machine.add_program("id", "#!{bash}\necho 1000\n")
        result = machine.run(NO_SUDO="yes")
        assert result.returncode == 2
        assert machine.calls() == []
        assert "sudo apt-get install libharfbuzz-subset0" in result.stderr
        for system, command in {
            "Debian, Ubuntu": "apt-get install",
            "Fedora": "dnf install",
            "macOS": "brew install",
            "Windows": "pacman -S",
        }.items():
            line = next(line for line in result.stderr.splitlines() if line.strip().startswith(system))
            assert command in line + result.stderr.split(line)[1]

    def test_apt_failure_shows_the_end_of_its_output(self, machine: Machine) -> None:
        machine.take("libpango-1.0-0")
        result = machine.run(APT_FAILS="yes")
        assert result.returncode == 2
        assert "E: Unable to locate package" in result.stderr
        assert not machine.venv.exists()

    def test_package_that_does_not_help_is_reported(self, machine: Machine) -> None:
        machine.take("libpango-1.0-0")
        machine.add_program("apt-get", "#!{bash}\necho nothing to do\n")
        result = machine.run()
        assert result.returncode == 2
        assert "still not usable: libpango-1.0-0" in result.stderr

    def test_old_python_is_named_with_what_is_needed(self, machine: Machine) -> None:
        result = machine.run(OLD_PYTHON="3.9.2")
        assert result.returncode == 2
        assert "Python 3.11 or later" in result.stderr
        assert "Python 3.9.2" in result.stderr
        assert machine.calls() == []

    def test_newer_python_beside_an_old_one_is_found(self, machine: Machine) -> None:
        shutil.move(machine.folder / "bin" / "python3", machine.folder / "bin" / "python3.13")
        machine.add_program("python3", "#!{bash}\nexit 1\n")
        assert machine.run().returncode == 0
        assert machine.calls()[0] == "venv"

    def test_without_any_python_all_packages_are_asked_for(self, machine: Machine) -> None:
        (machine.folder / "bin" / "python3").unlink()
        result = machine.run()
        assert result.returncode == 2
        install = machine.calls()[1]
        assert " install python3 python3-venv libpango-1.0-0 " in install
        assert "still not usable: python3 " in result.stderr


class TestTheCheckCommand:
    def test_every_step_runs_and_arguments_go_to_pytest(self, machine: Machine) -> None:
        result = machine.run("test.sh", "-k", "supply or hull")
        assert result.returncode == 0, result.stderr
        assert "All checks passed" in result.stdout
        style, layout, *side_by_side = machine.calls()[2:]
        assert (style, layout) == ("-m ruff check build tests", "-m ruff format --check build tests")
        assert sorted(side_by_side) == [
            "-m mypy",
            "-m pytest -n 2 --dist loadfile --no-loadscope-reorder -k supply or hull",
        ]
        assert list((machine.folder / "scratch").iterdir()) == []

    @pytest.mark.parametrize(
        ("failing", "told"),
        [("ruff", "style, format"), ("pytest", "tests"), ("mypy", "types"), ("mypy pytest", "tests, types")],
    )
    def test_a_failing_step_does_not_hide_the_other_ones(
        self, machine: Machine, failing: str, told: str
    ) -> None:
        result = machine.run("test.sh", FAILING=failing)
        assert result.returncode == 1
        assert result.stderr.splitlines()[-1] == f"FAILED: {told}"
        assert {"-m mypy", "-m pytest -n 2 --dist loadfile --no-loadscope-reorder"} <= set(machine.calls())

    def test_what_is_said_of_the_types_is_shown_after_the_tests(self, machine: Machine) -> None:
        python = PYTHON.replace(
            '"-m "*) say', '"-m mypy") say "-m mypy"; echo "a.py:1: wrong type"; exit 1 ;;\n  "-m "*) say'
        )
        machine.add_program("python3", python)
        result = machine.run("test.sh")
        assert result.returncode == 1
        assert result.stdout.index("---- tests passed") < result.stdout.index("a.py:1: wrong type")
        assert result.stdout.index("a.py:1: wrong type") < result.stdout.index("---- types FAILED")

    def test_continuous_integration_runs_the_same_command(self, machine: Machine, repository: Path) -> None:
        (machine.checkout / ".ci").mkdir()
        shutil.copy(repository / ".ci" / "run", machine.checkout / ".ci" / "run")
        result = machine.run("../.ci/run", "--collect-only")
        assert result.returncode == 0, result.stderr
        assert "-m pytest -n 2 --dist loadfile --no-loadscope-reorder --collect-only" in machine.calls()


@pytest.mark.parametrize("script", ["build/setup_lib.sh", "build/demo.sh", "build/test.sh", ".ci/run"])
def test_shell_syntax(repository: Path, script: str) -> None:
    result = subprocess.run([BASH, "-n", repository / script], capture_output=True, text=True)
    assert (result.returncode, result.stderr) == (0, "")


def test_continuous_integration_can_start_its_script(repository: Path) -> None:
    assert os.access(repository / ".ci" / "run", os.X_OK)
