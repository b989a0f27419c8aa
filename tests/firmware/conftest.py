"""Puts the shadow chip and the workbench where firmware and tests look for them."""

import sys
from pathlib import Path

HERE = Path(__file__).resolve().parent
SHADOW = HERE.parents[1] / "sim" / "heatsim" / "virtual" / "shadow"
# Last: the shadow has a `time` of its own, which is not for the tests.
for folder in (HERE / "controller", HERE / "drivers", HERE / "fakes", SHADOW):
    if str(folder) not in sys.path:
        sys.path.append(str(folder))
