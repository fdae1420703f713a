"""Small faults for one piece of Python: each operator turns a node into nodes that are wrong."""

import ast
from collections.abc import Callable, Iterator, Mapping

Operator = Callable[[ast.expr], Iterator[ast.expr]]

_COMPARED: Mapping[type[ast.cmpop], type[ast.cmpop]] = {
    ast.Lt: ast.LtE,
    ast.LtE: ast.Lt,
    ast.Gt: ast.GtE,
    ast.GtE: ast.Gt,
    ast.Eq: ast.NotEq,
    ast.NotEq: ast.Eq,
    ast.Is: ast.IsNot,
    ast.IsNot: ast.Is,
    ast.In: ast.NotIn,
    ast.NotIn: ast.In,
}
OTHER_SUM: Mapping[type[ast.operator], type[ast.operator]] = {
    ast.Add: ast.Sub,
    ast.Sub: ast.Add,
    ast.Mult: ast.Div,
    ast.Div: ast.Mult,
    ast.FloorDiv: ast.Mult,
    ast.Mod: ast.FloorDiv,
    ast.BitOr: ast.BitAnd,
    ast.BitAnd: ast.BitOr,
    ast.BitXor: ast.BitAnd,
}
_OTHER_NAME = {"min": "max", "max": "min", "any": "all", "all": "any"}
_NOISE = "_NOISE"  # the name of what two sums of litres may differ by and still be one amount
_LEAST_FIGURE = 0.01  # below it a figure is the noise of arithmetic, not of the trade


def compared(node: ast.expr) -> Iterator[ast.expr]:
    """Move a comparison's edge by one; turn it round where its edge is nothing but noise."""
    if not isinstance(node, ast.Compare):
        return
    if any(isinstance(part, ast.Name) and part.id == _NOISE for part in ast.walk(node)):
        yield opposite(node)
        return
    for place, op in enumerate(node.ops):
        ops = [*node.ops[:place], _COMPARED[type(op)](), *node.ops[place + 1 :]]
        yield ast.Compare(left=node.left, ops=ops, comparators=node.comparators)


def summed(node: ast.expr) -> Iterator[ast.expr]:
    """Exchange plus and minus, times and divided by, union and intersection."""
    if isinstance(node, ast.BinOp) and type(node.op) in OTHER_SUM:
        yield ast.BinOp(left=node.left, op=OTHER_SUM[type(node.op)](), right=node.right)


def joined(node: ast.expr) -> Iterator[ast.expr]:
    """Exchange `and` and `or`."""
    if isinstance(node, ast.BoolOp):
        other = ast.Or() if isinstance(node.op, ast.And) else ast.And()
        yield ast.BoolOp(op=other, values=node.values)


def signed(node: ast.expr) -> Iterator[ast.expr]:
    """Take away a `not` or a minus."""
    if isinstance(node, ast.UnaryOp) and isinstance(node.op, ast.Not | ast.USub):
        yield node.operand


def figured(node: ast.expr) -> Iterator[ast.expr]:
    """Make a number one more and one less, and turn a truth value round."""
    if not isinstance(node, ast.Constant):
        return
    value = node.value
    if isinstance(value, bool):
        yield ast.Constant(value=not value)
    elif isinstance(value, int | float) and (value == 0 or abs(value) >= _LEAST_FIGURE):
        yield ast.Constant(value=value + 1)
        yield ast.Constant(value=value - 1)


def called(node: ast.expr) -> Iterator[ast.expr]:
    """Exchange least and most, round up for down, sort backwards, take the last for the first."""
    match node:
        case ast.Call(func=ast.Name(id="min" | "max" | "any" | "all" as name)):
            yield _call(_OTHER_NAME[name], node)
        case ast.Call(func=ast.Name(id="floor")):
            yield ast.Call(func=_expression("__import__('math').ceil"), args=node.args, keywords=[])
        case ast.Call(func=ast.Name(id="sorted")):
            yield ast.Call(func=_expression("reversed"), args=[node], keywords=[])
        case ast.Call(func=ast.Name(id="reversed")):
            yield _call("tuple", node)
        case ast.Call(func=ast.Name(id="next"), args=[first, *rest]):
            every = ast.List(elts=[ast.Starred(value=first)])
            last = ast.Call(func=_expression("reversed"), args=[every], keywords=[])
            yield ast.Call(func=node.func, args=[last, *rest], keywords=node.keywords)
        case _:
            return


def indexed(node: ast.expr) -> Iterator[ast.expr]:
    """Take the last for the first and the first for the last."""
    match node:
        case ast.Subscript(value=value, slice=ast.Constant(value=0)):
            yield ast.Subscript(value=value, slice=_expression("-1"))
        case ast.Subscript(
            value=value, slice=ast.UnaryOp(op=ast.USub(), operand=ast.Constant(value=1))
        ):
            yield ast.Subscript(value=value, slice=ast.Constant(value=0))
        case _:
            return


OPERATORS: tuple[Operator, ...] = (compared, summed, joined, signed, figured, called, indexed)


def wrong(node: ast.expr) -> Iterator[ast.expr]:
    """Yield every faulty form of a piece of Python."""
    for operator in OPERATORS:
        yield from operator(node)


def opposite(node: ast.expr) -> ast.expr:
    """Return the opposite of a truth value."""
    return ast.UnaryOp(op=ast.Not(), operand=node)


def _call(name: str, node: ast.Call) -> ast.expr:
    return ast.Call(func=ast.Name(id=name), args=node.args, keywords=node.keywords)


def _expression(source: str) -> ast.expr:
    return ast.parse(source, mode="eval").body
