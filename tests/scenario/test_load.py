"""Reading a scenario: what comes out of a faultless file, and what is said of a file that can't be used."""

from __future__ import annotations

import math
from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st

from scenario.mutate import CLEAN, SHIPPED, toml
from wellroom.data import scenarios_dir
from wellroom.errors import ScenarioError
from wellroom.scenario import load_scenario, parse_scenario
from wellroom.scenario.lines import line_map


def faults_of(text: str, *sets: str) -> list[str]:
    """Return the printed faults of a text."""
    with pytest.raises(ScenarioError) as caught:
        parse_scenario(text, "a.toml", sets)
    return [str(fault) for fault in caught.value.faults]


def load_faults(path: Path | str) -> list[str]:
    """Return the printed faults of a file."""
    with pytest.raises(ScenarioError) as caught:
        load_scenario(path)
    return [str(fault) for fault in caught.value.faults]


def test_clean_fixture_gives_internal_units() -> None:
    """A fraction, a metric text, a range, a ± and a table come out in mm, kg and rad."""
    scenario = parse_scenario(CLEAN, "clean.toml")
    front = scenario.axle.front
    assert front.lip[0].radius is not None
    assert front.lip[0].radius.value == 571.5
    assert front.lip[0].radius.pm == 6.35
    assert front.load is not None
    assert front.load.value == 1350.0
    assert front.steering.kingpin_inclination is not None
    assert math.degrees(front.steering.kingpin_inclination.low) == pytest.approx(8)
    assert front.travel.stop_gap is not None
    assert (front.travel.stop_gap.pm, front.travel.stop_gap.how) == (6.35, "tape")


def test_clean_fixture_renames_reserved_keys() -> None:
    """``in``, ``from`` and ``to`` are inboard, start and end; a slug is made of what a thing is called."""
    near = parse_scenario(CLEAN, "clean.toml").axle.front.near
    assert near[0].inboard is not None
    assert near[0].inboard.value == 114.3
    assert near[1].start is not None
    assert near[1].end is not None
    assert near[1].end.forward is not None
    assert [item.slug for item in near] == ["tie_rod_end", "drag_link"]


def test_clean_fixture_keeps_wishes_of_each_axle() -> None:
    """A wish for each axle stays apart, one for both is the same on both; rims are in inches."""
    stance = parse_scenario(CLEAN, "clean.toml").stance["tall"]
    assert stance.poke is not None
    assert stance.poke.front is not None
    assert stance.poke.rear is not None
    assert (stance.poke.front.low, stance.poke.rear.low) == (0.0, 12.7)
    assert stance.gap is not None
    assert stance.gap.front == stance.gap.rear
    assert stance.rim_diameter is not None
    assert stance.rim_diameter.front is not None
    assert (stance.rim_diameter.front.low, stance.rim_diameter.front.high) == (16.0, 18.0)


def test_metric_file_reads_rim_wishes_in_inches() -> None:
    """Rims are sold in inches everywhere, so a metric file's rim wishes are inches too."""
    stance = load_scenario(scenarios_dir() / "wagon_flush.toml").stance["flush"]
    assert stance.rim_diameter is not None
    assert stance.rim_diameter.front is not None
    assert stance.rim_diameter.front.low == 18.0
    assert stance.poke is not None
    assert stance.poke.front is not None
    assert stance.poke.front.high == 6.0


@pytest.mark.parametrize("name", SHIPPED)
def test_shipped_scenario_loads_without_warning(name: str) -> None:
    """Every shipped scenario is faultless and raises no doubt."""
    scenario = load_scenario(scenarios_dir() / name)
    assert scenario.warnings == ()
    assert scenario.slug == name.removesuffix(".toml")


def test_shipped_tender_has_three_stances_from_narrow_to_broad() -> None:
    """The fire tender's stances go from narrow to broad in poke."""
    stances = load_scenario(scenarios_dir() / "fire_tender.toml").stance
    pokes = [stance.poke.front.low for stance in stances.values() if stance.poke and stance.poke.front]
    assert list(stances) == ["ridge", "saddle", "shelf"]
    assert pokes == sorted(pokes)


def test_load_names_every_fault_in_the_order_of_the_file() -> None:
    """A file with many faults lists them all, by line."""
    text = CLEAN.replace("stop_rubber = 2", "stop_rubbr = 2", 1).replace('load = "1350 kg"', 'load = "30 lb"')
    text = text.replace('rim = "16x7"', 'rim = "11x20"', 1).replace("droop = 5", "droop = true")
    faults = faults_of(text)
    lines = [int(fault.split(":")[1]) for fault in faults]
    assert len(faults) == 4
    assert lines == sorted(lines)
    assert "(nearest: stop_rubber)" in faults[1]
    assert "axle.rear.travel.droop: found true" in faults[2]


def test_load_names_comparing_faults_beside_the_others() -> None:
    """What is wrong only by comparison is named in the same go as what is wrong by itself."""
    text = CLEAN.replace('backspace = "4 1/2"', "backspace = 12").replace("droop = 5", "droop = -5")
    faults = faults_of(text)
    assert len(faults) == 2
    assert "axle.rear.travel.droop" in faults[0]
    assert "now.front.backspace" in faults[1]


def test_load_missing_file_names_the_file(tmp_path: Path) -> None:
    """A file that is not there is one fault with its name."""
    assert load_faults(tmp_path / "none.toml") == [
        f"{tmp_path}/none.toml: the file: found no such file, expected a scenario file"
    ]


def test_load_directory_is_a_fault(tmp_path: Path) -> None:
    """A directory is no scenario."""
    assert "found a directory" in load_faults(tmp_path)[0]


def test_load_impossible_path_is_a_fault() -> None:
    """A path that no system takes is a fault on one line."""
    (fault,) = load_faults("a\0b.toml")
    assert "can't be read" in fault
    assert "\0" not in fault


def test_load_other_encoding_names_the_line(tmp_path: Path) -> None:
    """A byte that is not UTF-8 is named with its line."""
    path = tmp_path / "latin.toml"
    path.write_bytes('title = "a"\nunits = "in"\n# 24\xb0\n'.encode("latin-1"))
    assert load_faults(path)[0].startswith(f"{path}:3: the file: found the byte 0xb0, expected text in UTF-8")


@pytest.mark.parametrize("content", ["", "  \n\n", "\ufeff"])
def test_load_empty_file_is_a_fault(tmp_path: Path, content: str) -> None:
    """An empty file says what the least scenario has."""
    path = tmp_path / "empty.toml"
    path.write_text(content, encoding="utf-8")
    assert "an empty file" in load_faults(path)[0]


def test_load_byte_order_mark_is_skipped(tmp_path: Path) -> None:
    """A byte order mark, as some editors write it, is no fault."""
    path = tmp_path / "bom.toml"
    path.write_text("\ufeff" + CLEAN, encoding="utf-8")
    assert load_scenario(path).title == "Clean fixture"


@pytest.mark.parametrize(
    ("row", "says"),
    [
        ("radius = 24 1/8", "stands in quotes"),
        ("radius =", "radius"),
        ("[axle.front", "the file"),
        ('title = "unclosed', "title"),
    ],
)
def test_load_broken_toml_names_the_line(row: str, says: str) -> None:
    """What is no TOML is named with its line, and a bare fraction by its cure."""
    faults = faults_of('title = "a"\nunits = "in"\n' + row + "\n")
    assert len(faults) == 1
    assert faults[0].startswith("a.toml:3: the file: ") or "unclosed" in row or row.endswith("=")
    assert says in faults[0]


def test_load_same_key_twice_names_the_line() -> None:
    """TOML's own refusal of a double key keeps its line."""
    assert faults_of('title = "a"\ntitle = "b"\n')[0].startswith("a.toml:2: ")


@pytest.mark.parametrize("value", ["1" * 5000, "[" * 3000 + "]" * 3000, "{a=" * 2000 + "1" + "}" * 2000])
def test_load_monstrous_value_is_a_fault(value: str) -> None:
    """Numbers of thousands of digits and endless nesting end in a fault, not in a traceback."""
    assert faults_of(f"title = {value}\n")


@pytest.mark.parametrize("value", ["nan", "inf", "-inf", "1e300", "9" * 40, "1979-05-27", "07:32:00"])
def test_load_number_that_measures_nothing_is_a_fault(value: str) -> None:
    """NaN, infinities, monsters and dates are refused where they stand."""
    faults = faults_of(CLEAN.replace("wheelbase = 110", f"wheelbase = {value}"))
    assert len(faults) == 1
    assert ": vehicle.wheelbase: found" in faults[0]


def test_load_missing_axles_are_named() -> None:
    """A file of a title alone hears of all that is needed, and of nothing else."""
    faults = faults_of('title = "a"\n')
    assert [fault.split(": ")[1] for fault in faults] == ["units", "axle"]


def test_wrong_units_are_named_as_the_slip() -> None:
    """A metric file said to be in inches is told so, before the values that can't be."""
    text = (scenarios_dir() / "wagon_flush.toml").read_text(encoding="utf-8")
    faults = faults_of(text.replace('units = "mm"', 'units = "in"'))
    assert ': units: found "in", expected "mm"' in faults[0]


def test_set_replaces_one_value() -> None:
    """A value set on the command line is read as one of the file, in the file's units."""
    scenario = parse_scenario(CLEAN, "a", ["axle.front.lip.0.radius=24 1/8", "axle.front.lip.1.side='right'"])
    assert scenario.axle.front.lip[0].radius is not None
    assert scenario.axle.front.lip[0].radius.value == 612.775


def test_set_makes_tables_on_its_way() -> None:
    """A table that the file lacks is made: a first stance too."""
    text = (scenarios_dir() / "least.toml").read_text(encoding="utf-8")
    scenario = parse_scenario(text, "a", ["stance.new.poke=[1, 2]", "stance.other.poke=[1, 2]"])
    assert list(scenario.stance) == ["new", "other"]


@pytest.mark.parametrize(
    ("text", "says"),
    [
        ("axle.front.lip.0.radius=24 mm", "--set axle.front.lip.0.radius: found"),
        ("axle.front.lip.9.radius=24", "a position from 0 to 2"),
        ("axle.front.lip.x=24", "a position from 0 to 2"),
        ("axle.front.load.much=24", "expected a table, to set"),
        ("axle.front.lod=24", "(nearest: load)"),
        ("axle.front.LOAD=24", '--set axle.front.LOAD: found the key "LOAD", expected'),
        ("axle.front.LOAD=24", "(nearest: load)"),
        ("Axel.front.load=24", '--set Axel.front.load: Axel: found the key "Axel"'),
        ("Axel.front.load=24", "(nearest: axle)"),
        ("axle.front.travell.tilt=9", "--set axle.front.travell.tilt: axle.front.travell: found"),
        ("axle.front.travell.tilt=9", "(nearest: travel)"),
        ("axle.front.travel.tilt=900", "--set axle.front.travel.tilt: found 900 deg, expected 0 to 35"),
        ("nothing", "PATH=VALUE"),
        ("=3", "PATH=VALUE"),
        ("axle..x=3", "PATH=VALUE"),
        ("axle=3", "--set axle: found 3"),
        ("stance.tal.poke=[1, 2]", '--set stance.tal.poke: stance: found "tal", expected one of'),
        ("vehicle.spare=1\nb=2", "--set vehicle.spare: found"),
    ],
)
def test_set_that_cannot_be_is_named(text: str, says: str) -> None:
    """A fault of a value set names the option and the place, and no line of the file."""
    (fault,) = faults_of(CLEAN, text)
    assert fault.startswith("--set")
    assert says in fault


KEYS = st.text(st.characters(codec="utf-8", exclude_categories=["Cs"]), max_size=8)
VALUES = st.recursive(
    st.one_of(st.integers(-(10**20), 10**20), st.floats(), st.booleans(), st.text(max_size=10)),
    lambda inner: st.one_of(st.lists(inner, max_size=4), st.dictionaries(KEYS, inner, max_size=4)),
    max_leaves=12,
)


@given(st.dictionaries(st.sampled_from(["title", "units", "axle", "now", "stance", "x"]), VALUES, max_size=4))
def test_load_of_any_toml_answers_or_names_faults(tables: dict[str, object]) -> None:
    """Whatever TOML can hold is a scenario or a list of one-line faults."""
    with pytest.raises(ScenarioError) as caught:  # there is never a whole scenario among these
        parse_scenario(toml(tables), "a.toml")
    assert caught.value.faults
    assert all(str(fault).isprintable() for fault in caught.value.faults)


@given(st.text(max_size=60))
def test_load_of_any_text_answers_or_names_faults(text: str) -> None:
    """Whatever text a file holds is a scenario or a list of one-line faults."""
    with pytest.raises(ScenarioError) as caught:
        parse_scenario(text, "a.toml")
    assert all(str(fault).isprintable() for fault in caught.value.faults)


@given(st.dictionaries(KEYS.filter(bool), VALUES, min_size=1, max_size=5))
def test_line_map_finds_every_key(tables: dict[str, object]) -> None:
    """Each key stands on the line it was written on, whatever quotes and brackets are before it."""
    lines = line_map(toml(tables))
    assert [lines[(key,)] for key in tables] == list(range(1, len(tables) + 1))


def test_line_map_follows_lists_of_tables_and_long_values() -> None:
    """Items of lists, tables in tables and values after long strings keep their lines."""
    text = 'a = """\nx = 1\n"""\n[[b]]\nc = [1,\n  2, {d = 3}]\n[[b]]\n[b.e]\n"f.g" = 4 # h = 5\ni.j = 6\n'
    lines = line_map(text)
    assert lines["b", 0, "c", 1] == 6
    assert lines["b", 0, "c", 2, "d"] == 6
    assert lines["b", 1, "e", "f.g"] == 9
    assert lines["b", 1, "e", "i", "j"] == 10
    assert ("x",) not in lines
