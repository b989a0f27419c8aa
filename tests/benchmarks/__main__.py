"""`make bench`: collects figures() from every module here and prints each beside its bar.

Files without figures() are passed over; names on the command line choose among the rest.
"""

import importlib.util
import operator
import sys
from collections.abc import Iterator
from pathlib import Path
from types import ModuleType

HERE = Path(__file__).parent
TESTS = HERE.parent
Row = tuple[str, float, str, str]
SIGNS = {">=": operator.ge, "<=": operator.le, "": operator.eq}


def load(path: Path) -> ModuleType:
    # by file: a benchmark may be called what a test folder is called
    spec = importlib.util.spec_from_file_location(f"benchmark_{path.stem}", path)
    assert spec is not None
    assert spec.loader is not None
    module = importlib.util.module_from_spec(spec)
    spec.loader.exec_module(module)
    return module


def collect(chosen: list[str]) -> Iterator[tuple[str, Row]]:
    for path in sorted(HERE.glob("*.py")):
        wanted = not chosen or path.stem in chosen
        if wanted and not path.stem.startswith("__") and "def figures(" in path.read_text():
            for row in load(path).figures():
                yield path.stem, row


def verdict(value: float, bar: str) -> str:
    """What a number says against its bar: "", "met" or "MISSED"."""
    sign, _, limit = bar.rpartition(" ")
    try:
        met = SIGNS[sign.strip()](value, float(limit))
    except (KeyError, ValueError):  # a bar in words: for a person to judge
        return ""
    return "met" if met else "MISSED"


def told(row: Row) -> str:
    """A figure as a line: name, value, unit, bar, and what it says against that."""
    name, value, unit, bar = row
    return f"{name:46}{value:14.6g}  {unit:14} {bar} {verdict(value, bar)}"


def main() -> None:
    sys.path.insert(0, str(TESTS))
    print(f"{'':17}{'figure':46}{'value':>14}  {'unit':14} bar")
    for module, row in collect(sys.argv[1:]):
        print(f"{module:17}{told(row)}", flush=True)


if __name__ == "__main__":
    main()
