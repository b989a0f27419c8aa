"""``heatwright describe``: documents from data sheets, one question at a time."""

from __future__ import annotations

import sys
from collections.abc import Callable, Mapping
from pathlib import Path
from typing import NamedTuple

import click

from heatwright import sentences
from heatwright.documents.base import Document
from heatwright.documents.board import Board
from heatwright.documents.describing import board, part, paste, placing, source, start
from heatwright.documents.describing.building import clash_in
from heatwright.documents.describing.interview import (
    Answers,
    Check,
    from_text,
    interview,
    no_check,
    read_draft,
)
from heatwright.documents.describing.questions import Question
from heatwright.documents.part import Part
from heatwright.documents.paste import Paste
from heatwright.documents.reading import read_text
from heatwright.documents.schema import file_name, json_schema_text
from heatwright.documents.source import Source
from heatwright.documents.writing import write_beside, write_document
from heatwright.errors import BadInput, Fault

EXAMPLES = """\b
Examples:
  heatwright describe                          three questions, and you can begin
  heatwright describe paste --out my-paste.toml
  heatwright describe board --parts parts.csv   ref,package[,side], a line a part
  heatwright describe part --answers part.txt --out part-radio.toml
  printf 'alloy = 217\\nsize_mm = 70 x 45\\n' | heatwright describe --answers -

\b
Answers for a script are lines key = answer; what is left out takes its default
and is marked assumed. An existing file is written over only when you say so.
"""
THREE = "start"


class Kind(NamedTuple):
    """What is asked for one kind of document, and what is made of the answers."""

    questions: tuple[Question, ...]
    build: Callable[[Answers, str], dict[str, Document]]
    check: Check = no_check


def _of_model(model: type[Document]) -> Check:
    return lambda values, key: clash_in(model, values, key)


def _three(answers: Answers, out: str) -> dict[str, Document]:
    begun = start.build(answers)
    folder = Path(out).parent
    files: dict[str, Document] = {
        str(folder / "paste.toml"): begun.paste,
        str(folder / "board.toml"): begun.board,
    }
    return files | _part_files(begun.placed.files, folder)


def _board(answers: Answers, out: str) -> dict[str, Document]:
    made, placed = board.build(answers, out)
    return {out: made, **_part_files(placed.files, Path(out).parent)}


def _part_files(files: Mapping[str, Part], folder: Path) -> dict[str, Document]:
    return {str(folder / name): made for name, made in files.items()}


KINDS: dict[str, Kind] = {
    THREE: Kind(start.QUESTIONS, _three),
    "paste": Kind(paste.QUESTIONS, lambda a, out: {out: paste.build(a, out)}, _of_model(Paste)),
    "part": Kind(part.QUESTIONS, lambda a, out: {out: part.build(a, out)}, _of_model(Part)),
    "board": Kind(board.QUESTIONS, _board, _of_model(Board)),
    "source": Kind(source.QUESTIONS, lambda a, out: {out: source.build(a, out)}, _of_model(Source)),
}


@click.command(epilog=EXAMPLES)
@click.argument("kind", required=False, type=click.Choice([k for k in KINDS if k != THREE]))
@click.option("--out", type=click.Path(path_type=Path), help="The file; default: KIND.toml here.")
@click.option("--answers", metavar="FILE|-", help="Take the answers from lines key = answer.")
@click.option(
    "--parts",
    type=click.Path(path_type=Path),
    metavar="CSV",
    help="Parts of the board: ref,package[,side].",
)
@click.option("--overwrite", is_flag=True, help="Write over files that are there already.")
@click.option("--questions", is_flag=True, help="Print what would be asked, as an answers file.")
def command(
    kind: str | None,
    out: Path | None,
    answers: str | None,
    parts: Path | None,
    overwrite: bool,
    questions: bool,
) -> None:
    """Write a paste, part, board or source from its data sheet; without KIND, begin with three
    questions that give a paste, a board and its parts."""
    name = kind or THREE
    chosen = KINDS[name]
    rows = placing.read_csv(parts) if parts else None
    if rows is not None:
        chosen = _with_rows(name, chosen, rows)
    if questions:
        click.echo(_questions_text(chosen.questions))
        return
    out = out or Path(f"{'board' if name == THREE else name}.toml")
    given = _scripted(chosen, answers) if answers else _asked(chosen, kind, out)
    if rows is not None:
        given.values["parts"] = rows
    _write(chosen.build(given, str(out)), out, overwrite, bool(answers))
    _draft_of(out, kind).unlink(missing_ok=True)
    if name == THREE:
        paste_at, board_at = (out.parent / f"{one}.toml" for one in ("paste", "board"))
        click.echo(sentences.NEXT_STEP.format(paste=paste_at, board=board_at), err=True)


def _with_rows(name: str, chosen: Kind, rows: list[placing.Row]) -> Kind:
    """The same without the question about parts: the CSV has answered it."""
    if name not in (THREE, "board"):
        raise BadInput(Fault(sentences.PARTS_OF_BOARD, "--parts", name, "board, or no KIND"))
    return chosen._replace(questions=tuple(q for q in chosen.questions if q.key != "parts"))


def _questions_text(questions: tuple[Question, ...]) -> str:
    lines = [sentences.DRAFT_HEAD]
    for question in questions:
        lines += ["", *(f"# {line.strip()}" for line in _plainly(question)), f"# {question.key} ="]
    return "\n".join(lines)


def _plainly(question: Question) -> list[str]:
    return [question.words, question.expected]


def _scripted(chosen: Kind, answers: str) -> Answers:
    text = sys.stdin.read() if answers == "-" else read_text(Path(answers))
    name = "standard input" if answers == "-" else answers
    return from_text(chosen.questions, text, name, chosen.check)


def _asked(chosen: Kind, kind: str | None, out: Path) -> Answers:
    draft = _draft_of(out, kind)
    known = _earlier(draft)
    click.echo(sentences.DESCRIBE_OPENING if kind else sentences.THREE_OPENING, err=True)
    try:
        return interview(chosen.questions, _ask, _tell, draft, chosen.check, known)
    except (KeyboardInterrupt, click.Abort, EOFError):
        if draft.is_file():
            again = " ".join(filter(None, [kind, f"--out {out}"]))
            click.echo(sentences.KEPT_ANSWERS.format(path=draft, again=again), err=True)
        raise


def _draft_of(out: Path, kind: str | None) -> Path:
    """Where answers are kept until the document is written."""
    return out.with_name(f"{out.stem if kind else 'first'}.answers.txt")


def _earlier(draft: Path) -> dict[str, str]:
    if not draft.is_file():
        return {}
    lines, _ = read_draft(read_text(draft), str(draft))
    known = {key: answer for key, (_, answer) in lines.items()}
    asking = sentences.GO_ON.format(path=draft, count=len(known))
    return known if known and click.confirm(asking, default=True, err=True) else {}


def _ask(question: str) -> str:
    answer: str = click.prompt(
        question, default="", show_default=False, prompt_suffix="\n> ", err=True
    )
    return answer


def _tell(text: str) -> None:
    click.echo(f"  {text}", err=True)


def _write(files: Mapping[str, Document], out: Path, overwrite: bool, scripted: bool) -> None:
    """Write every document, its schema beside it; the part files only where there are none."""
    chosen = [Path(name) for name in files]
    asked_for = [path for path in chosen if not path.name.startswith("part-") or path == out]
    if not overwrite:
        _refuse_or_ask([path for path in asked_for if path.exists()], scripted)
    for path, document in zip(chosen, files.values(), strict=True):
        if path.exists() and path not in asked_for and not overwrite:
            click.echo(sentences.LEFT_ALONE.format(path=path), err=True)
        else:
            _write_one(path, document)


def _refuse_or_ask(there: list[Path], scripted: bool) -> None:
    if scripted and there:
        cure = sentences.IS_THERE_CURE
        raise BadInput(*(Fault(sentences.IS_THERE, str(path), cure=cure) for path in there))
    for path in there:
        click.confirm(sentences.OVERWRITE.format(path=path), abort=True, err=True)


def _write_one(path: Path, document: Document) -> None:
    _make_folder(path.parent)
    kind = document.kind_of_document
    schema = path.parent / file_name(kind)
    if not schema.exists():
        write_beside(schema, json_schema_text(kind))
    write_document(document, path)
    click.echo(sentences.WROTE.format(path=path), err=True)
    assumed = [key for key, origin in document.origin.items() if origin.status == "assumed"]
    if assumed:
        click.echo(sentences.ASSUMED_IN.format(keys=", ".join(assumed), path=path), err=True)


def _make_folder(folder: Path) -> None:
    try:
        folder.mkdir(parents=True, exist_ok=True)
    except OSError as error:
        what = sentences.NO_FOLDER.format(reason=error.strerror)
        raise BadInput(Fault(what, str(folder), cure=sentences.NO_FOLDER_CURE)) from error
