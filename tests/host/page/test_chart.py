"""The chart's script is the one that was looked at, and its licence is shown."""

import hashlib

from page_made import visitor

# uPlot 1.6.31, as packed in youplot 1.0.0; read and found to load and send nothing.
SCRIPT = "2d27e8ad3d228164525ce213f9dc716f39b4e3aee0cc773fb3491c96cf4921a2"


def test_the_script_is_the_one_that_was_read(tmp_path):
    script = visitor(tmp_path).get("/chart.js").content
    assert hashlib.sha256(script).hexdigest() == SCRIPT


def test_the_licence_notice_is_shown(tmp_path):
    told = visitor(tmp_path).get("/about").text
    assert "uPlot" in told
    assert "Permission is hereby granted" in told
