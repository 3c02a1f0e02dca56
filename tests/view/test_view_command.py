"""`rigline view` as a user types it: plain words for what can't be done, and a clean end."""

from __future__ import annotations

import signal
import socket
import subprocess
import sys
from pathlib import Path

import pytest

from rigline.cli import main
from rigline.view.serving import listening


@pytest.mark.parametrize("library", ["starlette", "uvicorn", "watchfiles"])
def test_without_the_libraries_the_command_says_what_to_install(library: str, spec: Path) -> None:
    code = f"import sys; sys.modules[{library!r}] = None; from rigline.cli import main; sys.exit(main(sys.argv[1:]))"
    command = [sys.executable, "-c", code, "view", str(spec), "--no-open"]
    done = subprocess.run(command, capture_output=True, text=True, check=False, timeout=60)

    told = 'rigline: the page needs a few more libraries; install them: pip install "rigline[view]"\n'
    assert (done.returncode, done.stderr) == (2, told)


def test_the_libraries_are_loaded_by_no_other_command(spec: Path) -> None:
    code = (
        "import sys; from rigline.cli import main; main(['check', sys.argv[1]]);"
        "sys.exit(len({'starlette', 'uvicorn', 'watchfiles', 'anyio'} & set(sys.modules)))"
    )
    done = subprocess.run([sys.executable, "-c", code, str(spec)], capture_output=True, check=False)

    assert done.returncode == 0


def test_a_port_that_is_in_use_is_named_with_the_remedy(spec: Path, capsys: pytest.CaptureFixture[str]) -> None:
    with socket.create_server(("127.0.0.1", 0)) as taken:
        port = taken.getsockname()[1]

        assert main(["view", str(spec), "--no-open", "--port", str(port)]) == 2
    assert capsys.readouterr().err == (
        f"rigline: port {port} is in use; give another with --port, or leave it out and a free one is taken\n"
    )


@pytest.mark.parametrize("port", ["-1", "65536", "99999999999"])
def test_a_port_that_there_is_not_is_refused(spec: Path, capsys: pytest.CaptureFixture[str], port: str) -> None:
    assert main(["view", str(spec), "--no-open", "--port", port]) == 2
    assert capsys.readouterr().err == f"rigline: --port is at most 65535, not {port}\n"


@pytest.mark.parametrize(
    ("spec_name", "words"), [("-", "not stdin"), ("no.yaml", "can't be read"), ("x.txt", "ends in .yaml")]
)
def test_what_cannot_be_followed_is_refused(
    spec_name: str, words: str, tmp_path: Path, capsys: pytest.CaptureFixture[str], monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.chdir(tmp_path)

    assert main(["view", spec_name, "--no-open"]) == 2
    assert words in capsys.readouterr().err


def test_only_this_machine_can_reach_it() -> None:
    with listening(0) as listener:
        host, port = listener.getsockname()
        with socket.socket() as other:
            other.bind(("127.0.0.2", port))

    assert host == "127.0.0.1"


def test_ctrl_c_ends_it_cleanly_while_a_page_still_listens(spec: Path) -> None:
    command = [sys.executable, "-m", "rigline", "view", str(spec), "--no-open"]
    with subprocess.Popen(command, stdout=subprocess.PIPE, stderr=subprocess.PIPE, text=True) as process:
        assert process.stderr is not None
        address = process.stderr.readline().split()[-1]
        host, port = address.split("/")[2].split(":")
        with socket.create_connection((host, int(port))) as page:
            path = "/" + address.split("/", 3)[3] + "events"
            page.sendall(f"GET {path} HTTP/1.1\r\nHost: {host}:{port}\r\n\r\n".encode())
            assert page.recv(15) == b"HTTP/1.1 200 OK"
            process.send_signal(signal.SIGINT)
            heard = b""
            while more := page.recv(4096):
                heard += more
        rest = process.stderr.read()
        code = process.wait(20)

    assert (code, rest) == (0, "Only this machine can open it. Ctrl-C ends it.\nEnded; the page follows no more.\n")
    assert b"event: ended" in heard
