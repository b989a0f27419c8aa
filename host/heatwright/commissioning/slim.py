"""The firmware's sources as they go on a chip: what only a reader needs costs heap there.

MicroPython keeps every module-level name in a dict, every imported name in a second one, and the
text of each for ever. So whole-number constants are written where they are used; their names and
imports, tables that nothing here reads and all annotations are left out. Lines keep their numbers
and all else its wording: see docs/decisions/heap.md.
"""

from __future__ import annotations

import ast
from collections import Counter
from collections.abc import Iterator
from dataclasses import dataclass, field

Files = dict[str, bytes]
# From byte, to byte, what stands there instead.
_Edit = tuple[int, int, bytes]
# A place that a name stands for: a module, and a name in it ("" for the module itself).
_Place = tuple[str, str]

# `heatwright flash` rewrites its names, and it looks them up by their text.
KEPT_WHOLE = "heatcontroller.wiring"
_ARITHMETIC = (ast.Expression, ast.BinOp, ast.UnaryOp, ast.operator, ast.unaryop)


@dataclass
class _Module:
    name: str
    text: bytes
    tree: ast.Module
    package: str
    starts: list[int]
    set_once: frozenset[str]
    constants: dict[str, int] = field(default_factory=dict)
    places: dict[str, _Place] = field(default_factory=dict)

    def start(self, node: ast.expr | ast.stmt | ast.arg) -> int:
        return self.starts[node.lineno - 1] + node.col_offset

    def end(self, node: ast.expr | ast.stmt | ast.arg) -> int:
        assert node.end_lineno is not None
        assert node.end_col_offset is not None
        return self.starts[node.end_lineno - 1] + node.end_col_offset


_Modules = dict[str, _Module]


def slim(sources: Files) -> Files:
    """The same files by the same paths. Raises SyntaxError where one of them is no Python."""
    modules = {_dotted(path): _read(path, text) for path, text in sources.items()}
    for module in modules.values():
        module.places = dict(_imported(module, modules))
    # a sum: each round goes through them all
    while sum(_learn(name, modules) for name in modules if name != KEPT_WHOLE):
        pass
    used = {place for module in modules.values() for place in _used(module)}
    return {path: _written(modules[_dotted(path)], modules, used) for path in sources}


def _dotted(path: str) -> str:
    return path.removesuffix(".py").removesuffix("/__init__").replace("/", ".")


def _read(path: str, text: bytes) -> _Module:
    name = _dotted(path)
    package = name if path.endswith("/__init__.py") else name.rpartition(".")[0]
    starts = [0]
    for line in text.splitlines(keepends=True):
        starts.append(starts[-1] + len(line))
    tree = ast.parse(text, path)
    return _Module(name, text, tree, package, starts, frozenset(_set_once(tree)))


def _set_once(tree: ast.Module) -> Iterator[str]:
    """Names in capitals that are set once in the whole module."""
    stored = Counter(
        node.id
        for node in ast.walk(tree)
        if isinstance(node, ast.Name) and isinstance(node.ctx, ast.Store)
    )
    return (name for name, count in stored.items() if count == 1 and name.isupper())


def _imported(module: _Module, modules: _Modules) -> Iterator[tuple[str, _Place]]:
    for node in ast.walk(module.tree):
        if isinstance(node, ast.ImportFrom):
            source = _source(module, node)
            for alias in node.names:
                within = f"{source}.{alias.name}"
                place = (within, "") if within in modules else (source, alias.name)
                yield alias.asname or alias.name, place


def _source(module: _Module, node: ast.ImportFrom) -> str:
    """The module that an import names, also one that begins with a dot."""
    if not node.level:
        return node.module or ""
    return f"{module.package}.{node.module}" if node.module else module.package


# --- which names are constants ---


def _learn(name: str, modules: _Modules) -> bool:
    """Constants that can be worked out by now; whether there was a new one."""
    module, before = modules[name], len(modules[name].constants)
    for node in module.tree.body:
        for target, value in _assigned(node):
            if target not in module.set_once:
                continue
            number = _number(_replaced(value, module, modules))
            if number is not None:
                module.constants[target] = number
    return len(module.constants) > before


def _assigned(node: ast.stmt) -> Iterator[tuple[str, ast.expr]]:
    """Each name and its value, also of `A, B = 0, 1`."""
    if not isinstance(node, ast.Assign) or len(node.targets) != 1:
        return
    target, value = node.targets[0], node.value
    if isinstance(target, ast.Name):
        yield target.id, value
    elif isinstance(target, ast.Tuple) and isinstance(value, ast.Tuple):
        for name, part in zip(target.elts, value.elts, strict=True):
            if isinstance(name, ast.Name):
                yield name.id, part


def _number(text: bytes) -> int | None:
    """What an expression of whole numbers comes to; None for any other."""
    parsed = ast.parse(b"(" + text + b")", mode="eval")
    for node in ast.walk(parsed):
        is_number = isinstance(node, ast.Constant) and type(node.value) is int
        if not is_number and not isinstance(node, _ARITHMETIC):
            return None
    found = eval(compile(parsed, "", "eval"))  # nothing but numbers and signs is left by now
    return found if type(found) is int else None


def _value(node: ast.AST, module: _Module, modules: _Modules) -> int | None:
    """The number that a name or `module.NAME` stands for; None where it stands for no constant."""
    if isinstance(node, ast.Name) and isinstance(node.ctx, ast.Load):
        return _named(node.id, module, modules)
    if isinstance(node, ast.Attribute) and isinstance(node.value, ast.Name):
        source, name = module.places.get(node.value.id, ("", ""))
        if not name and source in modules:
            return modules[source].constants.get(node.attr)
    return None


def _named(name: str, module: _Module, modules: _Modules) -> int | None:
    if name in module.constants:
        return module.constants[name]
    source, original = module.places.get(name, ("", ""))
    return modules[source].constants.get(original) if source in modules else None


def _used(module: _Module) -> Iterator[_Place]:
    """Every place that a module reads from, its own among them."""
    yield from module.places.values()
    for node in ast.walk(module.tree):
        if isinstance(node, ast.Name) and isinstance(node.ctx, ast.Load):
            yield module.name, node.id
        elif isinstance(node, ast.Attribute) and isinstance(node.value, ast.Name):
            yield module.places.get(node.value.id, ("", ""))[0], node.attr


# --- what is written instead ---


def _replaced(value: ast.expr, module: _Module, modules: _Modules) -> bytes:
    """The text of one expression with its constants as numbers."""
    start, end = module.start(value), module.end(value)
    edits = [edit for node in ast.walk(value) for edit in _numbers(node, module, modules)]
    return _edited(module.text[:end], edits)[start:]


def _written(module: _Module, modules: _Modules, used: set[_Place]) -> bytes:
    edits: list[_Edit] = []
    for node in ast.walk(module.tree):
        edits += _numbers(node, module, modules)
        edits += _annotations(node, module)
        edits += _statements(node, module, modules)
        edits += _idle_tables(node, module, used)
    text = _edited(module.text, edits)
    return _edited(text, list(_unused(_read("", text))))


def _edited(text: bytes, edits: list[_Edit]) -> bytes:
    """All edits made, from the last to the first. One within another's place is dropped."""
    reached = len(text) + 1
    for start, end, instead in _outermost(edits):
        assert end <= reached
        text = text[:start] + instead + text[end:]
        reached = start
    return text


def _outermost(edits: list[_Edit]) -> list[_Edit]:
    kept: list[_Edit] = []
    for edit in sorted(edits, key=lambda edit: (edit[0], -edit[1])):
        if not kept or edit[0] >= kept[-1][1]:
            kept.append(edit)
    return kept[::-1]


def _numbers(node: ast.AST, module: _Module, modules: _Modules) -> Iterator[_Edit]:
    if isinstance(node, ast.Name | ast.Attribute):
        number = _value(node, module, modules)
        if number is not None:
            yield module.start(node), module.end(node), str(number).encode()


def _annotations(node: ast.AST, module: _Module) -> Iterator[_Edit]:
    if isinstance(node, ast.arg) and node.annotation is not None:
        yield module.start(node), module.end(node), node.arg.encode()
    elif isinstance(node, ast.FunctionDef) and node.returns is not None:
        arrow = module.text.rindex(b" ->", 0, module.start(node.returns))
        yield arrow, module.end(node.returns), b""
    elif isinstance(node, ast.AnnAssign) and node.value is not None:
        yield module.end(node.target), module.start(node.value), b" = "


def _statements(node: ast.AST, module: _Module, modules: _Modules) -> Iterator[_Edit]:
    """Definitions and imports of constants."""
    if isinstance(node, ast.Assign) and node in module.tree.body:
        names = [name for name, _ in _assigned(node)]
        if names and all(name in module.constants for name in names):
            yield _gone(node, module)
    elif isinstance(node, ast.ImportFrom):
        kept = [a for a in node.names if _named(a.asname or a.name, module, modules) is None]
        if len(kept) < len(node.names):
            yield _shorter(node, kept, module)


def _idle_tables(node: ast.AST, module: _Module, used: set[_Place]) -> Iterator[_Edit]:
    """Tables that only a host reads: names of codes, say."""
    if isinstance(node, ast.Assign) and node in module.tree.body and module.name != KEPT_WHOLE:
        names = [name for name, _ in _assigned(node)]
        is_table = isinstance(node.value, ast.Dict | ast.Tuple) and len(names) == 1
        if is_table and names[0].isupper() and (module.name, names[0]) not in used:
            yield _gone(node, module)


def _unused(module: _Module) -> Iterator[_Edit]:
    """Imports that only annotations needed. `import x as x` brings a name for others."""
    used = {node.id for node in ast.walk(module.tree) if isinstance(node, ast.Name)}
    for node in module.tree.body:
        if isinstance(node, ast.ImportFrom):
            kept = [a for a in node.names if a.asname == a.name or (a.asname or a.name) in used]
            if len(kept) < len(node.names):
                yield _shorter(node, kept, module)


def _gone(node: ast.stmt, module: _Module) -> _Edit:
    start, end = module.start(node), module.end(node)
    return start, end, b"\n" * module.text.count(b"\n", start, end)


def _shorter(node: ast.ImportFrom, kept: list[ast.alias], module: _Module) -> _Edit:
    start, end, lines = _gone(node, module)
    statement = ast.unparse(ast.ImportFrom(node.module, kept, node.level)) if kept else ""
    return start, end, statement.encode() + lines
