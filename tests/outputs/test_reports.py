"""The report as text and as Markdown: readable at 80 columns, coloured only on a terminal, nothing taken for markup."""

from __future__ import annotations

import io
import re
from pathlib import Path

import pytest
from helpers import report

from rigline.checks.registry import all_checks
from rigline.outputs.markdown_report import report_markdown
from rigline.outputs.terminal import write_lines
from rigline.outputs.text import WIDTH, report_lines, report_text
from rigline.standards.profiles import PROFILE_NAMES

ROOT = Path(__file__).parent.parent.parent
FAULTY = (ROOT / "specs" / "faulty.yaml").read_text(encoding="utf-8")
ESCAPE = re.compile("\x1b\\[[0-9;]*m")


class Terminal(io.StringIO):
    """A terminal that keeps what is written."""

    def isatty(self) -> bool:
        return True


@pytest.fixture
def colours(monkeypatch: pytest.MonkeyPatch) -> pytest.MonkeyPatch:
    """A terminal with colours."""
    monkeypatch.delenv("NO_COLOR", raising=False)
    monkeypatch.setenv("TERM", "xterm-256color")
    return monkeypatch


def test_no_line_is_wider_than_a_terminal() -> None:
    assert [line for line in report_text(report(FAULTY)).splitlines() if len(line) > WIDTH] == []


def test_a_terminal_gets_the_same_words_in_colour(colours: pytest.MonkeyPatch) -> None:
    terminal, answer = Terminal(), report(FAULTY)
    write_lines(report_lines(answer), terminal)
    text = terminal.getvalue()
    assert ESCAPE.search(text) is not None
    assert ESCAPE.sub("", text) == report_text(answer)


@pytest.mark.parametrize(("name", "value"), [("NO_COLOR", "1"), ("TERM", "dumb")])
def test_a_terminal_without_colour_gets_plain_text(colours: pytest.MonkeyPatch, name: str, value: str) -> None:
    colours.setenv(name, value)
    terminal, answer = Terminal(), report(FAULTY)
    write_lines(report_lines(answer), terminal)
    assert terminal.getvalue() == report_text(answer)


def test_a_file_gets_plain_text(colours: pytest.MonkeyPatch) -> None:
    file, answer = io.StringIO(), report(FAULTY)
    write_lines(report_lines(answer), file)
    assert file.getvalue() == report_text(answer)


def test_the_report_ends_with_what_was_checked_what_could_not_be_and_what_no_drawing_shows() -> None:
    text = report_text(report(FAULTY))
    parts = ["rules were run", "\nCHECKED: ", "\nNOT ASSESSED: ", "\nNO DRAWING SHOWS: ", "\nCaution: "]
    assert [text.count(part) > 0 for part in parts] == [True] * len(parts)
    assert [text.index(part) for part in parts] == sorted(text.index(part) for part in parts)


def test_the_families_add_up_to_the_rules_that_were_run() -> None:
    answer = report(FAULTY)
    assert sum(answer.families.values()) == answer.rules_run
    assert answer.rules_run == sum(check.applies_to("us-rv") for check in all_checks())


@pytest.mark.parametrize("profile", PROFILE_NAMES)
def test_every_profile_says_what_no_drawing_shows(profile: str) -> None:
    text = report_text(report(FAULTY.replace("profile: us-rv", f"profile: {profile}"))).casefold()
    words = ("crimps", "torque", "chafe", "covers", "labels", "supports")
    assert [word for word in words if f"{word}: " not in text.partition("no drawing shows")[2]] == []


def test_a_folded_rule_is_named_in_its_cause() -> None:
    """The fuse of W2 is right for its load; the wire is what must be changed."""
    text = " ".join(report_text(report(FAULTY)).split())
    assert "Also: overcurrent device larger than its wire allows [rt-ocpd-over-conductor]" in text


def test_markdown_takes_nothing_in_a_spec_for_markup() -> None:
    text = report_markdown(report(FAULTY.replace("Van chassis", "<script>*a*|b</script>")))
    assert "<script" not in text.replace("\\<script", "")
    assert "\\<script\\>\\*a\\*\\|b\\</script\\>" in text


def test_markdown_holds_every_finding_with_its_number() -> None:
    answer = report(FAULTY)
    titles = re.findall(r"^## (\d+)\. ", report_markdown(answer), re.MULTILINE)
    assert titles == [str(number) for number in range(1, len(answer.findings) + 1)]
