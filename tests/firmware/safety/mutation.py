"""Plants one small mistake at a time in the safety code and asks whether the tests notice.

Each mutant is one change of the syntax tree of one file. A forked process imports everything anew
with that file changed and runs the plain test functions until one fails. `python mutation.py`
runs all, or those of the files named; survivors are printed as file, line and change.
"""

from __future__ import annotations

import ast
import importlib
import importlib.machinery
import importlib.util
import os
import signal
import sys
from collections.abc import Iterator
from dataclasses import dataclass
from pathlib import Path

ROOT = Path(__file__).resolve().parents[3]
FIRMWARE = ROOT / "firmware"
FOLDERS = (
    FIRMWARE,
    ROOT / "tests",
    ROOT / "tests/firmware/fakes",
    ROOT / "tests/firmware/controller",
)
# A mutant that loops for ever is noticed too. Processor time: a busy laptop makes none look so.
LIMIT_S = 20

CORE_TESTS = (
    "core.test_rules", "core.test_interlock", "core.test_cutoff", "core.test_reading",
    "core.test_residual", "firmware.safety.test_profiles", "core.test_loop",
)  # fmt: skip
STATE_TESTS = (
    "firmware.safety.test_rest", "firmware.safety.test_fresh", "firmware.safety.test_again",
    "test_states",
)  # fmt: skip
# The file, and the tests that are to notice, the quickest first.
TARGETS = {
    "heatcore/cutoff.py": ("core.test_cutoff",),
    "heatcore/patience.py": CORE_TESTS,
    "heatcore/reading.py": ("core.test_reading", *CORE_TESTS),
    "heatcore/door.py": CORE_TESTS,
    "heatcore/sensor_rules.py": CORE_TESTS,
    "heatcore/fall.py": CORE_TESTS,
    "heatcore/heat_rules.py": CORE_TESTS,
    "heatcore/drift.py": ("core.test_drift", *CORE_TESTS),
    "heatcore/residual.py": ("core.test_residual", *CORE_TESTS),
    "heatcore/interlock.py": ("core.test_interlock", *CORE_TESTS),
    "heatcontroller/rest_watch.py": STATE_TESTS,
    "heatcontroller/proof.py": STATE_TESTS,
    "heatcontroller/states.py": STATE_TESTS,
}
COMPARED = {
    ast.Lt: ast.LtE, ast.LtE: ast.Lt, ast.Gt: ast.GtE, ast.GtE: ast.Gt, ast.Eq: ast.NotEq,
    ast.NotEq: ast.Eq, ast.In: ast.NotIn, ast.NotIn: ast.In, ast.Is: ast.IsNot, ast.IsNot: ast.Is,
}  # fmt: skip
COUNTED = {
    ast.Add: ast.Sub, ast.Sub: ast.Add, ast.Mult: ast.FloorDiv, ast.FloorDiv: ast.Mult,
    ast.Mod: ast.Mult, ast.LShift: ast.RShift, ast.RShift: ast.LShift,
}  # fmt: skip
SWAPPED = {"min": "max", "max": "min"}


# Mutants that no test can notice, since they do the same; by hand, each with its reason.
EQUIVALENT = {
    "heatcore/reading.py: _status_code: compare0 [OK < status <= COLD_JUNCTION]": (
        "it is asked for no status that is OK"
    ),
    "heatcore/reading.py: _judge: compare0 [inputs.sensor_mc > SENSOR_HIGH_MC]": (
        "a reading at the bound is in range, and never gets there"
    ),
    "heatcore/residual.py: _part: compare0 [coefficient < 0]": "nought times anything has no sign",
    "heatcore/interlock.py: _judge_junction: compare0 [mc > JUNCTION_HIGH_MC]": (
        "the bound is told only when it is passed"
    ),
}


@dataclass(frozen=True)
class Mutant:
    """One change: which one of the file's (in the order of a walk), and how it reads."""

    file: str
    index: int
    line: int
    change: str

    @property
    def name(self) -> str:
        """Stable as long as the line is: what the list of equivalents says."""
        return f"{self.file}: {self.change}"


def mutants(file: str) -> list[Mutant]:
    """Every mutant of a file."""
    tree = ast.parse((FIRMWARE / file).read_text())
    places = list(_places(tree))
    return [
        Mutant(file, index, node.lineno, _change(tree, node, kind))
        for index, (node, kind) in enumerate(places)
    ]


def _places(tree: ast.AST) -> Iterator[tuple[ast.expr | ast.stmt, str]]:
    for node in ast.walk(tree):
        if isinstance(node, ast.FunctionDef) and node.name != "__init__":
            for inner in ast.walk(node):
                yield from ((inner, kind) for kind in _kinds(inner))


def _kinds(node: ast.AST) -> Iterator[str]:
    if isinstance(node, ast.Compare):
        yield from (f"compare{i}" for i, op in enumerate(node.ops) if type(op) in COMPARED)
    elif isinstance(node, ast.BoolOp):
        yield "bool"
    elif isinstance(node, ast.UnaryOp) and isinstance(node.op, ast.Not | ast.USub):
        yield "unary"
    elif isinstance(node, ast.BinOp | ast.AugAssign) and type(node.op) in COUNTED:
        yield "count"
    elif isinstance(node, ast.Call) and getattr(node.func, "id", "") in SWAPPED:
        yield "swap"
    elif isinstance(node, ast.If | ast.IfExp | ast.While):
        yield from ("true", "false")
    elif isinstance(node, ast.Assign | ast.Expr) and not _is_text(node):
        yield "drop"


def _is_text(node: ast.stmt) -> bool:
    return isinstance(node, ast.Expr) and isinstance(node.value, ast.Constant)


def _mutate(node: ast.AST, kind: str) -> None:
    if kind.startswith("compare"):
        at = int(kind[7:])
        node.ops[at] = COMPARED[type(node.ops[at])]()
    elif kind == "bool":
        node.op = ast.Or() if isinstance(node.op, ast.And) else ast.And()
    elif kind == "unary":
        node.op = ast.UAdd() if isinstance(node.op, ast.USub) else _Bool()
    elif kind == "count":
        node.op = COUNTED[type(node.op)]()
    elif kind == "swap":
        node.func.id = SWAPPED[node.func.id]
    elif kind in ("true", "false"):
        node.test = ast.copy_location(ast.Constant(kind == "true"), node.test)


class _Bool(ast.Not):
    """Marks a `not` to be taken away."""


class _Clean(ast.NodeTransformer):
    """Takes away what is marked: a `not`, or a whole statement."""

    def __init__(self, dropped: ast.AST | None) -> None:
        self.dropped = dropped

    def visit(self, node: ast.AST) -> ast.AST:
        if node is self.dropped:
            return ast.copy_location(ast.Pass(), node)
        if isinstance(node, ast.UnaryOp) and isinstance(node.op, _Bool):
            return self.visit(node.operand)
        return self.generic_visit(node)


def _text(node: ast.AST) -> str:
    shown = node.test if isinstance(node, ast.If | ast.While) else node
    return ast.unparse(shown)


def _change(tree: ast.AST, node: ast.expr | ast.stmt, kind: str) -> str:
    function = next(
        outer.name
        for outer in ast.walk(tree)
        if isinstance(outer, ast.FunctionDef) and node in ast.walk(outer)
    )
    return f"{function}: {kind} [{_text(node)}]"


def source_of(mutant: Mutant) -> str:
    """The mutated file."""
    tree = ast.parse((FIRMWARE / mutant.file).read_text())
    node, kind = list(_places(tree))[mutant.index]
    _mutate(node, kind)
    return ast.unparse(
        ast.fix_missing_locations(_Clean(node if kind == "drop" else None).visit(tree))
    )


class _Planted(importlib.machinery.SourceFileLoader):
    """Loads one module from the text given."""

    def __init__(self, name: str, path: str, text: str) -> None:
        super().__init__(name, path)
        self._text = text

    def get_code(self, fullname: str) -> object:
        return compile(self._text, self.path, "exec")


class _Finder:
    def __init__(self, file: str, text: str) -> None:
        self._name = file[:-3].replace("/", ".")
        self._loader = _Planted(self._name, str(FIRMWARE / file), text)

    def find_spec(self, name: str, path: object, target: object = None) -> object:
        if name != self._name:
            return None
        return importlib.util.spec_from_file_location(name, self._loader.path, loader=self._loader)


def is_killed(file: str, text: str) -> bool:
    """Whether one of the file's tests fails with this text in its place."""
    child = os.fork()
    if child == 0:
        os._exit(_judge(file, text))
    return os.waitstatus_to_exitcode(os.waitpid(child, 0)[1]) != 0


def _judge(file: str, text: str) -> int:
    """In the child: 0 where all tests pass."""
    signal.signal(signal.SIGPROF, signal.SIG_DFL)
    signal.setitimer(signal.ITIMER_PROF, LIMIT_S)
    null = os.open(os.devnull, os.O_WRONLY)
    os.dup2(null, 1)
    os.dup2(null, 2)
    for name in [n for n in sys.modules if n.split(".")[0] in _OURS]:
        del sys.modules[name]
    sys.path[:0] = [str(folder) for folder in FOLDERS]
    sys.meta_path.insert(0, _Finder(file, text))
    try:
        for name in dict.fromkeys(TARGETS[file]):
            _run(importlib.import_module(name))
    except BaseException:  # whatever a mutant does, up to ending the process, is noticed
        return 1
    return 0


_OURS = ("heatcore", "heatcontroller", "core", "firmware", "workbench", "test_states")


def _run(module: object) -> None:
    for name, found in vars(module).items():
        if name.startswith("test_"):
            found()
        elif name.startswith("Test"):
            for method in dir(found):
                if method.startswith("test_"):
                    getattr(found(), method)()


def survivors(wanted: list[Mutant]) -> list[Mutant]:
    """Those that no test notices, without the ones known to change nothing."""
    alive = [one for one in wanted if not is_killed(one.file, source_of(one))]
    return [one for one in alive if one.name not in EQUIVALENT]


def main(files: list[str]) -> None:
    killed = known = count = 0
    for file in files or TARGETS:
        found = mutants(file)
        alive = survivors(found)
        equal = sum(one.name in EQUIVALENT for one in found)
        noticed = len(found) - len(alive) - equal
        print(f"{file}: {noticed} of {len(found)} noticed, {equal} equivalent", flush=True)
        for mutant in alive:
            print(f"  survives: {mutant.line}: {mutant.name}", flush=True)
        killed, known, count = killed + noticed, known + equal, count + len(found)
    print(f"all: {killed} of {count} noticed ({killed / (count - known):.1%} of those that can be)")
    for name, reason in EQUIVALENT.items():
        print(f"  equivalent: {name}: {reason}")


if __name__ == "__main__":
    main(sys.argv[1:])
