"""Puts the fake chip and the workbench where firmware and tests look for them."""

import sys
from pathlib import Path

HERE = Path(__file__).resolve().parent
for folder in (HERE, HERE.parent / "fakes"):
    if str(folder) not in sys.path:
        sys.path.insert(0, str(folder))
