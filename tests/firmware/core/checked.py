"""An integer that refuses to leave the 31 bits of a small integer on a 32-bit controller."""

from array import array

LOW, HIGH = -(1 << 30), (1 << 30) - 1


class Checked(int):
    """Every result of its arithmetic is Checked again, so a whole calculation is followed."""

    def __new__(cls, value: int) -> "Checked":
        assert LOW <= value <= HIGH, f"{int(value)} leaves 31 bits"
        return super().__new__(cls, value)


def _wrap(name):
    plain = getattr(int, name)

    def operation(self, *others):
        result = plain(self, *others)
        return result if result is NotImplemented else Checked(result)

    return operation


OPERATIONS = ("add", "sub", "mul", "floordiv", "mod", "lshift", "rshift", "and", "or", "xor")
for _operation in OPERATIONS:
    for _name in (f"__{_operation}__", f"__r{_operation}__"):
        setattr(Checked, _name, _wrap(_name))
for _name in ("__neg__", "__abs__", "__invert__", "__pos__"):
    setattr(Checked, _name, _wrap(_name))


class CheckedArray:
    """An array whose cells come out Checked and go in only where 32 bits hold them."""

    def __init__(self, cells: array) -> None:
        self._cells = cells

    def __len__(self) -> int:
        return len(self._cells)

    def __getitem__(self, index: int) -> Checked:
        return Checked(self._cells[index])

    def __setitem__(self, index: int, value: int) -> None:
        self._cells[index] = value


TABLES = ("t_ms", "y_mc", "u", "b_mc", "gains", "stages", "waits", "limits", "deviation", "start")


def checked_plan(plan):
    """The same plan, every number of which is followed from here on."""
    for name in TABLES:
        setattr(plan, name, CheckedArray(getattr(plan, name)))
    for name in ("law", "stretch_ms", "door_cue_ms", "host_lost"):
        setattr(plan, name, Checked(getattr(plan, name)))
    plan.tables = tuple(CheckedArray(table) for table in plan.tables)
    return plan
