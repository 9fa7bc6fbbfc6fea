"""Kill ``leadsman build`` and ``leadsman guides`` at random moments and see what is left.

    python tests/bench/kills.py --times 20

Before each kill the output folder holds an earlier edition. After it every file there must be whole, the earlier one
or the new one; no process may live on; and the same command, run again, must give the bytes of a run that nobody
killed, with nothing hidden beside them and nothing in the folder for temporary files.
"""

from __future__ import annotations

import argparse
import hashlib
import os
import random
import shutil
import signal
import subprocess
import sys
import tempfile
import time
from collections.abc import Mapping
from pathlib import Path

import yaml

ROOT = Path(__file__).resolve().parents[2]
sys.path[:0] = [str(ROOT / "build"), str(ROOT / "tests")]

COMMANDS = {
    "build": ["build", "--out", "out", "--survey", "tell"],
    "guides": ["guides", "list.csv", "--out", "out", "--workers", "2", "--only", "epub", "--survey", "off"],
}
#: A worker has so long to notice that its parent is gone [s].
_PATIENCE_S = 15.0
ROWS = "id,like,owner\n" + "".join(f"c-{n},punt,Owner {n}\n" for n in range(200))


def main() -> None:
    """Kill, look, and run again, as often as asked."""
    parser = argparse.ArgumentParser(description=__doc__.splitlines()[0])
    parser.add_argument("--times", type=int, default=20, help="kills of each command (%(default)s)")
    parser.add_argument("--seed", type=int, default=1)
    parser.add_argument("--command", choices=sorted(COMMANDS), action="append")
    arguments = parser.parse_args()
    chance = random.Random(arguments.seed)
    for name in arguments.command or sorted(COMMANDS):
        with tempfile.TemporaryDirectory() as folder:
            _kill_often(name, arguments.times, chance, Path(folder))


def _kill_often(name: str, times: int, chance: random.Random, work: Path) -> None:
    import small_guides

    content = small_guides.with_guide(work)
    path = content / "editions" / "guide.yaml"
    data = yaml.safe_load(path.read_text(encoding="utf-8"))
    path.write_text(yaml.safe_dump({**data, "guides": ["dealer"], "formats": ["epub"]}), encoding="utf-8")
    (work / "list.csv").write_text(ROWS, encoding="utf-8")
    (work / "tmp").mkdir()
    earlier = _whole(name, work)
    shutil.copytree(work / "out", work / "earlier")
    for path in (content / "editions").glob("*.yaml"):
        text = path.read_text(encoding="utf-8")
        path.write_text(text.replace("title: ", "title: New ", 1), encoding="utf-8")
    shutil.rmtree(work / "out")
    started = time.monotonic()
    new = _whole(name, work)
    lasts = time.monotonic() - started
    assert new.keys() == earlier.keys()
    counts = {"earlier": 0, "new": 0, "ended first": 0, "left hidden": 0}
    slowest = 0.0
    for number in range(times):
        shutil.rmtree(work / "out")
        shutil.copytree(work / "earlier", work / "out")
        process = _start(name, work)
        time.sleep(chance.uniform(0.0, lasts))
        counts["ended first"] += process.poll() is not None
        process.send_signal(signal.SIGKILL)
        process.communicate()
        slowest = max(slowest, _ended(process.pid))
        left = _files(work / "out")
        for file, digest in left.items():
            assert digest in (earlier[file], new[file]), (
                f"kill {number}: {file} is neither the earlier nor the new one"
            )
            counts["new" if digest == new[file] else "earlier"] += 1
        assert left.keys() == earlier.keys(), f"kill {number}: {earlier.keys() - left.keys()} are gone"
        counts["left hidden"] += bool(_hidden(work / "out"))
        assert _whole(name, work) == new, f"kill {number}: the same command gives other bytes"
        assert _hidden(work / "out") == [], f"kill {number}: {_hidden(work / 'out')} stay"
        held = [p.name for p in (work / "tmp").iterdir()]
        assert held == [], f"kill {number}: {held} stay among the temporary files"
    print(f"{name}: {times} kills over {lasts:.1f} s, {counts['ended first']} after the end; files found whole: "
          f"{counts['earlier']} earlier, {counts['new']} new; {counts['left hidden']} times the next run had to clear up; "
          f"the last worker ended after {slowest:.1f} s at most; the same bytes each time")  # fmt: skip


def _start(name: str, work: Path) -> subprocess.Popen[bytes]:
    environment = {**os.environ, "PYTHONPATH": os.pathsep.join(sys.path), "TMPDIR": str(work / "tmp")}
    return subprocess.Popen([sys.executable, "-m", "leadsman", *COMMANDS[name]], cwd=work, env=environment,
                            stdout=subprocess.PIPE, stderr=subprocess.PIPE, start_new_session=True)  # fmt: skip


def _whole(name: str, work: Path) -> dict[str, str]:
    """Run the command to its end; the files and their digests."""
    process = _start(name, work)
    out, err = process.communicate(timeout=600)
    assert process.returncode == 0, (out + err).decode()[-2000:]
    return _files(work / "out")


def _files(folder: Path) -> dict[str, str]:
    # The manifest says what is made so far: it differs while a run is under way, and only saves work.
    found: Mapping[str, str] = {
        path.relative_to(folder).as_posix(): hashlib.sha256(path.read_bytes()).hexdigest()
        for path in sorted(folder.rglob("*"))
        if path.is_file() and not any(part.startswith(".") for part in path.relative_to(folder).parts)
    }
    return {name: digest for name, digest in found.items() if name != "manifest.json"}


def _hidden(folder: Path) -> list[str]:
    return sorted(path.name for path in folder.glob(".*"))


def _ended(session: int) -> float:
    """Seconds until the last process of a session is gone."""
    started = time.monotonic()
    while True:
        living = 0
        for entry in Path("/proc").iterdir():
            try:
                fields = (entry / "stat").read_text().rpartition(")")[2].split()
                living += int(fields[3]) == session and fields[0] != "Z"
            except (OSError, ValueError, IndexError):
                continue
        if not living:
            return time.monotonic() - started
        assert time.monotonic() - started < _PATIENCE_S, "a worker lives on"
        time.sleep(0.05)


if __name__ == "__main__":
    main()
