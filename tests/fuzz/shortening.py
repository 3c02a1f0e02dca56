"""Makes a failing spec as short as it gets by leaving out lines, then what stands in their braces."""

from __future__ import annotations

import re
from collections.abc import Callable

_ENTRY = re.compile(rb', "[^"\n]*": (?:"(?:[^"\\\n]|\\.)*"|\[[^\[\]\n]*\]|[^,{}\[\]\n]+)|, [\w-]+: [^,{}\[\]\n]+')


def shortened(data: bytes, fails: Callable[[bytes], bool], most_tries: int = 400) -> bytes:
    """A shorter spec that fails alike."""
    tries = 0

    def still(candidate: bytes) -> bool:
        nonlocal tries
        tries += 1
        return tries <= most_tries and fails(candidate)

    lines = data.split(b"\n")
    size = max(1, len(lines) // 2)
    while size:
        index = 0
        while index < len(lines):
            candidate = lines[:index] + lines[index + size :]
            if candidate and still(b"\n".join(candidate)):
                lines = candidate
            else:
                index += size
        size //= 2
    return _without_entries(b"\n".join(lines), still)


def _without_entries(data: bytes, still: Callable[[bytes], bool]) -> bytes:
    for match in reversed(list(_ENTRY.finditer(data))):
        candidate = data[: match.start()] + data[match.end() :]
        if still(candidate):
            data = candidate
    return data
