"""Puts the fake chip where the firmware looks for the real one."""

import sys
from pathlib import Path

HERE = Path(__file__).resolve().parent
for folder in (HERE, HERE.parent / "fakes"):
    if str(folder) not in sys.path:
        sys.path.insert(0, str(folder))
