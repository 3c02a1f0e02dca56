"""What a Windows or macOS user has that Linux has not: consoles without UTF-8, odd folders, other line ends."""

from __future__ import annotations

import json
import os
import subprocess
import sys
from pathlib import Path
from xml.etree import ElementTree

import pytest

from rigline.cli import main
from rigline.cli.console import READABLE, readable
from rigline.spec.reading import read_tree
from rigline.units import parse_amount

ROOT = Path(__file__).parent.parent.parent
COMMANDS = (
    ["check", "SPEC"], ["check", "SPEC", "--format", "markdown"], ["schedule", "SPEC"], ["size", "SPEC"],
    ["parts", "SPEC"], ["energy", "SPEC"], ["explain", "ohm"], ["explain", "square millimetre"],
    ["explain", "W1", "--in", "SPEC"], ["labels", "SPEC"], ["draw", "SPEC"], ["--help"],
    ["explain", "Ωμ"], ["check", "Küche.yaml"],
)  # fmt: skip
ENCODINGS = ("ascii", "cp1252", "cp437")


@pytest.fixture
def spec(tmp_path: Path) -> Path:
    """A spec with words of several scripts, in a folder with a space and an umlaut, with the other line ends."""
    folder = tmp_path / "Mein Wohnwagen (Küche)"
    folder.mkdir()
    text = (ROOT / "specs" / "lights.yaml").read_text(encoding="utf-8")
    title = next(line for line in text.splitlines() if line.startswith("title:"))
    path = folder / "größe 1.yaml"
    text = text.replace(title, "title: Licht für Ωmega, 水 und Čeněk").replace("\n", "\r\n")
    path.write_bytes(text.encode())
    return path


def ran(arguments: list[str], encoding: str) -> subprocess.CompletedProcess[bytes]:
    """A command in a console of an encoding."""
    environment = os.environ | {"PYTHONIOENCODING": encoding, "PYTHONUTF8": "0", "NO_COLOR": "1"}
    return subprocess.run(
        [sys.executable, "-m", "rigline", *arguments], capture_output=True, env=environment, check=False
    )


def words_of(said: str) -> str:
    """What was said, however its lines were broken."""
    return " ".join(said.split())


@pytest.mark.parametrize("encoding", ENCODINGS)
def test_every_command_says_everything_in_a_console_that_knows_few_letters(spec: Path, encoding: str) -> None:
    """No command ends in an encoding error, on either stream; all are run in one process to be quick."""
    code = (
        "import sys, json\nfrom rigline.cli import main\n"
        "for words in json.loads(sys.argv[1]):\n"
        "    try:\n        main(words)\n    except SystemExit:\n        pass\n"
    )
    commands = [[str(spec) if word == "SPEC" else word for word in words] for words in COMMANDS]
    environment = os.environ | {"PYTHONIOENCODING": encoding, "PYTHONUTF8": "0"}
    done = subprocess.run(
        [sys.executable, "-c", code, json.dumps(commands)], capture_output=True, env=environment, check=True
    )

    assert b"fault of Rigline" not in done.stderr
    assert b"UnicodeEncodeError" not in done.stderr
    assert b"CHECKED: rules run" in done.stdout
    assert b"</svg>" in done.stdout


@pytest.mark.parametrize(
    ("encoding", "heading"),
    [
        ("ascii", "grosse 1.yaml: Licht fur ohmmega, \\u6c34 und Cenek"),
        ("cp1252", "größe 1.yaml: Licht für ohmmega, \\u6c34 und Cenek"),
        ("utf-8", "größe 1.yaml: Licht für Ωmega, 水 und Čeněk"),
    ],
)
def test_a_console_shows_the_signs_it_has_and_spells_the_others(spec: Path, encoding: str, heading: str) -> None:
    assert heading in words_of(ran(["check", str(spec)], encoding).stdout.decode(encoding))


@pytest.mark.parametrize("written", ["2 mΩ", "35 mm²", "40 °C", "4 μΩ", "30°"])
def test_an_amount_that_was_written_out_can_be_read_again(written: str) -> None:
    suffix = {"Ω": "ohm", "²": "mm2", "C": "c", "°": "deg"}[written[-1]]

    assert parse_amount(readable(written), suffix) == parse_amount(written, suffix)


def test_every_sign_of_our_own_words_has_a_spelling() -> None:
    """A sign that the source uses and nobody spelt would stand as an escape in a report."""
    sources = [*(ROOT / "src").rglob("*.py"), *(ROOT / "src").rglob("*.toml")]
    used = {char for path in sources for char in path.read_text(encoding="utf-8") if not char.isascii()} - {"ж"}

    assert sorted(char for char in used if "\\" in readable(char)) == []
    assert all(spelling.isascii() for spelling in READABLE.values())


@pytest.mark.parametrize(
    "words", [["draw"], ["check", "--format", "json"], ["check", "--format", "sarif"], ["schedule", "--format", "csv"]]
)
def test_what_a_program_reads_is_utf_8_in_every_console(spec: Path, words: list[str]) -> None:
    command, *options = words
    results = [ran([command, str(spec), *options], encoding).stdout for encoding in ("ascii", "utf-8")]

    assert results[0] == results[1]
    if command == "draw":
        assert "水" in str(ElementTree.fromstring(results[0])[0].text)


def test_the_other_line_ends_change_no_answer(
    in_project: Path, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    text = Path("specs/faulty.yaml").read_text(encoding="utf-8")
    said = []
    for end in ("\n", "\r\n", "\r"):
        path = tmp_path / "faulty.yaml"
        path.write_bytes(text.replace("\n", end).encode())
        main(["check", str(path)])
        said.append(capsys.readouterr().out)

    assert said[1:] == [said[0], said[0]]
    assert read_tree(text, "a", "yaml").data == read_tree(text.replace("\n", "\r\n"), "a", "yaml").data


@pytest.mark.parametrize("name", ["con.svg", "NUL.pdf", "Com1.png", "aux.svg", "lpt9.html"])
def test_a_name_that_windows_keeps_for_a_device_is_refused(
    spec: Path, name: str, capsys: pytest.CaptureFixture[str]
) -> None:
    assert main(["draw", str(spec), "-o", str(spec.parent / name)]) == 2
    assert "takes this name for a device" in capsys.readouterr().err
    assert [path.name for path in spec.parent.iterdir()] == [spec.name]


def test_names_that_differ_in_capitals_only_are_refused(spec: Path, capsys: pytest.CaptureFixture[str]) -> None:
    outputs = [str(spec.parent / name) for name in ("Plan.svg", "plan.svg")]

    assert main(["draw", str(spec), "-o", outputs[0], "-o", outputs[1]]) == 2
    assert "are one file on Windows and macOS" in capsys.readouterr().err
    assert [path.name for path in spec.parent.iterdir()] == [spec.name]


def test_files_are_named_by_their_user_and_never_after_ids(spec: Path) -> None:
    """Ids of a spec may be anything, such as `aux` beside `AUX`; no name of a file comes of them."""
    text = spec.read_bytes().decode().replace("FA", "aux").replace("FB", "AUX")
    spec.write_bytes(text.encode())
    folder = spec.parent / "out"
    folder.mkdir()
    outputs = [word for form in ("svg", "pdf", "png", "html") for word in ("-o", str(folder / f"plan.{form}"))]

    assert main(["draw", str(spec), *outputs]) == 0
    assert main(["labels", str(spec), "-o", str(folder / "tags.csv"), "-o", str(folder / "tags.pdf")]) == 0
    assert {path.stem for path in folder.iterdir()} == {"plan", "tags"}
