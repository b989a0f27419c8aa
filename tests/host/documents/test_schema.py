"""`heatwright schema`, and the schemas themselves."""

import json

import pytest
from click.testing import CliRunner

from heatwright import __main__
from heatwright.commands.schema import command
from heatwright.documents.base import key_names
from heatwright.documents.schema import DIALECT, MODELS, json_schema


def invoke(*arguments):
    return CliRunner().invoke(command, arguments)


@pytest.mark.parametrize("kind", MODELS)
def test_every_key_says_what_it_means_and_unknown_ones_are_refused(kind):
    schema = json_schema(kind)
    tables = [schema, *schema.get("$defs", {}).values()]
    assert schema["$schema"] == DIALECT
    for table in tables:
        assert table["additionalProperties"] is False
        for key, node in table["properties"].items():
            assert node.get("description"), key


@pytest.mark.parametrize("kind", MODELS)
def test_every_number_has_a_range(kind):
    schema = json_schema(kind)
    text = json.dumps(schema)
    for table in [schema, *schema.get("$defs", {}).values()]:
        for key, node in table["properties"].items():
            if node.get("type") == "number":
                assert {"minimum", "exclusiveMinimum"} & node.keys(), key
                assert "maximum" in node, key
    assert all(f'"{key}"' in text for key in key_names(MODELS[kind]))


def test_bare_it_lists_the_documents():
    result = invoke()
    assert result.exit_code == 0
    assert all(kind in result.stdout for kind in MODELS)


def test_one_is_printed():
    assert json.loads(invoke("paste").stdout)["title"] == "Paste"


def test_json_is_one_document_with_its_version():
    document = json.loads(invoke("--json").stdout)
    assert document["schema_version"] == 1
    assert set(document["documents"]) == set(MODELS)
    assert set(json.loads(invoke("board", "--json").stdout)["documents"]) == {"board"}


def test_files_are_written(tmp_path):
    result = invoke("--out", str(tmp_path / "new" / "schemas"))
    assert result.exit_code == 0
    assert result.stdout == ""
    for kind in MODELS:
        path = tmp_path / "new" / "schemas" / f"{kind}.schema.json"
        assert json.loads(path.read_text()) == json_schema(kind)


def test_a_folder_that_cannot_be_made_ends_with_2(tmp_path, capsys):
    (tmp_path / "file").write_text("")
    assert __main__.run(["schema", "--out", str(tmp_path / "file" / "schemas")]) == 2
    assert "the folder can't be made (Not a directory)" in capsys.readouterr().err


def test_an_unknown_document_ends_with_2():
    assert invoke("recipe").exit_code == 2


def test_help_shows_examples():
    assert "heatwright schema --out schemas" in invoke("--help").stdout
