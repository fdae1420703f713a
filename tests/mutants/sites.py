"""Where in a Python file a fault can be planted, and the file with each of them in it.

Annotations, decorators and dataclass fields are left alone: a fault there breaks the import, or
nothing that a grower could notice.
"""

import ast
from collections import Counter
from collections.abc import Iterable, Iterator
from dataclasses import replace

from tests.mutants.mutant import Change, Mutant
from tests.mutants.operators import OTHER_SUM, opposite, wrong

_LEFT_ALONE = frozenset({"annotation", "returns", "decorator_list", "type_params", "bases"})
_NEVER = ast.Constant(value=False)


def mutants_of(file: str, source: str) -> list[Mutant]:
    """Return every mutant of a Python file, in the order of its lines."""
    tree = ast.parse(source)
    lines = source.splitlines()
    found = [
        Mutant(
            file=file,
            line_number=node.lineno,
            line=_line(lines, node),
            old=ast.unparse(_around(holder, node)),
            new=_with(_around(holder, node), holder, node, other),
            text=_with(tree, holder, node, other),
        )
        for holder, node, other in _faults(tree)
    ]
    each_once = {mutant.text: mutant for mutant in found}  # two operators may make the same fault
    return _told_apart(sorted(each_once.values(), key=lambda mutant: mutant.line_number))


def _told_apart(mutants: Iterable[Mutant]) -> list[Mutant]:
    # the same fault on a second line with the same text is another fault
    seen: Counter[Change] = Counter()
    found = []
    for mutant in mutants:
        seen[mutant.change] += 1
        place = seen[mutant.change]
        found.append(mutant if place == 1 else replace(mutant, line=f"{mutant.line} [{place}]"))
    return found


def _around(holder: ast.AST, node: ast.AST) -> ast.AST:
    # a figure alone does not say which of a line's figures it is
    return holder if isinstance(node, ast.Constant) and isinstance(holder, ast.expr) else node


def _line(lines: list[str], node: ast.expr | ast.stmt) -> str:
    # a `break` alone says nothing: the line before it says when
    first = node.lineno - 2 if isinstance(node, ast.Break | ast.Continue) else node.lineno - 1
    return " ".join(line.strip() for line in lines[first : node.lineno])


def _faults(tree: ast.AST) -> Iterator[tuple[ast.AST, ast.expr | ast.stmt, ast.AST]]:
    for holder, node in _places(tree):
        match node:
            case ast.expr():
                for other in wrong(node):
                    yield holder, node, other
                if isinstance(holder, ast.If) and holder.test is node and not holder.orelse:
                    yield holder, node, _NEVER
            case ast.AugAssign(target=target, op=op, value=value) if type(op) in OTHER_SUM:
                yield (
                    holder,
                    node,
                    ast.AugAssign(target=target, op=OTHER_SUM[type(op)](), value=value),
                )
            case ast.Expr(value=ast.Call()) | ast.Continue() | ast.Break():
                yield holder, node, ast.Pass()
            case ast.FunctionDef(returns=ast.Name(id="bool")):
                yield from _opposite_answers(node)
            case _:
                pass


def _opposite_answers(
    function: ast.FunctionDef,
) -> Iterator[tuple[ast.AST, ast.expr, ast.AST]]:
    for node in ast.walk(function):
        match node:
            case ast.Return(value=ast.expr() as value) if not isinstance(value, ast.Constant):
                yield node, value, opposite(value)
            case _:
                pass


def _places(holder: ast.AST) -> Iterator[tuple[ast.AST, ast.AST]]:
    for name, value in ast.iter_fields(holder):
        if name in _LEFT_ALONE:
            continue
        for node in value if isinstance(value, list) else [value]:
            if not isinstance(node, ast.AST) or _is_field(node):
                continue
            yield holder, node
            if not isinstance(node, ast.JoinedStr):  # a figure in a sentence's format
                yield from _places(node)


def _is_field(node: ast.AST) -> bool:
    return (
        isinstance(node, ast.Call) and isinstance(node.func, ast.Name) and node.func.id == "field"
    )


def _with(whole: ast.AST, holder: ast.AST, node: ast.AST, other: ast.AST) -> str:
    """Return the text of the whole with one node exchanged; the tree is as before afterwards."""
    if whole is node:
        return ast.unparse(other)
    for name, value in ast.iter_fields(holder):
        if value is node:
            setattr(holder, name, other)
            text = ast.unparse(whole)
            setattr(holder, name, node)
            return text
        if isinstance(value, list) and any(part is node for part in value):
            place = next(place for place, part in enumerate(value) if part is node)
            value[place] = other
            text = ast.unparse(whole)
            value[place] = node
            return text
    raise ValueError("the node is not held there")
