"""Whoever has never written a spec answers a few questions, or takes an example, and gets one that draws and passes."""

from __future__ import annotations

import io
import itertools
import random
import sys
from collections.abc import Callable, Iterator
from pathlib import Path
from typing import Any

import pytest
from helpers import report

from rigline.api import draw, read_text
from rigline.cli import main
from rigline.findings import Severity
from rigline.starting.answers import Answers, Unusable, amount_or, chosen, loads_in
from rigline.starting.examples import NAMES, example_text
from rigline.starting.text import starter_text
from rigline.starting.wizard import answers_from

WORST = (Severity.DANGER, Severity.FAULT)
CHOICES: dict[str, tuple[Any, ...]] = {
    "what": ("camper", "trailer", "boat", "cabin"),
    "region": ("america", "elsewhere"),
    "body": ("metal", "plastic", "wood"),
    "voltage_v": (12, 24, 48),
    "chemistry": ("lifepo4", "agm", "gel", "flooded", "unknown"),
    "capacity_ah": (None, 400.0),
    "sun_w": (None, 200.0),
    "shore_a": (None, 16.0, 50.0),
    "inverter_w": (None, 600.0),
    "loads": ((), loads_in("lights 24 W, fridge 60 W, pump 5 A, radio")),
}
"""Every choice of the questions, with amounts that go together."""
SAMPLE = 20
"""Of the 17,280 combinations; a fixed seed, so that the same ones are run every time. All pairs are in it besides."""
FIRST_ANSWERS = ("boat", "1", "plastic", "12", "agm", "200 Ah", "100 W", "30 A", "none", "lights 24 W, pump 5 A")


def _pairs() -> Iterator[Answers]:
    """Few combinations that hold every pair of choices of any two questions, found greedily."""
    names = list(CHOICES)
    wanted = {
        (a, x, b, y)
        for a, b in itertools.combinations(range(len(names)), 2)
        for x in range(len(CHOICES[names[a]]))
        for y in range(len(CHOICES[names[b]]))
    }
    generator = random.Random(2)
    while wanted:
        rows = [[generator.randrange(len(CHOICES[name])) for name in names] for _ in range(30)]
        covered = [{(a, x, b, y) for a, x, b, y in wanted if row[a] == x and row[b] == y} for row in rows]
        best = max(range(len(rows)), key=lambda index: len(covered[index]))
        wanted -= covered[best]
        if covered[best]:
            yield Answers(**{name: CHOICES[name][rows[best][place]] for place, name in enumerate(names)})


def _sampled() -> Iterator[Answers]:
    generator = random.Random(1)
    for _ in range(SAMPLE):
        yield Answers(**{name: generator.choice(values) for name, values in CHOICES.items()})


def _worst(text: str) -> list[tuple[str, str]]:
    return [(finding.rule, finding.message) for finding in report(text).findings if finding.severity in WORST]


@pytest.mark.parametrize("answers", [*_pairs(), *_sampled()], ids=lambda a: f"{a.what}-{a.region}-{a.voltage_v}")
def test_every_combination_of_answers_makes_a_spec_without_danger_and_fault(answers: Answers) -> None:
    assert _worst(starter_text(answers, "first.yaml")) == []


@pytest.mark.parametrize("what", CHOICES["what"])
@pytest.mark.parametrize("region", CHOICES["region"])
def test_what_the_answers_make_can_be_drawn_with_all_of_its_components(what: Any, region: Any) -> None:
    answers = Answers(
        what=what, region=region, body="metal", voltage_v=24, chemistry="agm", capacity_ah=300.0, sun_w=200.0,
        shore_a=30.0, inverter_w=800.0, loads=loads_in("lights 24 W, pump 5 A"),
    )  # fmt: skip
    system = read_text(starter_text(answers, "first.yaml"))
    drawn = "".join(draw(system).svgs)

    assert [id for id in system.components if f'id="{id}"' not in drawn and f">{id}<" not in drawn] == []


@pytest.mark.parametrize("name", NAMES)
def test_every_example_draws_and_passes(name: str) -> None:
    text = example_text(name, f"{name}.yaml")

    assert _worst(text) == []
    assert len(draw(read_text(text)).svgs) >= 1


@pytest.mark.parametrize("name", [name for name in NAMES if name != "blank"])
def test_an_example_leaves_no_question_open(name: str) -> None:
    assert [f.rule for f in report(example_text(name, "x.yaml")).findings if f.severity is Severity.QUESTION] == []


def _wizard(answers: list[str], objections: Callable[[Answers], list[str]] = lambda answers: []) -> tuple[Answers, str]:
    """What the wizard makes of lines typed in, and what it said."""
    lines = iter(answers)
    said: list[str] = []

    def ask(prompt: str) -> str:
        line = next(lines, None)
        if line is None:
            raise EOFError
        return line + "\n"

    return answers_from(ask, said.append, objections), "\n".join(said)


def test_nonsense_is_asked_again_with_the_reason() -> None:
    answers, said = _wizard(["", "a rocket", "9", *FIRST_ANSWERS[:5], "1e8 Ah", *FIRST_ANSWERS[5:]])
    reasons = [line.strip() for line in said.splitlines() if line.startswith("  ") and not line.strip()[0].isdigit()]

    assert (answers.what, answers.capacity_ah) == ("boat", 200.0)
    assert reasons == [
        "nothing was typed; give the number or the word",
        "a rocket is none of these; give a number from 1 to 4, or the word",
        "that is more than 5000 Ah; check the number",
    ]
    assert said.count("9 is none of these") == 1


def test_answers_that_together_make_something_unsafe_are_asked_again() -> None:
    def too_large(answers: Answers) -> list[str]:
        return ["Too much for this battery."] if answers.inverter_w and answers.inverter_w > 1000 else []

    first = [*FIRST_ANSWERS[:8], "3000 W", FIRST_ANSWERS[9]]
    answers, said = _wizard([*first, "", "", "", "", "800 W", ""], too_large)

    assert (answers.inverter_w, answers.voltage_v, answers.capacity_ah) == (800.0, 12, 200.0)
    assert "  - Too much for this battery." in said.splitlines()


@pytest.mark.parametrize("count", range(len(FIRST_ANSWERS)))
def test_the_end_of_input_before_the_last_answer_is_no_answer(count: int) -> None:
    with pytest.raises(EOFError):
        _wizard(list(FIRST_ANSWERS[:count]))


@pytest.mark.parametrize(
    ("text", "choices", "labels", "meant"),
    [
        ("2", ("camper", "boat"), (), "boat"),
        ("BOAT", ("camper", "boat"), (), "boat"),
        ("van", ("camper", "trailer"), ("camper (van, bus)", "trailer (caravan)"), "camper"),
        ("24 V", ("12", "24"), (), "24"),
    ],
)
def test_a_choice_is_its_number_its_word_or_a_word_of_its_label(
    text: str, choices: tuple[str, ...], labels: tuple[str, ...], meant: str
) -> None:
    assert chosen(text, choices, labels) == meant


@pytest.mark.parametrize("text", ["0 W", "-3 W", "1,200 W", "200 Ah", "many", "", "99 MW", "50 kW"])
def test_an_amount_that_makes_no_sense_is_refused(text: str) -> None:
    with pytest.raises(Unusable):
        amount_or(text, "w", "none")


def test_a_load_without_power_stays_unknown_and_a_decimal_comma_is_no_separator() -> None:
    assert [(load.name, load.amount) for load in loads_in("lights 4,5 A; radio, Pump 60 W")] == [
        ("Lights", "4,5 A"), ("Radio", "unknown"), ("Pump", "60 W")
    ]  # fmt: skip


@pytest.mark.parametrize("text", ["24 W", "lights 24", "lights 24 V", "", "lights 0 W", "<>", ", ".join(["x"] * 20)])
def test_a_line_of_loads_that_makes_no_sense_is_refused(text: str) -> None:
    with pytest.raises(Unusable):
        loads_in(text)


@pytest.mark.parametrize("name", ["O'Brien's lamp: # {x}", "true", "*x", "- a", "null", "Licht für Öl 5"])
def test_a_load_may_be_called_anything(name: str) -> None:
    answers = Answers(
        what="boat", region="america", body="wood", voltage_v=12, chemistry="agm", loads=loads_in(f"{name} lamp 24 W")
    )  # fmt: skip
    wanted = f"{name} lamp"

    assert read_text(starter_text(answers, "x.yaml")).components["L1"].name == wanted[0].upper() + wanted[1:]


def test_what_cannot_be_known_is_unknown_in_the_spec_and_never_a_number() -> None:
    answers = Answers(what="camper", region="america", body="metal", voltage_v=12, chemistry="lifepo4", sun_w=400.0)
    system: Any = read_text(starter_text(answers, "x.yaml"))

    assert system.components["B1"].unknown >= {"capacity", "short-circuit", "bms", "max-charge", "max-discharge"}
    assert system.components["PV1"].unknown >= {"voc", "isc", "vmp", "imp"}
    assert [run.id for run in system.runs if run.length_m is not None] == []
    assert [run.id for run in system.runs if run.spec.wire is not None] == []


@pytest.fixture
def folder(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    """An empty folder to work in."""
    monkeypatch.chdir(tmp_path)
    return tmp_path


@pytest.mark.parametrize("name", NAMES)
def test_new_writes_the_spec_and_the_schema_that_its_first_line_names(name: str, folder: Path) -> None:
    assert main(["new", "mine.yaml", "--from", name]) == 0
    assert sorted(path.name for path in folder.iterdir()) == ["mine.yaml", "rigline.schema.json"]
    first = (folder / "mine.yaml").read_text(encoding="utf-8").splitlines()[0]
    assert first == "# yaml-language-server: $schema=rigline.schema.json"
    assert main(["check", "mine.yaml"]) == 0


@pytest.mark.parametrize("name", NAMES)
def test_a_new_table_passes_as_its_yaml_does(name: str, folder: Path) -> None:
    assert main(["new", "mine.csv", "--from", name]) == 0
    assert [path.name for path in folder.iterdir()] == ["mine.csv"]
    assert (folder / "mine.csv").read_text(encoding="utf-8-sig").startswith("# A spec as a table.")
    assert main(["check", "mine.csv"]) == 0


def test_new_never_writes_over_a_file(folder: Path, capsys: pytest.CaptureFixture[str]) -> None:
    (folder / "mine.yaml").write_text("mine", encoding="utf-8")

    assert main(["new", "mine.yaml", "--from", "boat"]) == 2
    assert (folder / "mine.yaml").read_text(encoding="utf-8") == "mine"
    assert capsys.readouterr().err == (
        "rigline: mine.yaml is there already and is left as it is; give another name\n"
    )  # fmt: skip


def test_an_own_file_by_the_schema_s_name_is_left_alone(folder: Path) -> None:
    (folder / "rigline.schema.json").write_text("mine", encoding="utf-8")

    assert main(["new", "mine.yaml", "--from", "boat"]) == 0
    assert (folder / "rigline.schema.json").read_text(encoding="utf-8") == "mine"


def test_without_a_terminal_new_says_what_to_give(
    folder: Path, capsys: pytest.CaptureFixture[str], monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(sys, "stdin", io.StringIO("1\n1\n"))

    assert main(["new"]) == 2
    assert list(folder.iterdir()) == []
    assert "rigline new --from trailer" in capsys.readouterr().err


class Terminal(io.StringIO):
    """Lines that somebody types at a terminal."""

    def isatty(self) -> bool:
        return True


def test_at_a_terminal_new_asks_and_writes_what_was_answered(folder: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(sys, "stdin", Terminal("\n".join(FIRST_ANSWERS) + "\n"))

    assert main(["new"]) == 0
    assert main(["check", "boat.yaml"]) == 0


def test_input_that_ends_writes_nothing(
    folder: Path, capsys: pytest.CaptureFixture[str], monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(sys, "stdin", Terminal("boat\n1\n"))

    assert main(["new"]) == 2
    assert list(folder.iterdir()) == []
    assert capsys.readouterr().err.splitlines()[-1] == "rigline: stopped before the last answer; nothing was written"


def test_ctrl_c_writes_nothing(folder: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    def interrupted() -> str:
        raise KeyboardInterrupt

    terminal = Terminal()
    monkeypatch.setattr(terminal, "readline", interrupted)
    monkeypatch.setattr(sys, "stdin", terminal)

    assert main(["new"]) == 2
    assert list(folder.iterdir()) == []


def test_the_check_s_own_objection_is_the_reason_for_asking_again(
    folder: Path, capsys: pytest.CaptureFixture[str], monkeypatch: pytest.MonkeyPatch
) -> None:
    greedy = ["camper", "1", "metal", "12", "agm", "50 Ah", "none", "none", "1500 W", "none"]
    monkeypatch.setattr(sys, "stdin", Terminal("\n".join([*greedy, "", "", "", "", "none", "lights 24 W"]) + "\n"))

    assert main(["new"]) == 0
    assert "These answers together make a system that the check objects to:" in capsys.readouterr().err
    assert main(["check", "camper.yaml"]) == 0
