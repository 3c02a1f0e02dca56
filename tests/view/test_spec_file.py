"""The spec on disk: what saving keeps of a file, and what is seen of it."""

from __future__ import annotations

import os
import stat
from pathlib import Path

import pytest

from rigline.errors import CommandError
from rigline.view.spec_file import ChangedElsewhere, SpecFile


@pytest.mark.parametrize(
    "data",
    [
        b"a: 1\n", b"a: 1\r\nb: 2\r\n", b"\xef\xbb\xbfa: 1\n", "a: \u00b0\n".encode("utf-16"), b"", b"no line end",
    ],
)  # fmt: skip
def test_saving_the_text_as_it_was_changes_no_byte(tmp_path: Path, data: bytes) -> None:
    path = tmp_path / "spec.yaml"
    path.write_bytes(data)
    file = SpecFile(path)
    saved = file.saved()
    assert saved.text is not None
    file.save(saved.text, saved.digest)

    assert path.read_bytes() == data
    assert "\r" not in saved.text


def test_what_is_no_text_is_not_offered_for_editing(tmp_path: Path) -> None:
    path = tmp_path / "spec.yaml"
    path.write_bytes("a: 20 °C".encode("latin-1"))

    assert SpecFile(path).saved().text is None


def test_saving_keeps_the_rights_and_the_link(tmp_path: Path) -> None:
    (tmp_path / "boats").mkdir()
    path = tmp_path / "boats" / "spec.yaml"
    path.write_text("a: 1\n")
    path.chmod(0o640)
    link = tmp_path / "now.yaml"
    link.symlink_to(path)
    file = SpecFile(link)
    file.save("a: 2\n", file.saved().digest)

    assert link.is_symlink()
    assert path.read_text() == "a: 2\n"
    assert stat.S_IMODE(path.stat().st_mode) == 0o640
    assert file.folders() == {tmp_path, path.parent}


def test_a_change_made_elsewhere_is_never_written_over(tmp_path: Path) -> None:
    path = tmp_path / "spec.yaml"
    path.write_text("a: 1\n")
    file = SpecFile(path)
    base = file.saved().digest
    path.write_text("a: theirs\n")
    with pytest.raises(ChangedElsewhere) as conflict:
        file.save("a: mine\n", base)

    assert conflict.value.now.text == "a: theirs\n"
    assert path.read_text() == "a: theirs\n"
    file.save("a: mine\n", conflict.value.now.digest)
    assert path.read_text() == "a: mine\n"


def test_a_file_that_cannot_be_written_stays_whole(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    path = tmp_path / "spec.yaml"
    path.write_text("a: 1\n")
    file = SpecFile(path)
    base = file.saved().digest

    def full(*_: object) -> None:
        raise OSError(28, "No space left on device")

    monkeypatch.setattr(os, "fdopen", full)
    with pytest.raises(CommandError, match="can't be written: No space left on device"):
        file.save("a: 2\n", base)
    monkeypatch.undo()

    assert path.read_text() == "a: 1\n"
    assert [one.name for one in tmp_path.iterdir()] == ["spec.yaml"]


def test_parts_files_are_watched_where_they_lie_and_stay_watched_while_the_spec_is_broken(tmp_path: Path) -> None:
    path = tmp_path / "spec.yaml"
    text = b"parts: [mine/fuses.yaml, ../outside.yaml]\n"
    path.write_bytes(text)
    (tmp_path / "mine").mkdir()
    parts = tmp_path / "mine" / "fuses.yaml"
    parts.write_text("parts: {}\n")
    file = SpecFile(path)
    file.note_parts(text)
    before = file.digest(text)
    parts.write_text("parts: {A: {kind: fuse}}\n")
    after = file.digest(text)
    file.note_parts(b"parts: [mine/fuses.yaml\n")

    assert file.folders() == {tmp_path, tmp_path / "mine"}
    assert before != after
    parts.unlink()
    assert file.digest(text) not in (before, after)
