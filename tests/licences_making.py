"""The page of licences: what ships inside the package, and what is installed with it, as the libraries state it."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping
from importlib.metadata import Distribution, distribution

from installing import canonical, extras_of, needed

PAGE = "src/rigline/licences/third_party.md"
HEAD = """\
# Licences

Rigline itself is under the MIT licence (the file LICENSE).

## Inside the package

- Liberation Sans Regular and Bold 2.1.5, unmodified, as .ttf and .woff2: OFL-1.1. Its text is the file `LICENSE-fonts`
  beside them in `rigline/drawing/fonts`.
- CodeMirror 6 and what it uses, bundled into `rigline/view/vendor/codemirror.js`: MIT. Its text is the file
  `LICENSE-codemirror` beside it, and `README.md` there lists the packages with their versions.

A page or a PDF that Rigline writes holds parts of these fonts; their licence allows that in any document. Other
styles and scripts, templates and symbols are Rigline's own. Tables hold figures of the standards that they name.

## Installed with it

These are separate packages that pip installs beside Rigline; none of their code is inside it, and each brings its
licence text along.

| library | licence | for |
| --- | --- | --- |
"""
FOOT = """
PDF and PNG use the system library cairo (LGPL-2.1-only OR MPL-1.1), which the user's system brings.
"""

SPDX = {
    "MIT": "MIT",
    "MIT License": "MIT",
    "BSD License": "BSD-3-Clause",
    "PSFL": "PSF-2.0",
    "GNU LGPL v3+": "LGPL-3.0-or-later",
    "LGPL-3.0-or-later": "LGPL-3.0-or-later",
}
"""A library's own words -> the licence's identifier (SPDX). Which BSD licence it is was read in the texts of cairocffi,
cssselect2, tinycss2 and webencodings."""


def licence_of(library: Distribution) -> str:
    """A library's licence, as an SPDX identifier."""
    about = library.metadata
    if "License-Expression" in about:
        return about["License-Expression"]
    classes = [name.rpartition(" :: ")[2] for name in about.get_all("Classifier") or () if name.startswith("License")]
    return SPDX[about["License"] if "License" in about else classes[0]]


def users_of(package: Distribution) -> Mapping[str, set[str]]:
    """Library -> the extras that need it; `""` among them stands for the package itself."""
    users: dict[str, set[str]] = {}
    always = set(needed(package))
    for extra in sorted(extras_of(package)):
        for name in set(needed(package, [extra])) - always:
            users.setdefault(name, set()).add(extra)
    return {**{name: {""} for name in always}, **users}


def _rows(users: Mapping[str, Iterable[str]]) -> Iterator[str]:
    for name in sorted(users):
        extras = ", ".join(f"`rigline[{extra}]`" for extra in sorted(users[name]) if extra)
        yield f"| {canonical(name)} | {licence_of(distribution(name))} | {extras or 'every installation'} |\n"


def licences_page(package: Distribution) -> str:
    """The whole page, for the libraries of this environment."""
    return HEAD + "".join(_rows(users_of(package))) + FOOT
