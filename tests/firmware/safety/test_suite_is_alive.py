"""The suite is tested itself: rules that never trip, a share of all small mistakes."""

import ast
import re

import pytest

from firmware.safety import mutation

RULES = [
    (file, node.name)
    for file in ("heatcore/sensor_rules.py", "heatcore/heat_rules.py", "heatcore/patience.py",
                 "heatcore/residual.py", "heatcore/drift.py")
    for node in ast.parse((mutation.FIRMWARE / file).read_text()).body
    if isinstance(node, ast.ClassDef)
]  # fmt: skip
JUDGED = [
    node.name
    for node in ast.walk(ast.parse((mutation.FIRMWARE / "heatcore/interlock.py").read_text()))
    if isinstance(node, ast.FunctionDef) and node.name.startswith("_judge")
]


def read(file):
    return (mutation.FIRMWARE / file).read_text()


def blind(file, of_class):
    """The file, this rule of which is always content."""
    tree = ast.parse(read(file))
    rule = next(n for n in tree.body if isinstance(n, ast.ClassDef) and n.name == of_class)
    holds = next(n for n in rule.body if isinstance(n, ast.FunctionDef) and n.name == "holds")
    holds.body = ast.parse("return True").body
    return ast.unparse(ast.fix_missing_locations(tree))


@pytest.mark.parametrize("file", mutation.TARGETS)
def test_as_it_stands_nothing_fails(file):
    """The control: a runner that finds fault with everything would prove nothing."""
    assert not mutation.is_killed(file, read(file))


@pytest.mark.parametrize(("file", "rule"), RULES)
def test_a_rule_that_never_trips_is_noticed(file, rule):
    assert mutation.is_killed(file, blind(file, rule))


@pytest.mark.parametrize("name", JUDGED)
def test_a_rule_that_nobody_asks_is_noticed(name):
    text = read("heatcore/interlock.py")
    asked = re.sub(rf"^        self\.{name}\(.*\)$", "        pass", text, flags=re.MULTILINE)
    assert asked != text
    assert mutation.is_killed("heatcore/interlock.py", asked)


def test_every_file_is_full_of_places_to_go_wrong():
    counts = {file: len(mutation.mutants(file)) for file in mutation.TARGETS}
    assert min(counts.values()) >= 10
    assert sum(counts.values()) > 800


def test_a_mutant_differs_in_one_place():
    one = mutation.mutants("heatcore/cutoff.py")[0]
    plain = ast.unparse(ast.parse(read(one.file))).splitlines()
    changed = mutation.source_of(one).splitlines()
    assert sum(a != b for a, b in zip(plain, changed, strict=True)) == 1


def test_the_cutoff_survives_no_mistake():
    assert mutation.survivors(mutation.mutants("heatcore/cutoff.py")) == []


def test_of_known_equals_none_is_stale():
    """Each reason still belongs to a mutant that there is."""
    names = {one.name for file in mutation.TARGETS for one in mutation.mutants(file)}
    assert set(mutation.EQUIVALENT) <= names


@pytest.mark.campaign
def test_small_mistakes_are_noticed(whole):
    every = [one for file in mutation.TARGETS for one in mutation.mutants(file)]
    chosen = every if whole else every[7::100]
    alive = mutation.survivors(chosen)
    for one in alive:
        print(f"survives: {one.file}:{one.line}: {one.name}")
    assert len(alive) <= 0.05 * len(chosen), [one.name for one in alive]
