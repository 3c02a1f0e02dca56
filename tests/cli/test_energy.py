"""`rigline energy` as a user types it: reports, plots, and plain words for what is wrong."""

from __future__ import annotations

import csv
import io
import json
import re
import xml.etree.ElementTree as ElementTree
from pathlib import Path
from typing import Any

import pytest

from rigline.cli import main

VAN = """\
rigline: 1
title: Van <script>alert(1)</script> & "co"
revision: A
profile: intl-boat
conditions: {latitude: 45, autonomy: 2 days}
places: {box: {min: 5 °C}}
components:
  B1: {kind: battery, chemistry: lifepo4, voltage: 12.8 V, capacity: 200 Ah, max-charge: 100 A, place: box}
  PV1: {kind: pv-array, series: 1, parallel: 2, pmax: 150 W, tilt: 0}
  SC1: {kind: charge-controller, method: mppt, output: 30 A}
  FR1: {kind: dc-load, name: "=1+1 <b>", power: 50 W, use: 24 h/day, duty: 35 %}
  LT1: {kind: dc-load, name: Lights, power: 20 W, use: 4 h/day, part-of-day: evening}
  US1: {kind: dc-load, name: Sockets, power: 30 W}
runs:
  - {id: W1, path: [PV1, SC1.pv], length: 5 m, wire: 6 mm²}
  - {id: W2, path: [SC1.battery, B1], length: 1 m, wire: 10 mm²}
  - {id: W3, path: [B1, FR1], length: 3 m, wire: 4 mm²}
  - {id: W4, path: [B1, LT1], length: 3 m, wire: 4 mm²}
  - {id: W5, path: [B1, US1], length: 3 m, wire: 4 mm²}
"""
LONGEST_LINE = 80


@pytest.fixture
def van(tmp_path: Path) -> Path:
    """A small van with sun, whose names would be markup if anything let them."""
    path = tmp_path / "van.yaml"
    path.write_text(VAN, encoding="utf-8")
    return path


def run(capsys: pytest.CaptureFixture[str], *arguments: str) -> tuple[int, str, str]:
    """Exit code, stdout and stderr of one command."""
    code = main(["energy", *arguments])
    captured = capsys.readouterr()
    return code, captured.out, captured.err


def as_json(capsys: pytest.CaptureFixture[str], *arguments: str) -> Any:
    """The JSON report."""
    return json.loads(run(capsys, *arguments, "--format", "json")[1])


@pytest.mark.parametrize("name", ["camper", "boat", "cabin", "trailer", "lights", "faulty"])
def test_a_report_fits_80_columns_and_ends_with_0(
    name: str, in_project: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    code, out, _ = run(capsys, f"specs/{name}.yaml", "--size")

    assert code == 0
    assert [line for line in out.splitlines() if len(line) > LONGEST_LINE] == []
    assert "Work on 120 or 230 V AC is for licensed people." in out


def test_a_typical_year_is_never_called_the_worst(van: Path, capsys: pytest.CaptureFixture[str]) -> None:
    out = " ".join(run(capsys, str(van))[1].split())

    assert "A typical year leaves out the rare dark one." in out
    assert "worst year" not in out


def test_what_is_not_known_is_not_counted_and_said_first(van: Path, capsys: pytest.CaptureFixture[str]) -> None:
    code, out, _ = run(capsys, str(van))
    plain = " ".join(out.split())

    assert code == 0
    assert "Too good to be true: US1 are not counted" in plain
    assert "The loads take at least 500 Wh a day" in plain
    assert "US1: what it takes in a day. Missing: use" in plain


def test_keys_of_the_json_report_end_in_their_unit(van: Path, capsys: pytest.CaptureFixture[str]) -> None:
    found = as_json(capsys, str(van), "--size")
    units = ("_wh", "_w", "_h", "_a", "_ah", "_v", "_c", "_kg", "_frac", "_deg", "_per_k", "_h_per_day", "_days")
    plain = {"count", "days_per_week", "worst", "ratio", "days_in_use", "cycles", "longest_days_without_full", "days",
             "cold_factor", "month"}  # fmt: skip

    def bare(value: Any, key: str = "") -> set[str]:
        if isinstance(value, dict):
            return set().union(*(bare(one, name) for name, one in value.items()))
        if isinstance(value, list):
            return set().union(*(bare(one, key) for one in value))
        is_number = isinstance(value, int | float) and not isinstance(value, bool)
        return {key} if is_number and not key.endswith(units) and key not in plain else set()

    assert bare(found) == set()
    assert found["loads"]["not_counted"] == ["US1"]
    assert found["year"]["months"][0]["name"] == "Jan"
    assert abs(found["year"]["imbalance_wh"]) < 1e-6


def test_the_csv_is_the_load_table_and_no_cell_is_a_formula(van: Path, capsys: pytest.CaptureFixture[str]) -> None:
    rows = list(csv.DictReader(io.StringIO(run(capsys, str(van), "--format", "csv")[1])))

    assert [(row["id"], row["day_wh"]) for row in rows] == [("FR1", "420"), ("LT1", "80"), ("US1", "")]
    assert rows[0]["name"] == "'=1+1 <b>"


def test_markdown_escapes_what_a_name_would_do(van: Path, capsys: pytest.CaptureFixture[str]) -> None:
    out = run(capsys, str(van), "--format", "markdown")[1]

    assert out.startswith("# ")
    assert "<script>" not in out
    assert "| FR1 =1+1 &lt;b> |" in out


@pytest.fixture
def plots(van: Path, tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> tuple[str, str]:
    """The plot as SVG and as a page."""
    svg, page = tmp_path / "year.svg", tmp_path / "year.html"
    assert run(capsys, str(van), "-o", str(svg), "-o", str(page))[0] == 0
    return svg.read_text(encoding="utf-8"), page.read_text(encoding="utf-8")


def test_a_plot_holds_no_script_and_loads_nothing(plots: tuple[str, str]) -> None:
    for text in plots:
        assert "<script" not in text
        assert "@import" not in text
        assert not re.search(r"\son\w+=", text)
        assert set(re.findall(r"https?://[^\s\"'<>)]+", text)) <= {"http://www.w3.org/2000/svg"}
    ElementTree.fromstring(plots[0])


def test_a_plot_shows_months_units_and_legend(plots: tuple[str, str]) -> None:
    words = [node.text for node in ElementTree.fromstring(plots[0]).iter() if node.text]

    assert {"Jan", "Dec", "State of charge of each day, % of the battery", "Energy of a mean day, Wh"} <= set(words)
    assert {"highest of the day", "lowest of the day", "lowest that is used", "sun, as far as the array can"} <= set(
        words
    )
    assert 'Van <script>alert(1)</script> & "co"' in words


def test_the_page_has_every_table_of_the_report(plots: tuple[str, str]) -> None:
    for heading in ("In short", "What the loads take", "A typical year, month by month", "Cautions"):
        assert f"<h2>{heading}</h2>" in plots[1]
    assert "FR1 =1+1 &lt;b&gt;" in plots[1]


def test_the_same_spec_gives_the_same_plot(
    plots: tuple[str, str], van: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    assert run(capsys, str(van), "-o", "-")[1] == plots[0]


@pytest.mark.parametrize(
    ("arguments", "said"),
    [
        (["-o", "year.png"], "the ending says the form of the plot"),
        (["--latitude", "91"], "--latitude is at most 90°"),
        (["--latitude", "north"], "--latitude: give an angle"),
        (["--autonomy", "3"], "--autonomy: give a unit"),
        (["--autonomy", "0 h"], "--autonomy is more than nothing"),
        (["--sun", "none.csv"], "none.csv can't be read"),
    ],
)
def test_a_wrong_command_is_told_plainly(
    arguments: list[str], said: str, van: Path, capsys: pytest.CaptureFixture[str], monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.chdir(van.parent)
    code, out, err = run(capsys, "van.yaml", *arguments)

    assert (code, out) == (2, "")
    assert said in err
    assert [path.name for path in van.parent.iterdir()] == ["van.yaml"]


def test_without_a_latitude_the_year_is_not_assessed_and_no_plot_is_drawn(
    van: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    van.write_text(VAN.replace("latitude: 45, ", ""), encoding="utf-8")
    code, out, _ = run(capsys, str(van), "--size")

    assert code == 0
    assert "The typical year is not assessed: where is it used?" in " ".join(out.split())
    assert "PV1: what the sun brings, and the year. Missing: conditions: latitude" in " ".join(out.split())
    assert run(capsys, str(van), "-o", str(van.with_name("year.svg")))[0] == 2
    assert not van.with_name("year.svg").exists()


def test_a_latitude_on_the_command_goes_before_the_spec_s(van: Path, capsys: pytest.CaptureFixture[str]) -> None:
    north, south = (as_json(capsys, str(van), "--latitude", lat)["sun"]["sun_h_per_day"] for lat in ("45", "-45"))

    assert north[11] < 2 < south[11]


def sun_csv(path: Path, hours: int = 8760, sun: str = "300") -> Path:
    """A year in universal time: the sun is up from 0 to 12 h."""
    lines = ["my own station", "time,GHI (W/m2),T2m"]
    lines += [f"{hour},{sun if hour % 24 < 12 else 0},10" for hour in range(hours)]
    path.write_text("\n".join(lines) + "\n", encoding="utf-8")
    return path


def test_a_year_of_the_user_s_own_is_read_and_turned_to_noon(van: Path, capsys: pytest.CaptureFixture[str]) -> None:
    found = as_json(capsys, str(van), "--sun", str(sun_csv(van.with_name("sun.csv"))))

    assert found["sun"]["basis"] == "the hourly year in sun.csv, moved by 6 h so that the sun is highest at noon"
    assert found["sun"]["sun_h_per_day"] == pytest.approx([3.6] * 12)


@pytest.mark.parametrize(
    ("hours", "sun", "said"),
    [
        (8000, "300", "a year has 8760 hours, from 1 January; got 8000"),
        (8760, "3000", "sun.csv:3: 3000 can't be meant; expected 0 to 1500"),
        (8760, "bright", "sun.csv:3: give a number in column 2; got bright"),
        (8760, "0", "the sun never shines in it"),
    ],
)
def test_a_year_that_is_none_is_refused(
    hours: int, sun: str, said: str, van: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    code, out, err = run(capsys, str(van), "--sun", str(sun_csv(van.with_name("sun.csv"), hours, sun)))

    assert (code, out) == (2, "")
    assert said in err


def test_a_leap_year_loses_its_extra_day(van: Path, capsys: pytest.CaptureFixture[str]) -> None:
    assert run(capsys, str(van), "--sun", str(sun_csv(van.with_name("sun.csv"), 8784)))[0] == 0


def test_a_table_without_a_column_for_the_sun_is_refused(van: Path, capsys: pytest.CaptureFixture[str]) -> None:
    van.with_name("sun.csv").write_text("a,b\n1,2\n", encoding="utf-8")

    assert "no column for the sun" in run(capsys, str(van), "--sun", str(van.with_name("sun.csv")))[2]
