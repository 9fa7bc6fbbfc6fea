"""The log gate hears everything of its own thread and leaves the loggers as they were."""

from __future__ import annotations

import logging
import threading

import pytest

from leadsman.press.gate import Refused, listen


def test_warnings_are_heard_and_kept_from_the_screen(capsys: pytest.CaptureFixture[str]) -> None:
    logger = logging.getLogger("weasyprint")
    with listen() as findings:
        logger.info("step 4")
        logger.warning("unknown %s", "property")
        logging.getLogger("fontTools.subset").error("no table")
        logging.getLogger("elsewhere").warning("not ours")
    assert findings == ["unknown property", "no table"]
    assert "property" not in capsys.readouterr().err


def test_loggers_are_put_back() -> None:
    logger = logging.getLogger("weasyprint")
    before = (logger.level, logger.propagate, logger.disabled, list(logger.handlers))
    with pytest.raises(KeyError), listen():
        raise KeyError
    assert (logger.level, logger.propagate, logger.disabled, list(logger.handlers)) == before


def test_a_silenced_logger_is_heard_all_the_same() -> None:
    logger = logging.getLogger("weasyprint")
    logger.setLevel(logging.CRITICAL)
    try:
        with listen() as findings:
            logger.error("image failed")
        assert findings == ["image failed"]
        assert logger.level == logging.CRITICAL
    finally:
        logger.setLevel(logging.NOTSET)


def test_two_builds_do_not_mix() -> None:
    ready = threading.Barrier(2)
    heard: dict[str, list[str]] = {}

    def build(name: str) -> None:
        with listen() as findings:
            ready.wait(timeout=5)
            logging.getLogger("weasyprint").warning("of %s", name)
            ready.wait(timeout=5)
        heard[name] = findings

    threads = [threading.Thread(target=build, args=(name,)) for name in ("one", "two")]
    for thread in threads:
        thread.start()
    for thread in threads:
        thread.join()
    assert heard == {"one": ["of one"], "two": ["of two"]}


def test_a_refusal_tells_each_finding_once() -> None:
    refused = Refused("a.pdf", ["x", "y", "x"])
    assert refused.findings == ("x", "y")
    assert str(refused) == "a.pdf was not written:\n  x\n  y"
