"""A range of numbers for an option, where "nan" and "inf" are no numbers."""

from __future__ import annotations

import math
from typing import Any

import click


class FiniteRange(click.FloatRange):
    """Click's own lets "nan" through: no comparison with it holds."""

    def convert(
        self, value: Any, param: click.Parameter | None, ctx: click.Context | None
    ) -> float:
        number = float(super().convert(value, param, ctx))
        if not math.isfinite(number):
            self.fail(f"{value} is not a number.", param, ctx)
        return number
