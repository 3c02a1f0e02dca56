"""Nothing in the source works on one operating system only, or reads a file in whatever encoding the system prefers."""

from __future__ import annotations

import ast
from collections.abc import Iterator
from pathlib import Path

import pytest

SOURCE = Path(__file__).parent.parent.parent / "src" / "rigline"
FILES = sorted(SOURCE.rglob("*.py"))

POSIX_MODULES = {"fcntl", "grp", "posix", "pty", "pwd", "resource", "readline", "syslog", "termios", "tty"}
POSIX_CALLS = {
    "os": {
        "chown", "chroot", "fork", "forkpty", "getegid", "geteuid", "getgid", "getgroups", "getpgid", "getuid",
        "killpg", "mkfifo", "mknod", "nice", "setsid", "setuid", "statvfs", "symlink", "sync", "uname", "wait",
    },
    "signal": {"SIGALRM", "SIGHUP", "SIGKILL", "SIGUSR1", "alarm", "pause", "setitimer"},
    "time": {"tzset"},
}  # fmt: skip
"""Module -> what only POSIX has of it. Source: Python's documentation, "Availability: Unix"."""
TEXT_METHODS = {"open": 1, "read_text": 0, "write_text": 1}
"""Method -> how many arguments stand before the encoding at most."""
ONLY_POSIX_READS_THESE = {"drawing/pdf.py"}
"""Files that name a POSIX path where they have looked which system they are on."""


def calls(tree: ast.AST) -> Iterator[ast.Call]:
    return (node for node in ast.walk(tree) if isinstance(node, ast.Call))


def is_text_without_encoding(call: ast.Call) -> bool:
    """Whether a call opens a file as text in the system's encoding."""
    function = call.func
    name = function.id if isinstance(function, ast.Name) else getattr(function, "attr", "")
    if isinstance(function, ast.Name) and name != "open":
        return False
    if name not in TEXT_METHODS or (isinstance(function, ast.Attribute) and name == "open" and _module(function)):
        return False
    words = {keyword.arg for keyword in call.keywords}
    modes = [argument.value for argument in call.args if isinstance(argument, ast.Constant)]
    binary = name == "open" and any(isinstance(mode, str) and "b" in mode for mode in modes)
    return not binary and "encoding" not in words


def _module(function: ast.Attribute) -> bool:
    return isinstance(function.value, ast.Name) and function.value.id in ("Image", "os", "webbrowser")


def posix_only(tree: ast.AST) -> Iterator[str]:
    """Names of modules and functions that some systems lack."""
    for node in ast.walk(tree):
        if isinstance(node, ast.Import):
            yield from (alias.name for alias in node.names if alias.name in POSIX_MODULES)
        elif isinstance(node, ast.ImportFrom) and node.module:
            names = {alias.name for alias in node.names}
            yield from sorted(names & POSIX_CALLS.get(node.module, set()))
            yield from [node.module] if node.module in POSIX_MODULES else []
        elif isinstance(node, ast.Attribute) and isinstance(node.value, ast.Name):
            yield from [node.attr] if node.attr in POSIX_CALLS.get(node.value.id, set()) else []


def joined_by_hand(tree: ast.AST) -> Iterator[str]:
    """Paths put together from text, and absolute paths of one system."""
    for node in ast.walk(tree):
        if isinstance(node, ast.Constant) and isinstance(node.value, str):
            yield from [node.value] if node.value.startswith(("/tmp", "/usr", "/etc", "/dev", "/var", "C:\\")) else []
        if isinstance(node, ast.JoinedStr):
            texts = [part.value if isinstance(part, ast.Constant) else "{}" for part in node.values]
            for before, between, after in zip(texts, texts[1:], texts[2:], strict=False):
                if (before, between, after) == ("{}", "/", "{}") and _names_a_path(node):
                    yield "".join(map(str, texts))


def _names_a_path(node: ast.JoinedStr) -> bool:
    words = {name.id for name in ast.walk(node) if isinstance(name, ast.Name)}
    return bool(words & {"path", "folder", "directory", "root", "file", "parent"})


@pytest.mark.parametrize("path", FILES, ids=lambda path: str(path.relative_to(SOURCE)))
def test_a_file_works_on_every_system(path: Path) -> None:
    tree = ast.parse(path.read_text(encoding="utf-8"))
    hand_joined = [] if path.relative_to(SOURCE).as_posix() in ONLY_POSIX_READS_THESE else list(joined_by_hand(tree))

    assert list(posix_only(tree)) == []
    assert [call.lineno for call in calls(tree) if is_text_without_encoding(call)] == []
    assert hand_joined == []


@pytest.mark.parametrize(
    ("line", "found"),
    [
        ("import fcntl", ["fcntl"]),
        ("import os\nos.geteuid()", ["geteuid"]),
        ("from signal import SIGALRM", ["SIGALRM"]),
        ("from pathlib import Path\nPath('a').read_bytes()", []),
    ],
)
def test_what_one_system_lacks_is_found(line: str, found: list[str]) -> None:
    assert list(posix_only(ast.parse(line))) == found


@pytest.mark.parametrize(
    ("line", "found"),
    [
        ("open('a')", True), ("open('a', 'rb')", False), ("os.open('a', 0)", False),
        ("p.open('w')", True), ("p.open('wb')", False),
        ("p.read_text()", True), ("read_text('a')", False), ("p.read_text(encoding='utf-8')", False),
        ("p.write_text('a')", True),
    ],
)  # fmt: skip
def test_a_text_without_encoding_is_found(line: str, found: bool) -> None:
    assert [is_text_without_encoding(call) for call in calls(ast.parse(line))] == [found]


def test_a_path_joined_by_hand_is_found() -> None:
    assert list(joined_by_hand(ast.parse("f'{folder}/{name}'"))) == ["{}/{}"]
    assert list(joined_by_hand(ast.parse("f'{volts}/{both} V'"))) == []
