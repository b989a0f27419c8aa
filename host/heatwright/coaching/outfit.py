"""What a coached run is made with: source, paste, board, where the bead sits; told beforehand."""

from __future__ import annotations

from dataclasses import dataclass

from heatsim.params import number_fields
from heatwright import sentences
from heatwright.coaching import gun
from heatwright.coaching.course import course_of
from heatwright.documents import Paste, Source, load_paste, load_source, locate
from heatwright.documents.bench import Bench, load_bench
from heatwright.documents.load import for_board
from heatwright.errors import BadInput, Fault
from heatwright.records import folder
from heatwright.running.job import board_and_parts

BY_HAND = ("sand", "hot-plate", "hot-air")


@dataclass(frozen=True)
class Outfit:
    """``bead`` is the node that is read: board_sensor, or sensor where the source has it."""

    source: Source
    paste: Paste
    bead: str
    documents: dict[str, bytes]
    bench: Bench

    @property
    def placing(self) -> str:
        """Where the bead sits, in the words of the source document."""
        return "on_board" if self.bead == "board_sensor" else self.source.sensor.placing

    def with_board(self, source: Source) -> Source:
        """This source with the outfit's board in it; the file's own where none is described."""
        return _with_board(source, self.bench)


def outfit_of(source: str, paste: str, board: str | None, bead: str) -> Outfit:
    """Read the documents. Raises `BadInput`, also for a source that no hand drives."""
    paste_at, source_at = locate("paste", paste), locate("source", source)
    loaded = load_source(source_at)
    if loaded.kind not in BY_HAND:
        raise BadInput(
            Fault(
                sentences.COACH_NOT_BY_HAND,
                str(source_at),
                loaded.kind,
                ", ".join(BY_HAND),
                sentences.COACH_NOT_BY_HAND_CURE,
            )
        )
    documents = {
        folder.PASTE: paste_at.read_bytes(),
        folder.SOURCE: source_at.read_bytes(),
        **(board_and_parts(board, paste_at) if board else {}),
    }
    bench = load_bench(load_paste(paste_at), board)
    return Outfit(_with_board(loaded, bench), bench.paste, bead, documents, bench)


def _with_board(source: Source, bench: Bench) -> Source:
    if bench.board is None:
        return source
    params = for_board(source.plant_params(), bench.board, bench.fitted)
    changed = {one.name: getattr(params, one.name) for one in number_fields()}
    return source.model_copy(update={"model": source.model.model_copy(update=changed)})


def cautions(outfit: Outfit) -> tuple[str, ...]:
    """What can burn, poison or spoil, suited to this source and paste; before anything else."""
    leaded = (sentences.COACH_CAUTION_LEAD,) if outfit.paste.contains_lead else ()
    own = sentences.COACH_CAUTIONS[outfit.source.kind]
    return (*own, *sentences.COACH_CAUTIONS_ALL, *leaded)


def beforehand(outfit: Outfit) -> tuple[str, ...]:
    """What this source can and cannot do, and how to set it up."""
    aim = f"{course_of(outfit.paste).aim_c:.0f} °C"
    said = sentences.COACH_BEFOREHAND[outfit.source.kind]
    air = f"{gun.air_c(outfit.paste):.0f} °C"
    low, high = outfit.paste.window.soak_c
    soak = f"{low:.0f} to {high:.0f} °C"
    return tuple(line.format(aim=aim, air=air, soak=soak, name=outfit.paste.name) for line in said)
