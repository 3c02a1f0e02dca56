"""The pieces that every page is made of: style, script, lettering, data, and the policy that lets nothing else in.

A page carries everything in itself. Its policy allows the style and the script by their hashes and the lettering by its
scheme, and no request at all, so that a name in a spec could not run or load anything even if it were not escaped.
"""

from __future__ import annotations

import base64
import hashlib
import json
from functools import cache
from importlib.resources import files

FONT_FAMILY = "Liberation Sans"
"""The lettering that the widths on the drawing were measured with."""
_FACES = {"normal": "LiberationSans-Regular.woff2", "bold": "LiberationSans-Bold.woff2"}
_SAFE_IN_SCRIPT = {ord(character): f"\\u{ord(character):04x}" for character in "<>&\u2028\u2029"}


@cache
def asset(name: str) -> str:
    """A file of this folder: page.html, frame.html, page.css, sheet.js or page.js."""
    return files("rigline.outputs.page").joinpath(name).read_text(encoding="utf-8")


@cache
def font_css() -> str:
    """The lettering as CSS that holds the faces themselves."""
    return "".join(_face(weight, file) for weight, file in _FACES.items())


def _face(weight: str, file: str) -> str:
    data = base64.b64encode(files("rigline.drawing").joinpath("fonts", file).read_bytes()).decode("ascii")
    source = f"url(data:font/woff2;base64,{data}) format('woff2')"
    return f"@font-face{{font-family:'{FONT_FAMILY}';font-weight:{weight};src:{source}}}\n"


def script_json(value: object) -> str:
    """Data as JSON that can stand in a script element: no text in it can end the element or begin a comment.

    >>> script_json("</script><!--")
    '"\\\\u003c/script\\\\u003e\\\\u003c!--"'
    """
    text = json.dumps(value, ensure_ascii=False, separators=(",", ":"), allow_nan=False)
    return text.translate(_SAFE_IN_SCRIPT)


def policy(style: str, script: str) -> str:
    """What the page may do: this style, this script, lettering in the page itself, and nothing else."""
    return (
        f"default-src 'none'; style-src '{_hash(style)}'; script-src '{_hash(script)}'; font-src data:; "
        "base-uri 'none'; form-action 'none'"
    )


def _hash(text: str) -> str:
    """As a policy names a text (W3C Content Security Policy Level 3, hash-source)."""
    return f"sha256-{base64.b64encode(hashlib.sha256(text.encode()).digest()).decode('ascii')}"
