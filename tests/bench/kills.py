"""Kill ``leadsman build``, ``guides``, ``case`` and ``preview`` at random moments and see what is left.

    python tests/bench/kills.py --times 50

Before each kill the output folder holds earlier files. After it every file there must be whole, the earlier one or the
new one; what was read (the content, the customers' list, the dealer's case) must be as it was; no process may live on;
and the same command, run again on what is left, its cache too, must give the bytes of a run that nobody killed, tell
what it removed, and leave nothing hidden beside them and nothing in the folder for temporary files. The preview is killed while
it starts, paints, serves, and paints a saved edit; the next one must show the same pages.
"""

from __future__ import annotations

import argparse
import contextlib
import hashlib
import http.client
import json
import os
import random
import shutil
import signal
import subprocess
import sys
import tempfile
import threading
import time
from collections.abc import Generator, Mapping
from pathlib import Path
from typing import Any

import yaml

ROOT = Path(__file__).resolve().parents[2]
sys.path[:0] = [str(ROOT / "build"), str(ROOT / "tests")]

#: Commands that end by themselves.
COMMANDS = {
    "build": ["build", "--out", "out", "--survey", "tell"],
    "guides": ["guides", "list.csv", "--out", "out", "--workers", "2", "--only", "epub", "--survey", "off"],
    "case": ["case", "case-1.yaml", "case-2.yaml", "--out", "out"],
}
PREVIEW = "preview"
#: A worker has so long to notice that its parent is gone [s].
_PATIENCE_S = 15.0
#: A busy machine is slow: this only bounds a run that hangs [s].
_LONGEST_S = 600.0
ROWS = "id,like,owner\n" + "".join(f"c-{n},punt,Owner {n}\n" for n in range(200))
CASE = """\
id: case-{number}
entry: P1
opened: "2026-10-{minutes}"
boat: {{like: punt, owner: A. Person, boat: Sedge}}
history: in-service
words: It complains {minutes} times a day
answers:
  volts: {{answer: "no", reading: 12.5 V to 11.6 V}}
minutes: {minutes}
"""
#: What is seen of the entry that the preview shows, before and after an edit.
SEEN = ("The unit complains of its supply.", "The unit tells of its supply.")


def main() -> None:
    """Kill, look, and run again, as often as asked."""
    parser = argparse.ArgumentParser(description=__doc__.splitlines()[0])
    parser.add_argument("--times", type=int, default=50, help="kills of each command (%(default)s)")
    parser.add_argument("--seed", type=int, default=1)
    parser.add_argument("--command", choices=[*COMMANDS, PREVIEW], action="append")
    arguments = parser.parse_args()
    for name in arguments.command or [*COMMANDS, PREVIEW]:
        # Each command has its own moments, whichever others are asked for.
        chance = random.Random(f"{arguments.seed} {name}")
        with tempfile.TemporaryDirectory() as folder:
            work = Path(folder).resolve()
            lay_out(work)
            (_kill_previews if name == PREVIEW else kill_often)(name, arguments.times, chance, work)


def lay_out(work: Path) -> None:
    import small_guides

    editions = small_guides.with_guide(work) / "editions"
    guide = yaml.safe_load((editions / "guide.yaml").read_text(encoding="utf-8"))
    deck = yaml.safe_load((editions / "deck.yaml").read_text(encoding="utf-8"))
    record = {name: value for name, value in deck.items() if name != "sets"}
    reading = {"ask": "Own readout", "unit": "V", "at": ["own readout"], "limit": "As the card says."}
    record |= {"id": "record", "kind": "record", "title": "Record", "formats": ["pdf"], "document": "Q-RECORD",
               "evidence": ["history"], "records": ["blank"], "readings": {"own": reading}}  # fmt: skip
    for edition in ({**guide, "guides": ["dealer"], "formats": ["epub"]}, record):
        (editions / f"{edition['id']}.yaml").write_text(yaml.safe_dump(edition), encoding="utf-8")
    (work / "list.csv").write_text(ROWS, encoding="utf-8")
    _write_cases(work, 12)
    (work / "tmp").mkdir()


def _write_cases(work: Path, minutes: int) -> None:
    for number in (1, 2):
        text = CASE.format(number=number, minutes=minutes)
        (work / f"case-{number}.yaml").write_text(text, encoding="utf-8")


def kill_often(name: str, times: int, chance: random.Random, work: Path) -> None:
    earlier, _ = whole(name, work)
    shutil.copytree(work / "out", work / "earlier")
    for path in (work / "content" / "editions").glob("*.yaml"):
        edition = yaml.safe_load(path.read_text(encoding="utf-8"))
        words = {name: f"New {edition[name]}" for name in ("title", "subtitle", "set_name")}
        path.write_text(yaml.safe_dump({**edition, **words}), encoding="utf-8")
    _write_cases(work, 21)
    given = _given(work)
    for folder in ("out", "cache"):
        shutil.rmtree(work / folder, ignore_errors=True)
    started = time.monotonic()
    new, _ = whole(name, work)
    lasts = time.monotonic() - started
    assert new.keys() == earlier.keys()
    same = [file for file in new if new[file] == earlier[file]]
    assert same == [], f"{same} do not change, and so show nothing"
    counts = {"earlier": 0, "new": 0, "ended first": 0, "left": 0}
    slowest = 0.0
    for number in range(times):
        for folder in ("out", "cache"):
            shutil.rmtree(work / folder, ignore_errors=True)
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
        hidden, held = _hidden(work / "out"), _temporary(work)
        counts["left"] += bool(hidden or held)
        # Whatever this kill left, something of an earlier one lies there too.
        part = work / "out" / f".{min(new)}.{'9' * 20}-x.part"
        part.touch()
        again, told = whole(name, work)
        assert again == new, f"kill {number}: the same command gives other bytes"
        assert not hidden or "which a run that died had left" in told, f"kill {number}: {hidden} went untold"
        # The guides' manifest is written first and takes such a file away without a word.
        assert name == "guides" or f"removed out/{part.name}, which a run that died had left" in told
        _nothing_is_left(number, work)
        assert _given(work) == given, f"kill {number}: what was read was written to"
    print(f"{name}: {times} kills over {lasts:.1f} s, {counts['ended first']} after the end; files found whole: "
          f"{counts['earlier']} earlier, {counts['new']} new; {counts['left']} times the next run had to clear up; "
          f"the last worker ended after {slowest:.1f} s at most; the same bytes each time", flush=True)  # fmt: skip


def _start(name: str, work: Path) -> subprocess.Popen[bytes]:
    environment = {**os.environ, "PYTHONPATH": os.pathsep.join(sys.path), "TMPDIR": str(work / "tmp"),
                   "XDG_CACHE_HOME": str(work / "cache")}  # fmt: skip
    words = COMMANDS.get(name) or [PREVIEW, "P1"]
    return subprocess.Popen([sys.executable, "-m", "leadsman", *words], cwd=work, env=environment,
                            stdout=subprocess.PIPE, stderr=subprocess.PIPE, start_new_session=True)  # fmt: skip


def whole(name: str, work: Path) -> tuple[dict[str, str], str]:
    """Run the command to its end; the files with their digests, and what it said."""
    process = _start(name, work)
    out, err = process.communicate(timeout=_LONGEST_S)
    assert process.returncode == 0, (out + err).decode()[-2000:]
    return _files(work / "out"), (out + err).decode()


def _files(folder: Path) -> dict[str, str]:
    # The manifest says what is made so far: it differs while a run is under way, and only saves work.
    found: Mapping[str, str] = {
        path.relative_to(folder).as_posix(): hashlib.sha256(path.read_bytes()).hexdigest()
        for path in sorted(folder.rglob("*"))
        if path.is_file() and not any(part.startswith(".") for part in path.relative_to(folder).parts)
    }
    return {name: digest for name, digest in found.items() if name != "manifest.json"}


def _given(work: Path) -> dict[str, str]:
    """What the commands read: the content, the list, the cases; hidden files too."""
    paths = [p for p in (work / "content").rglob("*") if p.is_file()]
    paths += [work / "list.csv", *work.glob("*case-*")]
    return {str(path.relative_to(work)): hashlib.sha256(path.read_bytes()).hexdigest() for path in paths}


def _hidden(folder: Path) -> list[str]:
    return sorted(path.name for path in folder.glob(".*"))


def _temporary(work: Path) -> list[str]:
    return sorted(path.name for path in (work / "tmp").iterdir())


def _nothing_is_left(number: int, work: Path) -> None:
    assert _hidden(work / "out") == [], f"kill {number}: {_hidden(work / 'out')} stay"
    assert _temporary(work) == [], f"kill {number}: {_temporary(work)} stay among the temporary files"


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


# --- the preview ---------------------------------------------------------------------------------


class Gone(Exception):
    """The server no longer answers."""


def _kill_previews(name: str, times: int, chance: random.Random, work: Path) -> None:
    started = time.monotonic()
    first, second = _served_whole(work, edits=True)
    lasts = time.monotonic() - started
    assert first["card"], "the card is painted"
    assert first["card"] != second["card"], "an edit that is not shown shows nothing"
    given, slowest = _given(work), 0.0
    counts = {"starting": 0, "painting": 0, "serving": 0, "left": 0}
    for number in range(times):
        process = _start(name, work)
        killer = threading.Timer(chance.uniform(0.0, lasts), process.kill)
        killer.start()
        stage = "starting"
        with contextlib.suppress(Gone, OSError, http.client.HTTPException):
            for came_to, _ in _watched(process, work, edits=True):
                stage = came_to
        killer.join()
        process.communicate()
        counts[stage] += 1
        slowest = max(slowest, _ended(process.pid))
        _see(work, 0)
        counts["left"] += bool(_temporary(work))
        (again,) = _served_whole(work, edits=False)
        assert again == first, f"kill {number}: the next preview shows other pages"
        _nothing_is_left(number, work)
        assert _given(work) == given, f"kill {number}: the content was written to"
    print(f"{name}: {times} kills over {lasts:.1f} s: {counts['starting']} while it started, {counts['painting']} while it painted, "
          f"{counts['serving']} while it served; {counts['left']} times the next start had to clear up; the last worker ended after "
          f"{slowest:.1f} s at most; the same pages each time", flush=True)  # fmt: skip


def _see(work: Path, which: int) -> None:
    """Save the entry with the one or the other text."""
    path = next((work / "content" / "faults").rglob("low-volts.yaml"))
    text = path.read_text(encoding="utf-8")
    path.write_text(text.replace(SEEN[1 - which], SEEN[which]), encoding="utf-8")


def _served_whole(work: Path, *, edits: bool) -> list[dict[str, list[str]]]:
    """Serve until everything is painted, and end it as a service manager does; what was shown, edit by edit."""
    process = _start(PREVIEW, work)
    watch, found = _watched(process, work, edits=edits), []
    try:
        for stage, shown in watch:
            found += [shown] if stage == "serving" else []
            if len(found) == 1 + edits:
                break
    finally:
        # The page is still open, and the last saving has just begun to be painted.
        _see(work, 0)
        process.terminate()
        _, err = process.communicate(timeout=_LONGEST_S)
        watch.close()
    assert (process.returncode, err) == (128 + signal.SIGTERM, b""), err.decode()[-2000:]
    assert _ended(process.pid) < _PATIENCE_S
    return found


def _watched(
    process: subprocess.Popen[bytes], work: Path, *, edits: bool
) -> Generator[tuple[str, dict[str, list[str]]]]:
    """Look at the page as a browser does; each stage that it comes to, and what it then shows."""
    assert process.stdout is not None
    address = process.stdout.readline().decode()
    if not address.startswith("http://"):
        raise Gone
    host = address.split("/")[2]
    yield "painting", {}
    browser = http.client.HTTPConnection(host, timeout=_LONGEST_S)
    # A page that is shown listens: only what is listened to is painted anew.
    listener = http.client.HTTPConnection(host, timeout=_LONGEST_S)
    with contextlib.closing(browser), contextlib.closing(listener):
        listener.request("GET", "/events/low-volts")
        listener.getresponse()
        number, shown = _painted(browser, 0)
        yield "serving", shown
        if edits:
            _see(work, 1)
            yield "painting", {}
            _, shown = _painted(browser, number)
            yield "serving", shown


def _painted(browser: http.client.HTTPConnection, after: int) -> tuple[int, dict[str, list[str]]]:
    """The pages of each view by digest, once all are painted and judged after a saving."""
    until = time.monotonic() + _LONGEST_S
    while time.monotonic() < until:
        state = json.loads(_got(browser, "/state/low-volts"))
        if state["judged"] and state["number"] > after:
            for view in state["views"].values():
                for page in view["pages"]:
                    assert hashlib.sha256(_got(browser, f"/picture/{page}.png")).hexdigest() == page
            return state["number"], {name: [*view["pages"], view["text"], view["phone"]] for name, view in state["views"].items()}  # fmt: skip
        time.sleep(0.1)
    raise AssertionError("the preview never came to an end")


def _got(browser: http.client.HTTPConnection, path: str) -> bytes:
    browser.request("GET", path)
    answer: Any = browser.getresponse()
    data: bytes = answer.read()
    if answer.status != 200:
        raise Gone
    return data


if __name__ == "__main__":
    main()
