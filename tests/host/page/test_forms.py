"""Documents in forms: every shipped one survives them, and what is wrong stands at its field."""

import tomllib
from urllib.parse import urlencode

import pytest
from page_made import OURS, visitor
from test_documents import copied, typed

from heatwright.documents import library
from heatwright.documents.editing import edited
from heatwright.documents.schema import MODELS
from heatwright.page.drafts import Draft

EVERY = [(kind, name) for kind in MODELS for name in library.shipped(kind)]
FORM = {"content-type": "application/x-www-form-urlencoded", **OURS}


def post(browser, where, pairs):
    return browser.post(where, content=urlencode(pairs), headers=FORM)


def changed(pairs, name, *texts):
    """The pairs with the fields of this name holding other texts."""
    left = list(texts)
    return [(key, left.pop(0) if key == name and left else value) for key, value in pairs]


@pytest.mark.parametrize(("kind", "name"), EVERY)
def test_a_form_that_nobody_touches_leaves_the_file_as_it_was(kind, name):
    text = library.shipped(kind)[name].read_text()
    draft = Draft.of(MODELS[kind], tomllib.loads(text))
    assert edited(text, MODELS[kind], draft.data()) == text


@pytest.mark.parametrize("kind", MODELS)
def test_through_a_real_form_too(tmp_path, kind):
    name = next(iter(library.shipped(kind)))
    browser = copied(tmp_path, kind, name)
    mine = tmp_path / f"documents/{kind}-mine.toml"
    before = mine.read_text()
    where = f"/documents/{kind}/mine"
    answer = post(browser, where, [*typed(browser, where), ("do", "save")])
    assert answer.status_code == 303, answer.text
    assert mine.read_text() == before


def test_one_value_changes_and_every_comment_stays(tmp_path):
    browser = copied(tmp_path)
    where, mine = "/documents/paste/mine", tmp_path / "documents/paste-mine.toml"
    before = mine.read_text()
    pairs = changed(typed(browser, where), "liquidus_c", "219.5")
    pairs = changed(pairs, "window.peak_c", "236", "249")
    assert post(browser, where, pairs).status_code == 303
    after = mine.read_text()
    assert tomllib.loads(after)["window"]["peak_c"] == [236.0, 249.0]
    assert after.replace("219.5", "220.0").replace("[236.0, 249.0]", "[235.0, 250.0]") == before


def check(browser, pairs, kind="paste"):
    return post(browser, f"/documents/{kind}/check", pairs).json()


def test_each_fault_stands_at_its_field_with_its_cure(tmp_path):
    browser = copied(tmp_path)
    pairs = typed(browser, "/documents/paste/mine")
    assert check(browser, pairs) == {"": []}
    wrong = changed(pairs, "liquidus_c", "473 °F")
    wrong = changed(wrong, "window.peak_c", "250", "235")
    wrong = changed(wrong, "window.soak_s", "60", "")
    wrong = changed(wrong, "name", "")
    found = check(browser, wrong)
    assert set(found) == {"", "liquidus_c", "window.peak_c", "window.soak_s", "name"}
    assert found[""] == []
    assert "245" in found["liquidus_c"][0]["cure"]
    assert "Swap" in found["window.peak_c"][0]["cure"]
    answer = post(browser, "/documents/paste/mine", wrong)
    assert answer.status_code == 422
    # without a script the same, and what was typed is still there
    assert "473 °F" in answer.text
    assert answer.text.count('aria-invalid="true"') == 2 + 2 * 2
    assert 'value="235"' in answer.text


def test_the_two_ends_of_a_window_may_carry_a_unit_that_is_understood(tmp_path):
    browser = copied(tmp_path)
    pairs = changed(typed(browser, "/documents/paste/mine"), "window.peak_c", "235", "482 °F")
    assert "[235, 250]" in check(browser, pairs)["window.peak_c"][0]["cure"]


def test_a_part_that_a_board_names_must_be_there(tmp_path):
    browser = copied(tmp_path, "board", "bat-logger")
    where, mine = "/documents/board/mine", tmp_path / "documents/board-mine.toml"
    pairs = changed(typed(browser, where), "placements.1.part", "part-led.toml")
    told = check(browser, pairs, "board")
    assert set(told) == {"", "placements.1.part"}
    assert told["placements.1.part"][0]["found"] == "part-led.toml"
    assert "mems-microphone" in told["placements.1.part"][0]["expected"]
    # neither the form nor the text keeps it
    before = mine.read_text()
    assert post(browser, where, pairs).status_code == 422
    text = before.replace('"mems-microphone"', '"mems-microphon"')
    mark = dict(typed(browser, where))["mark"]
    answer = browser.post(where, data={"text": text, "mark": mark}, headers=OURS)
    assert answer.status_code == 422
    assert "mems-microphon" in answer.text
    assert mine.read_text() == before
    # a file of one's own beside the board's is one
    led = library.shipped("part")["mems-microphone"].read_text()
    (tmp_path / "documents/part-led.toml").write_text(led)
    assert check(browser, pairs, "board") == {"": []}
    # and is offered like the shipped ones, in every way that the form is shown
    for text in (browser.get(where).text, post(browser, where, [*pairs, ("do", "raise:x.1")]).text):
        offered = text[text.index('id="l-placements.1.part"') :].partition("</datalist>")[0]
        assert '"mems-microphone"' in offered
        assert '"part-led.toml"' in offered
    assert post(browser, where, pairs).status_code == 303


def test_what_the_form_does_not_know_is_told_and_not_lost(tmp_path):
    browser = copied(tmp_path)
    mine = tmp_path / "documents/paste-mine.toml"
    mine.write_text(mine.read_text().replace("name =", 'colour = "green"\nname ='))
    where = "/documents/paste/mine"
    pairs = typed(browser, where)
    assert "colour" in check(browser, [*pairs, ("entry", "mine")])[""][0]["found"]
    answer = post(browser, where, pairs)
    assert answer.status_code == 422
    assert "colour" in mine.read_text()


def test_a_file_that_changed_meanwhile_is_not_written_over_unseen(tmp_path):
    browser = copied(tmp_path)
    where, mine = "/documents/paste/mine", tmp_path / "documents/paste-mine.toml"
    pairs = changed(typed(browser, where), "notes", "from the form")
    mine.write_text(mine.read_text().replace("Lead-free.", "from an editor"))
    answer = post(browser, where, pairs)
    assert answer.status_code == 422
    assert "has changed" in answer.text
    assert "from an editor" in mine.read_text()


def test_rows_are_added_moved_and_removed_without_a_script(tmp_path):
    browser = copied(tmp_path, "profile")
    where, mine = "/documents/profile/mine", tmp_path / "documents/profile-mine.toml"
    names = [stage["name"] for stage in tomllib.loads(mine.read_text())["stages"]]
    pairs = typed(browser, where)
    more = post(browser, where, [*pairs, ("do", "add:stages")])
    assert more.status_code == 200
    assert f'name="stages.{len(names)}.to_c"' in more.text
    fewer = post(browser, where, [*pairs, ("do", "remove:stages.0")])
    assert f'name="stages.{len(names) - 1}.to_c"' not in fewer.text
    swapped = post(browser, where, [*pairs, ("do", "raise:stages.1")])
    first = swapped.text.index('id="stages.0.name"')
    assert 'value="soak" selected' in swapped.text[first : first + 700]
    assert [stage["name"] for stage in tomllib.loads(mine.read_text())["stages"]] == names


def test_a_document_from_nothing(tmp_path):
    browser = visitor(tmp_path)
    pairs = typed(browser, "/new/part")
    wrong = post(browser, "/new/part", [*pairs, ("file-name", "mine")])
    assert wrong.status_code == 422
    assert "This is needed." in wrong.text
    sizes = [("thickness_mm", "10"), ("length_mm", "15"), ("width_mm", "12")]
    for name, text in (("name", "Relay"), ("package", "THT"), *sizes, ("file-name", "relay")):
        pairs = changed(pairs, name, text)
    assert post(browser, "/new/part", pairs).status_code == 303
    kept = tmp_path / "documents/part-relay.toml"
    assert tomllib.loads(kept.read_text())["thickness_mm"] == 10.0
    assert "height of the body" in kept.read_text()
    assert post(browser, "/new/part", pairs).status_code == 422
