"""How a slow hand fares with the coach, with a recipe by the clock, and at its very best."""

from coaching_made import BY_HAND, Lot, best_possible, by_recipe, can_meet, coached, lot

Row = tuple[str, float, str, str]
# Constants were chosen on seeds 1 to 24 and 1001 to 1100.
SEEDS = range(3001, 3061)
LIFTED = ("sand", "hot-plate")


def figures() -> list[Row]:
    """Rows of name, value, unit and bar."""
    return [row for source in BY_HAND for row in _of(source)]


def _of(source: str) -> list[Row]:
    own, recipe, best = (lot(source, make, SEEDS) for make in (coached, by_recipe, best_possible))
    above = 100 * (own.inside - recipe.inside)
    return [
        (f"{source}, windows it can meet", float(len(can_meet(source))), "of 5", "printed"),
        (f"{source}, inside all of them, coached", 100 * own.inside, "%", ">= 80"),
        (f"{source}, the same, fixed recipe", 100 * recipe.inside, "%", "printed"),
        (f"{source}, the same, best possible", 100 * best.inside, "%", "printed"),
        (f"{source}, coached above the recipe by", above, "%", ">= 1"),
        *_peaks(source, own, recipe, best),
        (f"{source}, changes sooner than 10 s", float(own.hasty), "", "<= 0"),
        (f"{source}, contradictions within 5 s", float(own.contradicting), "", "<= 0"),
    ]


def _peaks(source: str, own: Lot, recipe: Lot, best: Lot) -> list[Row]:
    bar = "<= 8" if source in LIFTED else "printed"
    return [
        (f"{source}, peak from aim, p95, coached", own.peak_error_k, "K", bar),
        (f"{source}, peak from aim, p95, recipe", recipe.peak_error_k, "K", "printed"),
        (f"{source}, peak from aim, p95, best possible", best.peak_error_k, "K", "printed"),
        (f"{source}, runs with an overheated part, coached", 100 * own.overheated, "%", "printed"),
        (f"{source}, runs with one, recipe", 100 * recipe.overheated, "%", "printed"),
    ]
