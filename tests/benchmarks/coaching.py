"""How a slow hand fares with the coach, with a recipe by the clock, and at its very best."""

from coaching_made import BY_HAND, best_possible, by_recipe, can_meet, coached, lot

Row = tuple[str, float, str, str]
RUNS = 24
LIFTED = ("sand", "hot-plate")


def figures() -> list[Row]:
    """Rows of name, value, unit and bar."""
    return [row for source in BY_HAND for row in _of(source)]


def _of(source: str) -> list[Row]:
    seeds = range(1, RUNS + 1)
    own, recipe, best = (lot(source, make, seeds) for make in (coached, by_recipe, best_possible))
    bar = "<= 8" if source in LIFTED else "printed"
    return [
        (f"{source}, windows it can meet", float(len(can_meet(source))), "of 5", "printed"),
        (f"{source}, inside all of them, coached", 100 * own.inside, "%", ">= 80"),
        (f"{source}, coached above the recipe by", 100 * (own.inside - recipe.inside), "%", ">= 1"),
        (f"{source}, the same, fixed recipe", 100 * recipe.inside, "%", "printed"),
        (f"{source}, the same, best possible", 100 * best.inside, "%", "printed"),
        (f"{source}, peak from aim, p95", own.peak_error_k, "K", bar),
        (f"{source}, peak from aim, recipe, p95", recipe.peak_error_k, "K", "printed"),
        (f"{source}, small part over 260 °C", 100 * own.overheated, "%", "printed"),
    ]
