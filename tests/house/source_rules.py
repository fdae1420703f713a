"""Rules for Python files that no linter knows; each check returns sentences, none when kept."""

import ast
import io
import re
import tokenize

LINE_LIMIT = 240
DAY_ARITHMETIC_HOMES = frozenset(
    {
        "service/agronomy/calendar.py",
        "service/clock.py",
        "service/outbox/retry.py",
        "service/planning/send_window.py",
        "service/sign_in/spans.py",  # how long links, visits and waits last
    }
)

_EXEMPTION = re.compile(
    r"#\s*(?:noqa\b|type:\s*ignore|nosec\b|pragma:\s*no\s*cover)", re.IGNORECASE
)
_REASON = re.compile(r" -- \S")
_SKIPS = frozenset({"skip", "skipif", "xfail", "importorskip"})


def length_faults(name: str, source: str) -> list[str]:
    """Refuse a file of more than 240 lines."""
    lines = len(source.splitlines())
    if lines <= LINE_LIMIT:
        return []
    return [f"{name} has {lines} lines, over {LINE_LIMIT}; split off an idea."]


def day_arithmetic_faults(name: str, source: str) -> list[str]:
    """Refuse a `timedelta` made, or imported under another name, away from its homes."""
    if name in DAY_ARITHMETIC_HOMES or name.startswith("tests/"):
        return []
    faults = []
    for node in ast.walk(ast.parse(source)):
        if isinstance(node, ast.Call) and _called(node) == "timedelta":
            faults.append(f"{name}:{node.lineno} makes a timedelta; call one of its homes.")
        if isinstance(node, ast.ImportFrom):
            faults += [
                f"{name}:{node.lineno} renames timedelta; import it by its name."
                for alias in node.names
                if alias.name == "timedelta" and alias.asname is not None
            ]
    return faults


def exemption_faults(name: str, source: str) -> list[str]:
    """Refuse a linter, type or coverage exemption whose comment gives no reason after ` -- `."""
    return [
        f"{name}:{token.start[0]} is exempt from a rule without a reason after ` -- `."
        for token in tokenize.generate_tokens(io.StringIO(source).readline)
        if token.type == tokenize.COMMENT
        and _EXEMPTION.search(token.string)
        and not _REASON.search(token.string)
    ]


def skip_faults(name: str, source: str) -> list[str]:
    """Refuse a skipped or expectedly failing test without a reason in words."""
    tree = ast.parse(source)
    calls = [node for node in ast.walk(tree) if isinstance(node, ast.Call)]
    reasoned = {id(call.func) for call in calls if _gives_reason(call)}
    return [
        f"{name}:{node.lineno} uses {node.attr} without `reason=` in words."
        for node in ast.walk(tree)
        if isinstance(node, ast.Attribute) and _is_skip(node) and id(node) not in reasoned
    ]


def built_text_faults(name: str, source: str) -> list[str]:
    """Refuse a text put together in Python on its way into `enqueue`; texts live in locales/."""
    return [
        f"{name}:{value.lineno} builds a text for enqueue; put it in locales/."
        for call in ast.walk(ast.parse(source))
        if isinstance(call, ast.Call) and _called(call) == "enqueue"
        for value in (*call.args, *(keyword.value for keyword in call.keywords))
        if _builds_text(value)
    ]


def package_file_faults(name: str, source: str) -> list[str]:
    """Refuse anything in an `__init__.py` but a docstring of one line: no re-exports."""
    if not name.endswith("__init__.py"):
        return []
    body = ast.parse(source).body
    if len(body) == 1 and len(source.splitlines()) == 1 and isinstance(body[0], ast.Expr):
        return []
    return [f"{name} holds more than a docstring of one line; take the rest out."]


def import_faults(name: str, source: str) -> list[str]:
    """Refuse type-only imports and postponed annotations: layers need neither."""
    tree = ast.parse(source)
    postponed = [
        node
        for node in ast.walk(tree)
        if isinstance(node, ast.ImportFrom) and node.module == "__future__"
    ]
    guards = [
        node
        for node in ast.walk(tree)
        if (isinstance(node, ast.Name) and node.id == "TYPE_CHECKING")
        or (isinstance(node, ast.Attribute) and node.attr == "TYPE_CHECKING")
    ]
    return [
        *(f"{name}:{node.lineno} imports from __future__; take it out." for node in postponed),
        *(f"{name}:{node.lineno} imports for types only; import plainly." for node in guards),
    ]


def _called(call: ast.Call) -> str:
    match call.func:
        case ast.Name(id=name) | ast.Attribute(attr=name):
            return name
        case _:
            return ""


def _is_skip(node: ast.Attribute) -> bool:
    return node.attr in _SKIPS and ast.unparse(node).startswith(("pytest.", "unittest."))


def _gives_reason(call: ast.Call) -> bool:
    named = [keyword.value for keyword in call.keywords if keyword.arg in {"reason", "msg"}]
    leading = call.args[:1] if _called(call) == "skip" else []
    return any(
        isinstance(value, ast.JoinedStr)
        or (
            isinstance(value, ast.Constant) and isinstance(value.value, str) and value.value.strip()
        )
        for value in (*named, *leading)
    )


def _builds_text(value: ast.expr) -> bool:
    if isinstance(value, ast.Call) and isinstance(value.func, ast.Attribute):
        return value.func.attr in {"format", "join"}
    if isinstance(value, ast.BinOp) and isinstance(value.op, ast.Add | ast.Mod):
        return any(
            isinstance(part, ast.JoinedStr)
            or (isinstance(part, ast.Constant) and isinstance(part.value, str))
            for part in ast.walk(value)
        )
    return isinstance(value, ast.JoinedStr)
