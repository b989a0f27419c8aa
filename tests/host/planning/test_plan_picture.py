"""What a plan's picture calls upon a person to do is what there is to do at that source."""

import pytest
from matplotlib.figure import Figure

from heatsim.params import STRUCTURES
from heatwright import sentences
from heatwright.documents import load_paste, load_profile, load_source
from heatwright.planning import picture
from heatwright.planning.model import Model
from heatwright.planning.nominal import plan_for_source
from heatwright.planning.wanted import Wanted


@pytest.mark.parametrize(
    ("kind", "words"), [("toaster", "open the door"), ("hot-plate", "lift the board")]
)
def test_the_line_at_the_cue_says_what_ends_the_heat(kind, words, tmp_path, monkeypatch):
    wanted = Wanted(load_paste("sac305"), load_profile("sac305"), True, "board_sensor")
    params = load_source(kind).plant_params()
    figure = Figure()

    def drawn(_size, lay_out):
        lay_out(figure)
        return b""

    monkeypatch.setattr(picture, "drawn", drawn)
    picture.draw(tmp_path / "x.png", Model(params), plan_for_source(params, wanted), wanted)
    assert words in [one.get_text() for one in figure.axes[0].texts]


def test_every_way_that_heat_gets_across_has_its_words():
    assert set(sentences.DRAWN_CUES) == set(STRUCTURES)
