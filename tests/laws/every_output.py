"""Every text output of a spec by the name of its command. As a program it prints the digests of a spec's outputs."""

from __future__ import annotations

import hashlib
import json
import sys
from itertools import chain
from pathlib import Path

from fuzz.trial import energy_texts, lists, pictures, tables

from rigline.checks.run import run_checks
from rigline.model.build import build_system
from rigline.spec.load import load_document
from rigline.spec.reading import read_tree
from rigline.study.study import study


def every_output(text: str) -> dict[str, str]:
    """Command -> what it prints; sheets are numbered."""
    tree = read_tree(text, "spec.yaml", "yaml")
    numbers = study(build_system(load_document(tree), tree))
    report = run_checks(numbers)
    found: dict[str, str] = {}
    for name, output in chain(
        tables(numbers, report), pictures(numbers, report), lists(numbers), energy_texts(numbers)
    ):
        found[f"{name} {sum(one.startswith(name) for one in found)}" if name in found else name] = output
    found["findings"] = repr(sorted((f.rule, f.at, f.runs, f.severity, f.message, f.remedy) for f in report.findings))
    found["not assessed"] = repr(sorted((n.rule, n.at, n.missing) for n in report.not_assessed))
    return found


if __name__ == "__main__":
    outputs = every_output(Path(sys.argv[1]).read_text(encoding="utf-8"))
    print(json.dumps({name: hashlib.sha256(output.encode()).hexdigest() for name, output in outputs.items()}))
