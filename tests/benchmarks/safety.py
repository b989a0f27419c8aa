"""The second path to off and the suite that guards the rules: hangs, and small mistakes noticed.

The hangs are planted in the real firmware on the virtual controller. Of the mutants the cut-off's
are all tried, of the others each sixth; `python tests/firmware/safety/mutation.py` tries all.
"""

import sys
from pathlib import Path

sys.path.append(str(Path(__file__).resolve().parents[1]))

from cut_outs_made import tried
from firmware.safety import mutation
from hangs_made import PLANTED, Ended, hung, soft_reset
from heatwright.faulting import campaign, cut_out
from heatwright.faulting.campaign import Wanted

Row = tuple[str, float, str, str]
# On other seeds than the advice is made from.
CUT_OUT_SEEDS = range(5001, 5021)
CUTOFF = "heatcore/cutoff.py"
EVERY = 6


def figures() -> list[Row]:
    """Rows of name, value, unit and bar."""
    hangs = {f"hang {how}": hung(planted) for how, planted in PLANTED.items()}
    ended = {**hangs, "soft reset while firing": soft_reset()}
    files = [file for file in mutation.TARGETS if file != CUTOFF]
    others = [one for file in files for one in mutation.mutants(file)]
    return [
        *(_off(how, one) for how, one in ended.items()),
        ("of these end tripped, both outputs low", _safe(ended), "cases", f">= {len(ended)}"),
        _noticed("the cut-off", mutation.mutants(CUTOFF), ">= 100"),
        _noticed("all other safety code", others[::EVERY], ">= 95"),
        *_cut_outs(),
    ]


def _cut_outs() -> list[Row]:
    """On the toaster: the ratings advised, each on sources drawn anew."""
    setting = campaign.setting_of(Wanted(), ("toaster", "sensor"))
    rooms = cut_out.rooms([setting])
    found = [one for seed in CUT_OUT_SEEDS for one in tried(setting, rooms, seed)]
    opened = sum(one.spare_k <= 0.0 for one in found)
    hottest_c = max(one.board_c for one in found)
    return [
        (f"cut-out as advised, opens in plain runs of {len(found)}", opened, "runs", "<= 0"),
        ("cut-out as advised, both welded: hottest board", hottest_c, "C", "<= 300"),
    ]


def _off(how: str, ended: Ended) -> Row:
    return (f"off after {how}", ended.heated_s, "s", "<= 2")


def _safe(ended: dict[str, Ended]) -> int:
    return sum(
        one.are_low and one.state == "tripped" and not one.heated_later_s for one in ended.values()
    )


def _noticed(what: str, tried: list[mutation.Mutant], bar: str) -> Row:
    """Of those that a test can notice; what survives is named."""
    tried = [one for one in tried if one.name not in mutation.EQUIVALENT]
    alive = mutation.survivors(tried)
    for one in alive:
        print(f"survives: {one.file}:{one.line}: {one.name}", file=sys.stderr)
    share = 100.0 * (len(tried) - len(alive)) / len(tried)
    return (f"{what}: mutants noticed of {len(tried)}", share, "%", bar)
