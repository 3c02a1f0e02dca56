"""Every printed table loads, obeys its laws and agrees with a second reading."""

import math
import re
import subprocess
import sys
import tomllib
from itertools import pairwise
from pathlib import Path
from typing import Any

import pytest

from rigline.standards.tables import (
    DATA,
    SURENESS,
    Cell,
    Key,
    Span,
    Table,
    TableProblem,
    read_table,
    table,
    table_names,
)

SECOND: dict[str, dict[str, Any]] = tomllib.loads(
    (Path(__file__).parent / "second_reading.toml").read_text(encoding="utf-8")
)

GOOD = """
rows = [["14", "15", "20"], ["12", "20", "25"]]
[source]
document = "D"
edition = "E"
location = "L"
sure = "verified"
[columns]
size = "AWG"
a_60c = "A"
a_75c = "A"
[laws]
a_60c = "rises"
across = "rises"
"""


@pytest.mark.parametrize("name", table_names())
def test_a_table_that_ships_loads_with_its_source(name: str) -> None:
    loaded = table(name)
    assert loaded.source.sure in SURENESS
    assert loaded.rows
    assert all(loaded.sure_of(key) in SURENESS for key in loaded.rows)


@pytest.mark.parametrize("name", table_names())
def test_figures_are_kept_as_printed(name: str) -> None:
    """A cell is text in the file, so that 0.10 keeps its digits."""
    rows = tomllib.loads((DATA / f"{name}.toml").read_text(encoding="utf-8"))["rows"]
    assert {type(cell) for row in rows for cell in row} == {str}


def _key(name: str, text: str) -> Key:
    first = next(iter(table(name).rows))
    if isinstance(first, Span):
        return next(key for key in table(name).rows if isinstance(key, Span) and key.last == float(text))
    return float(text) if isinstance(first, float) else text


def _cell(text: str) -> Cell:
    if text == "-":
        return None
    return float(text) if re.fullmatch(r"[0-9.]+", text) else text.replace("_", " ")


@pytest.mark.parametrize("name", sorted(SECOND))
def test_two_readings_agree(name: str) -> None:
    second: dict[Key, list[Cell]] = {}
    for line in SECOND[name]["rows"].strip().splitlines():
        key, figures = line.split(" | ")
        second[_key(name, key)] = [_cell(figure) for figure in figures.split()]
    columns: list[str] = SECOND[name]["columns"]
    assert {key: [row[column] for column in columns] for key, row in table(name).rows.items()} == second


def test_every_table_with_figures_by_size_was_transcribed_twice() -> None:
    lists_of_words_or_ratings = {
        "nec_240_6",
        "iec_ratings",
        "style_ratings",
        "style_interrupting",
        "lug_stud",
        "iec_protective_conductor",
        "conductor_colours",
        "crimp_terminals",
        "heat_shrink",
        "long_lead",
        "loom_bores",
        "sold_lengths",
        "terminations",
        "battery_figures",
        "energy_figures",
    }
    assert set(table_names()) == set(SECOND) | lists_of_words_or_ratings


def test_the_standard_ratings_of_nec_240_6_a() -> None:
    """NEC 240.6(A): 37 ratings for any device and five more for fuses."""
    assert list(table("nec_240_6").rows) == [
        *(1, 3, 6, 10, 15, 20, 25, 30, 35, 40, 45, 50, 60, 70, 80, 90, 100, 110, 125, 150, 175, 200, 225, 250, 300),
        *(350, 400, 450, 500, 600, 601, 700, 800, 1000, 1200, 1600, 2000, 2500, 3000, 4000, 5000, 6000),
    ]


def test_the_preferred_ratings_of_iec_countries() -> None:
    """IEC 60269 and IEC 60898-1, from memory both times."""
    assert list(table("iec_ratings").rows) == [
        *(2, 4, 6, 10, 13, 16, 20, 25, 32, 40, 50, 63, 80, 100, 125, 160, 200, 250, 315, 400)
    ]


def test_typical_interrupting_ratings_by_style_and_voltage() -> None:
    """ISO 8820-3 (1 kA at 32 V), UL 248-15 and IEC 60269-6; the rest common practice, the lower figure of a range."""
    figures = table("style_interrupting")
    assert {key: figures.number(key, "interrupting") for key in figures.rows} == {
        ("terminal", 14): 10_000,
        ("terminal", 32): 5_000,
        ("terminal", 58): 2_000,
        ("class-t", 125): 20_000,
        ("anl", 32): 6_000,
        ("bolt-down", 32): 1_000,
        ("blade", 32): 1_000,
        ("blade-high-current", 32): 1_000,
        ("gpv", 1000): 10_000,
        ("thermal", 48): 1_500,
        ("magnetic", 65): 5_000,
    }


def test_ratings_of_blade_and_terminal_fuses() -> None:
    """ISO 8820-3 types C, F and E; terminal-mounted fuses run from 30 to 300 A. Lists from memory both times."""
    figures = table("style_ratings")
    assert figures.cell("blade", "ratings") == (1, 2, 3, 4, 5, 7.5, 10, 15, 20, 25, 30, 35, 40)
    assert figures.cell("blade-high-current", "ratings") == (20, 30, 40, 50, 60, 70, 80, 100)
    assert figures.cell("terminal", "ratings") == (
        *(30, 40, 50, 60, 75, 80, 90, 100, 125, 150, 175, 200, 225, 250, 300),
    )
    assert [figures.number(style, "rated") for style in ("class-t", "terminal", "anl", "blade", "gpv")] == [
        *(125, 58, 32, 32, 1000)
    ]


def test_usual_holes_and_studs_by_conductor_area() -> None:
    """Lug makers' size charts (common practice)."""
    figures = table("lug_stud")
    holes = [figures.text(key, "usual_hole_mm") for key in figures.rows]
    assert holes == ["4-5", "6", "8", "10", "12", "14"]


def test_iec_ratings_from_16_a_up_step_by_the_r10_series() -> None:
    """ISO 3 series R10: each step is the tenth root of ten, printed rounded to within 4 %."""
    ratings = [key for key in table("iec_ratings").rows if isinstance(key, float) and key >= 16]
    assert all(math.isclose(later / earlier, 10**0.1, rel_tol=0.04) for earlier, later in pairwise(ratings))


@pytest.mark.parametrize(("column", "conductor_c"), [("f_60c", 60), ("f_75c", 75), ("f_90c", 90)])
def test_ambient_factors_are_the_square_root_law_at_the_warm_end_of_the_bin(column: str, conductor_c: int) -> None:
    """NEC Table 310.15(B)(1)(1) against sqrt((Tc - Ta)/(Tc - 30)), rounded as printed."""
    figures = table("nec_ambient")
    for key in figures.rows:
        assert isinstance(key, Span)
        printed = figures.number(key, column)
        if printed is not None:
            assert round(math.sqrt((conductor_c - key.last) / (conductor_c - 30)), 2) == printed


def test_boat_engine_factors_are_the_square_root_law_at_50_c() -> None:
    """33 CFR 183.425 Table 5 note 1 within 0.0065, but for 200 °C, which is set to 1."""
    figures = table("cfr_engine_space")
    for key in figures.rows:
        assert isinstance(key, float)
        if key != 200:
            assert math.isclose(figures.number(key, "factor") or 0, math.sqrt((key - 50) / (key - 30)), abs_tol=0.0065)


@pytest.mark.parametrize("column", ["class_2_plain", "class_5_plain", "class_5_tinned"])
def test_metric_resistance_times_area_is_nearly_constant(column: str) -> None:
    """IEC 60228: a figure more than 5 % off the mean product would be a slip of the pen."""
    figures = table("iec_60228")
    products = [float(str(key).split()[0]) * (figures.number(key, column) or 0) for key in figures.rows]
    mean = sum(products) / len(products)
    assert all(math.isclose(product, mean, rel_tol=0.05) for product in products)


def test_small_boat_105_c_figures_agree_between_gauge_and_metric_within_a_tenth() -> None:
    """ISO 13297 from memory against 33 CFR 183.425 Table 5 at nearly equal copper area."""
    pairs = [
        ("16 mm²", "6 AWG"),
        ("35 mm²", "2 AWG"),
        ("50 mm²", "1/0 AWG"),
        ("70 mm²", "2/0 AWG"),
        ("120 mm²", "4/0 AWG"),
    ]
    for metric, gauge in pairs:
        iso_a, cfr_a = table("iso_small_craft").number(metric, "a_105c"), table("cfr_183_425_5").number(gauge, "a_105c")
        assert iso_a and cfr_a and math.isclose(iso_a, cfr_a, rel_tol=0.1)


def test_free_air_figures_match_the_federal_boat_table() -> None:
    """NEC Table 310.17 from memory against 33 CFR 183.425 Table 5: 60 and 75 °C are the same from 6 AWG up."""
    free_air, boat = table("nec_310_17_cu"), table("cfr_183_425_5")
    for key in ("6 AWG", "4 AWG", "3 AWG", "2 AWG", "1 AWG", "1/0 AWG", "2/0 AWG", "3/0 AWG", "4/0 AWG"):
        for column in ("a_60c", "a_75c"):
            assert free_air.number(key, column) == boat.number(key, column)


def test_a_sound_table_is_read() -> None:
    assert read_table("t", GOOD).number("12 AWG", "a_75c") == 25


@pytest.mark.parametrize(
    ("old", "new", "complaint"),
    [
        ('document = "D"', "", "lacks document"),
        ('sure = "verified"', 'sure = "probably"', "sure is 'probably'"),
        ('["14", "15", "20"]', '["14", "15"]', "has 2 cells"),
        ('["12", "20", "25"]', '["14", "20", "25"]', "stands twice"),
        ('["12", "20", "25"]', '["16", "20", "25"]', "not in order"),
        ('["12", "20", "25"]', '["12", "14", "25"]', "'a_60c rises' is broken"),
        ('["12", "20", "25"]', '["12", "20", "19"]', "'across rises' is broken"),
        ('a_60c = "A"', 'a_60c = "furlong"', "unknown unit furlong"),
        ('a_60c = "rises"', 'a_60c = "wobbles"', "unknown law"),
        ('["12", "20", "25"]', '["12", "2O", "25"]', "2O"),
        ('[["14", "15", "20"], ["12", "20", "25"]]', "[]", "no rows"),
    ],
)
def test_a_table_that_cannot_be_right_is_refused(old: str, new: str, complaint: str) -> None:
    assert old in GOOD
    with pytest.raises(TableProblem, match=complaint):
        read_table("t", GOOD.replace(old, new))


def _spans() -> Table:
    return table("nec_ambient")


def test_a_temperature_between_two_bins_takes_the_warmer_one() -> None:
    """NEC Table 310.15(B)(1)(1): 40.5 °C belongs to 41 to 45."""
    assert _spans().key_spanning(40.5) == Span(41, 45)
    assert _spans().key_spanning(40) == Span(36, 40)


def test_a_temperature_beyond_the_last_bin_has_no_row() -> None:
    assert _spans().key_spanning(86) is None


def test_an_unknown_column_is_a_fault_of_ours() -> None:
    with pytest.raises(KeyError):
        table("nec_ambient").cell("14 AWG", "f_105c")


def test_importing_the_package_reads_no_table_and_no_heavy_library() -> None:
    program = (
        "import sys\n"
        "from rigline.standards import allowance, ampacity, bonding, cables, profiles, ratings, solar, tables, wire\n"
        "heavy = {'pydantic', 'networkx', 'schemdraw', 'cairosvg', 'ruamel', 'numpy'} & set(sys.modules)\n"
        "print(tables.table.cache_info().currsize, profiles.profile.cache_info().currsize, sorted(heavy))"
    )
    done = subprocess.run([sys.executable, "-c", program], capture_output=True, text=True, check=True)
    assert done.stdout == "0 0 []\n"
