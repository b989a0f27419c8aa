"""The fields of a plan, one check each: what is not exactly right is refused."""

from array import array

SHOWN_MAX = 40  # characters of a wrong value that a message repeats
NAME_MAX = 40


class PlanError(ValueError):
    """Says where, what was found and what would be right."""


def fault(where: str, found: object, expected: str) -> PlanError:
    shown = found if type(found) is str else repr(found)[:SHOWN_MAX]
    return PlanError("%s: found %s; expected %s" % (where, shown, expected))


def check_keys(doc: object, names: tuple[str, ...], where: str) -> dict[str, object]:
    if not isinstance(doc, dict):
        raise fault(where, doc, "an object")
    for name in names:
        if name not in doc:
            raise fault(where, "no key " + name, "all of " + ", ".join(names))
    for key in doc:
        if key not in names:
            raise fault(where, "the unknown key " + repr(key)[:SHOWN_MAX], ", ".join(names))
    return doc


def number(value: object, bounds: tuple[int, int], where: str) -> int:
    if type(value) is int and bounds[0] <= value <= bounds[1]:
        return value
    raise fault(where, value, "an integer %d to %d" % bounds)


def word(value: object, words: tuple[str, ...], where: str) -> int:
    """The place of this word among those allowed."""
    if type(value) is str and value in words:
        return words.index(value)
    raise fault(where, repr(value)[:SHOWN_MAX], "one of " + ", ".join(words))


def plain_text(value: object, where: str) -> str:
    if type(value) is str and 0 < len(value) <= NAME_MAX and _is_plain(value):
        return value
    raise fault(where, repr(value)[:SHOWN_MAX], "1 to %d plain characters" % NAME_MAX)


def _is_plain(text: str) -> bool:
    return all(" " <= letter <= "~" for letter in text)


def numbers(value: object, bounds: tuple[int, int], where: str, most: int) -> "array[int]":
    items = _list(value, where)
    if len(items) > most:
        raise fault(where, "%d values" % len(items), "at most %d" % most)
    return array("i", [number(x, bounds, where + "[%d]" % i) for i, x in enumerate(items)])


def named(
    value: object, names: tuple[str, ...], row: tuple[tuple[int, int], ...], where: str
) -> "array[int]":
    """An object of integers, in the order of its names."""
    doc = check_keys(value, names, where)
    cells = [number(doc[name], row[i], where + "." + name) for i, name in enumerate(names)]
    return array("i", cells)


def rows(
    value: object, row: tuple[tuple[int, int], ...], words: tuple[str, ...], where: str
) -> "array[int]":
    """A list of equal rows, laid flat. With words, the second cell is one of them."""
    flat: list[int] = []
    for i, cells in enumerate(_list(value, where)):
        place = where + "[%d]" % i
        if not isinstance(cells, list) or len(cells) != len(row):
            raise fault(place, cells, "a list of %d" % len(row))
        for k, cell in enumerate(cells):
            flat.append(_cell(cell, row[k], words if k == 1 else (), place + "[%d]" % k))
    return array("i", flat)


def _cell(value: object, bounds: tuple[int, int], words: tuple[str, ...], where: str) -> int:
    return word(value, words, where) if words else number(value, bounds, where)


def _list(value: object, where: str) -> list[object]:
    if isinstance(value, list):
        return value
    raise fault(where, value, "a list")


def rising(table: "array[int]", width: int, where: str) -> None:
    """The first cell of each row is a time, and time goes on."""
    for i in range(width, len(table), width):
        if table[i] <= table[i - width]:
            raise fault(where, "%d after %d" % (table[i], table[i - width]), "rising times")


def first_rows(table: "array[int]", needed: bool, where: str) -> None:
    if len(table) == 0 and not needed:
        return
    if len(table) == 0 or table[0] != 0:
        raise fault(where, "no row from 0", "a first row from 0 ms")
