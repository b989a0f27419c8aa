"""The page's own words, as templates ask for them."""

import re
from pathlib import Path

import pytest

from heatwright import page, sentences

TEMPLATES = sorted((Path(page.__file__).parent / "templates").glob("*.html"))
ASKED = re.compile(r"\bsay\.([a-z_]+)")


@pytest.mark.parametrize("path", TEMPLATES, ids=lambda path: path.stem)
def test_every_word_that_a_template_asks_for_is_there_and_is_no_method(path):
    asked = set(ASKED.findall(path.read_text(encoding="utf-8")))
    assert asked <= set(sentences.PAGE), asked - set(sentences.PAGE)
    # a template finds a dictionary's method before its key
    assert not asked & set(dir(dict))
