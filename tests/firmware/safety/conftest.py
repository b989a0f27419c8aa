"""Puts the workbench where the tests look for it."""

import sys
from pathlib import Path

FAKES = Path(__file__).resolve().parents[1] / "fakes"
if str(FAKES) not in sys.path:
    sys.path.append(str(FAKES))
