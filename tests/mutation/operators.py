"""Small wrong changes of Python source: every mutant of a module, each with a name that lasts.

A mutant is one node of the syntax tree made other. Its name is the module, the function, the
operator and the text before and after, so that it stays the same when lines move. Left alone are
docstrings, annotations, decorators, types in quotes, `if TYPE_CHECKING` and `__all__`, and what
changes nothing whatever it is given: the order of two values of `min` or `max`, and `strict` of
`zip`, which only guards what holds.
"""

from __future__ import annotations

import ast
import copy
from collections import Counter
from collections.abc import Callable, Iterator
from dataclasses import dataclass, replace
from typing import Final

COMPARED: Final[dict[type[ast.cmpop], type[ast.cmpop]]] = {
    ast.Lt: ast.LtE, ast.LtE: ast.Lt, ast.Gt: ast.GtE, ast.GtE: ast.Gt,
    ast.Eq: ast.NotEq, ast.NotEq: ast.Eq, ast.Is: ast.IsNot, ast.IsNot: ast.Is,
    ast.In: ast.NotIn, ast.NotIn: ast.In,
}  # fmt: skip
COMPUTED: Final[dict[type[ast.operator], type[ast.operator]]] = {
    ast.Add: ast.Sub, ast.Sub: ast.Add, ast.Mult: ast.Add, ast.Div: ast.Mult,
    ast.FloorDiv: ast.Mult, ast.Mod: ast.FloorDiv, ast.Pow: ast.Mult,
    ast.BitAnd: ast.BitOr, ast.BitOr: ast.BitAnd, ast.LShift: ast.RShift, ast.RShift: ast.LShift,
}  # fmt: skip
#: Functions for which the order of two values without a key is all one.
SYMMETRIC: Final = ("min", "max", "np.minimum", "np.maximum")


@dataclass(frozen=True, slots=True)
class Mutant:
    """A change of the node with this number (in the order of `ast.walk`), at lines from 1."""

    module: str
    function: str
    operator: str
    before: str
    after: str
    node: int
    line: int
    repeat: int = 0

    @property
    def name(self) -> str:
        """What it is known by in the list of equivalent ones."""
        again = f" #{self.repeat + 1}" if self.repeat else ""
        where = f"{self.module} {self.function}"
        return f"{where}: {self.operator}: {self.before} -> {self.after}{again}"


def mutants_of(module: str, source: str) -> list[Mutant]:
    """All mutants of a module."""
    tree = ast.parse(source)
    places = _functions(tree)
    found = []
    for number, node in enumerate(ast.walk(tree)):
        if node not in places:
            continue
        for operator, change in OPERATORS.items():
            after = change(copy.deepcopy(node)) if isinstance(node, CHANGED[operator]) else None
            if after is not None:
                texts = _text(node), _text(after)
                line = node.target.lineno if isinstance(node, ast.comprehension) else node.lineno
                found.append(Mutant(module, places[node], operator, *texts, number, line))
    return list(_numbered(found))


def mutated(source: str, mutant: Mutant) -> str:
    """The source with the change in it, laid out anew and without comments."""
    tree = ast.parse(source)
    node = list(ast.walk(tree))[mutant.node]
    after = OPERATORS[mutant.operator](copy.deepcopy(node))
    assert after is not None
    changed = _Replace(node, after).visit(tree)
    return ast.unparse(ast.fix_missing_locations(changed))


class _Replace(ast.NodeTransformer):
    def __init__(self, node: ast.AST, other: ast.AST) -> None:
        self.node, self.other = node, other

    def visit(self, node: ast.AST) -> ast.AST:
        return self.other if node is self.node else self.generic_visit(node)


def _numbered(mutants: list[Mutant]) -> Iterator[Mutant]:
    """Mutants whose names would be the same are numbered in the order of their lines."""
    met: Counter[str] = Counter()
    for mutant in sorted(mutants, key=lambda one: (one.line, one.node)):
        yield replace(mutant, repeat=met[mutant.name])
        met[mutant.name] += 1


def _text(node: ast.AST) -> str:
    text = " ".join(ast.unparse(ast.fix_missing_locations(node)).split())
    return text if len(text) <= 60 else f"{text[:57]}..."


def _functions(tree: ast.Module) -> dict[ast.AST, str]:
    """The nodes that may be changed, with the names of the functions and classes around them."""
    found: dict[ast.AST, str] = {}

    def enter(node: ast.AST, place: str) -> None:
        if isinstance(node, ast.ClassDef | ast.FunctionDef):
            place = f"{place}.{node.name}".lstrip(".")
        found[node] = place or "module"
        for child in _mutable(node):
            enter(child, place)

    for statement in tree.body:
        if not _declares(statement) and not _is_text_alone(statement):
            enter(statement, "")
    return found


def _declares(statement: ast.stmt) -> bool:
    """Whether a statement of a module only names things: imports, `__all__`, type aliases."""
    if isinstance(statement, ast.If):
        return "TYPE_CHECKING" in ast.unparse(statement.test)
    if isinstance(statement, ast.Assign):
        left, right = ast.unparse(statement.targets[0]), ast.unparse(statement.value)
        return left == "__all__" or right.startswith(("Literal[", "TypeVar(", "Callable["))
    return isinstance(statement, ast.Import | ast.ImportFrom)


def _mutable(node: ast.AST) -> Iterator[ast.AST]:
    """The children of a node but annotations, decorators, docstrings and f-string formats."""
    for name, value in ast.iter_fields(node):
        if name in ("annotation", "returns", "decorator_list", "format_spec", "bases", "ctx"):
            continue
        if isinstance(node, ast.keyword) and node.arg == "strict":
            continue
        children = value if isinstance(value, list) else [value]
        for child in children:
            if (
                isinstance(child, ast.AST)
                and not _is_text_alone(child)
                and not _is_type(node, child)
            ):
                yield child


def _is_text_alone(node: ast.AST) -> bool:
    return isinstance(node, ast.Expr) and isinstance(node.value, ast.Constant)


def _is_type(parent: ast.AST, node: ast.AST) -> bool:
    """Whether a node is the type in `cast(type, value)`."""
    is_cast = isinstance(parent, ast.Call) and ast.unparse(parent.func) == "cast"
    return is_cast and node is parent.args[0]


# The operators: each takes a copy of a node and gives the changed one, None where it has no say.


def _comparison(node: ast.AST) -> ast.AST | None:
    if not isinstance(node, ast.Compare) or type(node.ops[0]) not in COMPARED:
        return None
    node.ops[0] = COMPARED[type(node.ops[0])]()
    return node


def _arithmetic(node: ast.AST) -> ast.AST | None:
    if isinstance(node, ast.UnaryOp) and isinstance(node.op, ast.USub):
        return None if isinstance(node.operand, ast.Constant) else node.operand
    if not isinstance(node, ast.BinOp | ast.AugAssign) or type(node.op) not in COMPUTED:
        return None
    node.op = COMPUTED[type(node.op)]()
    return node


def _boolean(node: ast.AST) -> ast.AST | None:
    if isinstance(node, ast.UnaryOp) and isinstance(node.op, ast.Not):
        return node.operand
    if not isinstance(node, ast.BoolOp):
        return None
    node.op = ast.Or() if isinstance(node.op, ast.And) else ast.And()
    return node


def _constant(node: ast.AST) -> ast.AST | None:
    if not isinstance(node, ast.Constant):
        return None
    value = node.value
    if isinstance(value, bool):
        return ast.Constant(not value)
    if isinstance(value, int):
        return ast.Constant(value + 1)
    if isinstance(value, float):
        return ast.Constant(value * 1.5 if value else 1.0)
    if isinstance(value, str):
        return ast.Constant(f"{value}?" if value else "?")
    return None


def _condition(node: ast.AST) -> ast.AST | None:
    if isinstance(node, ast.If | ast.While | ast.IfExp):
        node.test = ast.UnaryOp(ast.Not(), node.test)
        return node
    if isinstance(node, ast.comprehension) and node.ifs:
        node.ifs[0] = ast.UnaryOp(ast.Not(), node.ifs[0])
        return node
    return None


def _returned(node: ast.AST) -> ast.AST | None:
    if not isinstance(node, ast.Return) or node.value is None:
        return None
    if isinstance(node.value, ast.Constant) and node.value.value is None:
        return None
    node.value = ast.Constant(None)
    return node


def _deleted(node: ast.AST) -> ast.AST | None:
    if isinstance(node, ast.Expr | ast.AugAssign | ast.Raise | ast.Continue | ast.Break):
        return ast.Pass()
    if isinstance(node, ast.Assign) and isinstance(node.targets[0], ast.Attribute | ast.Subscript):
        return ast.Pass()
    return None


def _swapped(node: ast.AST) -> ast.AST | None:
    """The first two arguments of a call, or the two branches of a choice."""
    if isinstance(node, ast.Call) and len(node.args) >= 2:
        if any(isinstance(argument, ast.Starred) for argument in node.args[:2]):
            return None
        if ast.unparse(node.func) in SYMMETRIC and not node.keywords:
            return None
        node.args[:2] = node.args[1::-1]
        return node
    return None


def _dropped(node: ast.AST) -> ast.AST | None:
    """The last argument by name of a call."""
    if not isinstance(node, ast.Call) or not node.keywords:
        return None
    if node.keywords[-1].arg in (None, "strict"):
        return None
    node.keywords.pop()
    return node


OPERATORS: Final[dict[str, Callable[[ast.AST], ast.AST | None]]] = {
    "comparison": _comparison,
    "arithmetic": _arithmetic,
    "boolean": _boolean,
    "constant": _constant,
    "condition": _condition,
    "returned": _returned,
    "deleted": _deleted,
    "swapped": _swapped,
    "dropped": _dropped,
}
#: The nodes that an operator may change: no others are copied for it.
CHANGED: Final[dict[str, tuple[type[ast.AST], ...]]] = {
    "comparison": (ast.Compare,),
    "arithmetic": (ast.UnaryOp, ast.BinOp, ast.AugAssign),
    "boolean": (ast.UnaryOp, ast.BoolOp),
    "constant": (ast.Constant,),
    "condition": (ast.If, ast.While, ast.IfExp, ast.comprehension),
    "returned": (ast.Return,),
    "deleted": (ast.Expr, ast.AugAssign, ast.Raise, ast.Continue, ast.Break, ast.Assign),
    "swapped": (ast.Call,),
    "dropped": (ast.Call,),
}
