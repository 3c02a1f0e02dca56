"""`rigline notes` as a user types it: files, a marked block of an own document, and plain words for what is wrong."""

from __future__ import annotations

from pathlib import Path

import pytest

from rigline.cli import main
from rigline.outputs.notes.into import BEGIN, END

SPECS = Path(__file__).parent.parent.parent / "specs"
LIGHTS = str(SPECS / "lights.yaml")


def run(capsys: pytest.CaptureFixture[str], *arguments: str) -> tuple[int, str, str]:
    """Exit code, stdout and stderr of one command."""
    code = main(["notes", *arguments])
    captured = capsys.readouterr()
    return code, captured.out, captured.err


def document(path: Path, before: bytes, after: bytes, newline: bytes = b"\n") -> Path:
    """A document of somebody's own with an empty marked block."""
    path.write_bytes(before + BEGIN.encode() + newline + END.encode() + newline + after)
    return path


def test_several_files_are_written_at_once(capsys: pytest.CaptureFixture[str], tmp_path: Path) -> None:
    names = [str(tmp_path / f"box.{form}") for form in ("html", "md", "pdf")]
    code, out, err = run(capsys, LIGHTS, *(word for name in names for word in ("-o", name)))

    assert (code, out) == (0, "")
    assert sorted(path.name for path in tmp_path.iterdir()) == ["box-sheet-1.svg", "box.html", "box.md", "box.pdf"]
    assert (tmp_path / "box.pdf").read_bytes()[:5] == b"%PDF-"
    assert "![One-line diagram, sheet 1 of 1](box-sheet-1.svg)" in (tmp_path / "box.md").read_text(encoding="utf-8")
    assert err.splitlines()[-1] == "no danger, no fault"


def test_without_a_file_markdown_goes_to_stdout(capsys: pytest.CaptureFixture[str]) -> None:
    code, out, err = run(capsys, LIGHTS)

    assert (code, err) == (0, "no danger, no fault\n")
    assert out.startswith("# Build notes: Camping box\n")
    assert "![" not in out


def test_a_stage_is_named_in_its_notes(capsys: pytest.CaptureFixture[str]) -> None:
    assert "stage 1" in run(capsys, LIGHTS, "--stage", "1")[1].splitlines()[2]


def test_a_form_that_is_not_there_is_named_with_those_that_are(
    capsys: pytest.CaptureFixture[str], tmp_path: Path
) -> None:
    code, _, err = run(capsys, LIGHTS, "-o", str(tmp_path / "a.html"), "-o", str(tmp_path / "a.docx"))

    assert (code, list(tmp_path.iterdir())) == (2, [])
    assert err.endswith("the ending says the form of the notes; give .html, .md or .pdf\n")


# A marked block


def test_a_block_is_filled_and_every_other_byte_stays(capsys: pytest.CaptureFixture[str], tmp_path: Path) -> None:
    """Also bytes that are no UTF-8, blanks at the ends of lines, and a last line without an end."""
    before, after = b"\xef\xbb\xbf# My box  \r\n\xff\xfe\x00 text\t\n\n", b"\n\n\r\nend \xe4 without newline"
    path = document(tmp_path / "BUILD.md", before, after)
    code, _, _ = run(capsys, LIGHTS, "--into", str(path))
    now = path.read_bytes()

    assert code == 0
    assert now.startswith(before + BEGIN.encode() + b"\n")
    assert now.endswith(END.encode() + b"\n" + after)
    assert b"| W1a | B1 | F1 |" in now
    assert b"![One-line diagram, sheet 1 of 1](BUILD-sheet-1.svg)" in now
    assert (tmp_path / "BUILD-sheet-1.svg").read_text(encoding="utf-8").startswith("<svg ")


def test_a_block_ends_its_lines_as_its_document_does(capsys: pytest.CaptureFixture[str], tmp_path: Path) -> None:
    path = document(tmp_path / "BUILD.md", b"one\r\n", b"two\r\n", b"\r\n")
    run(capsys, LIGHTS, "--into", str(path))

    assert path.read_bytes().count(b"\n") == path.read_bytes().count(b"\r\n")


def test_a_second_time_nothing_is_written(capsys: pytest.CaptureFixture[str], tmp_path: Path) -> None:
    path = document(tmp_path / "BUILD.md", b"", b"")
    run(capsys, LIGHTS, "--into", str(path))
    first = path.read_bytes()
    code, _, err = run(capsys, LIGHTS, "--into", str(path))

    assert (code, err, path.read_bytes()) == (0, "no danger, no fault\n", first)


def test_check_says_stale_until_the_block_is_brought_up_to_date(
    capsys: pytest.CaptureFixture[str], tmp_path: Path
) -> None:
    path = document(tmp_path / "BUILD.md", b"mine\n", b"")
    untouched = path.read_bytes()
    stale = run(capsys, LIGHTS, "--into", str(path), "--check")

    assert (stale[0], path.read_bytes(), len(list(tmp_path.iterdir()))) == (1, untouched, 1)
    assert "is stale" in stale[2]

    run(capsys, LIGHTS, "--into", str(path))
    assert run(capsys, LIGHTS, "--into", str(path), "--check")[0] == 0


def test_a_changed_spec_makes_a_block_stale(capsys: pytest.CaptureFixture[str], tmp_path: Path) -> None:
    spec, path = tmp_path / "lights.yaml", document(tmp_path / "BUILD.md", b"", b"")
    text = Path(LIGHTS).read_text(encoding="utf-8")
    spec.write_text(text, encoding="utf-8")
    run(capsys, str(spec), "--into", str(path))
    spec.write_text(text.replace("length: 2 m", "length: 3 m"), encoding="utf-8")

    assert run(capsys, str(spec), "--into", str(path), "--check")[0] == 1


def test_a_lost_drawing_makes_a_block_stale(capsys: pytest.CaptureFixture[str], tmp_path: Path) -> None:
    path = document(tmp_path / "BUILD.md", b"", b"")
    run(capsys, LIGHTS, "--into", str(path))
    (tmp_path / "BUILD-sheet-1.svg").unlink()

    assert run(capsys, LIGHTS, "--into", str(path), "--check")[0] == 1


def test_marks_in_a_code_block_are_an_example(capsys: pytest.CaptureFixture[str], tmp_path: Path) -> None:
    example = f"```\n{BEGIN}\n{END}\n```\n".encode()
    path = document(tmp_path / "BUILD.md", example, b"")
    run(capsys, LIGHTS, "--into", str(path))

    assert path.read_bytes().startswith(example + BEGIN.encode())


@pytest.mark.parametrize(
    ("content", "words"),
    [
        ("no marks\n", "has no block for the notes: write a line <!-- rigline notes: begin -->"),
        (f"{BEGIN}\n", "marks found: line 1"),
        (f"{END}\n{BEGIN}\n", "marks found: line 1, line 2"),
        (f"{BEGIN}\n{END}\n\n{BEGIN}\n{END}\n", "marks found: line 1, line 2, line 4, line 5"),
    ],
)
def test_a_document_without_one_block_is_left_alone(
    capsys: pytest.CaptureFixture[str], tmp_path: Path, content: str, words: str
) -> None:
    path = tmp_path / "BUILD.md"
    path.write_text(content, encoding="utf-8")
    code, _, err = run(capsys, LIGHTS, "--into", str(path))

    assert (code, path.read_text(encoding="utf-8"), len(list(tmp_path.iterdir()))) == (2, content, 1)
    assert words in err


def test_every_document_that_is_wrong_is_named_and_none_is_written(
    capsys: pytest.CaptureFixture[str], tmp_path: Path
) -> None:
    good = document(tmp_path / "good.md", b"", b"")
    (tmp_path / "bad.md").write_text("nothing\n", encoding="utf-8")
    kept = good.read_bytes()
    names = [str(good), str(tmp_path / "bad.md"), str(tmp_path / "absent.md")]
    code, _, err = run(capsys, LIGHTS, *(word for name in names for word in ("--into", name)))

    assert (code, good.read_bytes()) == (2, kept)
    assert "bad.md has no block" in err
    assert "absent.md can't be read" in err


def test_a_link_to_a_document_stays_a_link(capsys: pytest.CaptureFixture[str], tmp_path: Path) -> None:
    (tmp_path / "real").mkdir()
    real = document(tmp_path / "real" / "BUILD.md", b"", b"")
    link = tmp_path / "link.md"
    link.symlink_to(real)
    run(capsys, LIGHTS, "--into", str(link))

    assert link.is_symlink()
    assert b"W1a" in real.read_bytes()


@pytest.mark.parametrize("more", [["--check"], ["--check", "-o", "a.html", "--into", "a.md"]])
def test_check_without_a_block_to_check_is_refused(capsys: pytest.CaptureFixture[str], more: list[str]) -> None:
    code, _, err = run(capsys, LIGHTS, *more)

    assert code == 2
    assert err.startswith("rigline: --check goes with --into FILE.md and without -o")


def test_notes_are_not_written_over_the_document_that_is_kept(
    capsys: pytest.CaptureFixture[str], tmp_path: Path
) -> None:
    path = document(tmp_path / "BUILD.md", b"mine\n", b"")
    kept = path.read_bytes()
    code, _, err = run(capsys, LIGHTS, "--into", str(path), "-o", str(path))

    assert (code, path.read_bytes()) == (2, kept)
    assert "would write over the document" in err
