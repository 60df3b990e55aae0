"""What `boot_dialect` puts into a program, node by node of its syntax tree."""

import ast
import sys

from boot_values import METHOD_NAMES

_BITS = (ast.BitAnd, ast.BitOr, ast.BitXor)
_TRUTHS = (ast.Compare, ast.BoolOp)

__all__ = ["changed"]


def changed(text, file):
    """Give a program's syntax tree as the board understands it."""
    tree = ast.parse(text, file)
    for node in ast.walk(tree):
        refused = _refusal(node)
        if refused:
            place, message = refused
            raise SyntaxError(message, (file, place.lineno, 0, None))
    _Dialect().visit(tree)
    return ast.fix_missing_locations(tree)


def _refusal(node):
    """Give the place and the message if the board's compiler does not take a piece of syntax."""
    if isinstance(node, ast.Match):
        return node, "invalid syntax"
    if isinstance(node, getattr(ast, "TryStar", ())):
        return node.handlers[0], "invalid syntax"
    if isinstance(node, ast.arguments) and node.posonlyargs:
        return node.posonlyargs[0], "invalid syntax"
    if isinstance(node, ast.Dict) and None in node.keys:
        return node, "invalid syntax"
    if isinstance(node, (ast.List, ast.Tuple, ast.Set)):
        for item in node.elts:
            if isinstance(item, ast.Starred) and isinstance(item.ctx, ast.Load):
                return item, "*x must be assignment target"
    if isinstance(node, (ast.FunctionDef, ast.AsyncFunctionDef, ast.ClassDef)):
        for way in node.decorator_list:
            inner = way.func if isinstance(way, ast.Call) else way
            while isinstance(inner, ast.Attribute):
                inner = inner.value
            if not isinstance(inner, ast.Name):
                return way, "invalid syntax"
    return None


class _Dialect(ast.NodeTransformer):
    def visit_ExceptHandler(self, node):
        self.generic_visit(node)
        if node.name:
            first = node.body[0]
            call = _call("__told__", first, _name(node.name, first))
            target = ast.copy_location(ast.Name(node.name, ast.Store()), first)
            node.body.insert(0, ast.copy_location(ast.Assign([target], call), first))
        return node

    def visit_Subscript(self, node):
        self.generic_visit(node)
        piece = node.slice
        if not isinstance(node.ctx, ast.Load) or not isinstance(piece, ast.Slice):
            return node
        if piece.step is None and sys.version_info < (3, 12):
            return node
        node.value = _call("__sliced__", node, node.value, piece.step or ast.Constant(None))
        return node

    def visit_FormattedValue(self, node):
        self.generic_visit(node)
        if node.conversion == 114:
            node.value, node.conversion = _call("repr", node.value, node.value), -1
        elif node.conversion == 115 or node.format_spec is None and node.conversion == -1:
            node.value, node.conversion = _call("__text__", node.value, node.value), -1
        elif node.conversion == -1:
            node.value = _call("__with_spec__", node.value, node.value, node.format_spec)
            node.format_spec = None
        return node

    def visit_Delete(self, node):
        self.generic_visit(node)
        names = [one for one in node.targets if isinstance(one, ast.Name)]
        calls = [_call("__held__", one, _constant(one.id, one)) for one in names]
        return [*(ast.copy_location(ast.Expr(call), node) for call in calls), node]

    def visit_ClassDef(self, node):
        self.generic_visit(node)
        for one in node.body:
            if isinstance(one, ast.FunctionDef) and one.name == "__index__":
                one.name = "_not_asked_for_index"  # the board never calls it
        return node

    def visit_FunctionDef(self, node):
        self.generic_visit(node)
        named = node.args.kwarg
        if named:  # a dict, too
            first = node.body[0]
            value = _name(named.arg, first)
            number = _call("len", first, value)
            target = ast.copy_location(ast.Name(named.arg, ast.Store()), first)
            call = _call("__table__", first, value, number)
            node.body.insert(0, ast.copy_location(ast.Assign([target], call), first))
        return node

    visit_AsyncFunctionDef = visit_FunctionDef

    def visit_Dict(self, node):
        self.generic_visit(node)
        return _call("__table__", node, node, _constant(len(node.keys), node))

    def visit_DictComp(self, node):
        self.generic_visit(node)
        return _call("__table__", node, node, _constant(0, node))

    def visit_Set(self, node):
        self.generic_visit(node)
        values = ast.copy_location(ast.List(node.elts, ast.Load()), node)
        return _call("__gathered__", node, values, _constant(len(node.elts), node))

    def visit_SetComp(self, node):
        self.generic_visit(node)
        values = ast.copy_location(ast.ListComp(node.elt, node.generators), node)
        return _call("__gathered__", node, values, _constant(0, node))

    def visit_Attribute(self, node):
        self.generic_visit(node)
        if node.attr in METHOD_NAMES and isinstance(node.ctx, ast.Load):
            return _method("__method__", node)
        return node

    def visit_Compare(self, node):
        self.generic_visit(node)
        way = node.ops[0]
        if len(node.ops) == 1 and isinstance(way, (ast.Eq, ast.NotEq)):
            if any(_calls(side, "range") for side in (node.left, node.comparators[0])):
                same = _call("__same__", node, node.left, node.comparators[0])
                other = ast.copy_location(ast.UnaryOp(ast.Not(), same), node)
                return same if isinstance(way, ast.Eq) else other
        return node

    def visit_BinOp(self, node):
        self.generic_visit(node)
        sides = (node.left, node.right)
        if isinstance(node.op, ast.Add) and any(map(_is_bytes, sides)):
            return _call("__added__", node, *sides)
        if isinstance(node.op, ast.Pow):
            return _call("__power__", node, *sides)
        if isinstance(node.op, _BITS) and any(map(_is_truth, sides)):
            return _call("__bits__", node, node)
        if isinstance(node.op, ast.Mod) and _is_text(node.left):
            return _call("__percent__", node, node.left, node.right)
        return node

    def visit_Call(self, node):
        self.generic_visit(node)
        way = node.func
        if (
            isinstance(way, ast.Name)
            and way.id == "str"
            and len(node.args) == 1 - len(node.keywords)
        ):
            way.id = "__text__"
        elif isinstance(way, ast.Attribute) and way.attr == "format" and _is_text(way.value):
            call = ast.Call(_name("__formatted__", node), [way.value, *node.args], node.keywords)
            return ast.copy_location(call, node)
        elif isinstance(way, ast.Attribute) and way.attr in ("split", "rsplit") and node.keywords:
            node.func = _method("__no_keywords__", way)
        elif _calls(node, "slice"):
            way.id = "__no_slice__"
        return node


def _is_text(node):
    return isinstance(node, ast.Constant) and isinstance(node.value, str)


def _is_bytes(node):
    return isinstance(node, ast.Constant) and isinstance(node.value, bytes)


def _is_truth(node):
    if isinstance(node, ast.Constant):
        return isinstance(node.value, bool)
    return isinstance(node, _TRUTHS) or isinstance(node, ast.UnaryOp) and type(node.op) is ast.Not


def _calls(node, name):
    return isinstance(node, ast.Call) and getattr(node.func, "id", "") == name


def _method(hook, node):
    return _call(hook, node, node.value, _constant(node.attr, node))


def _constant(value, place):
    return ast.copy_location(ast.Constant(value), place)


def _call(name, place, *values):
    return ast.copy_location(ast.Call(_name(name, place), list(values), []), place)


def _name(name, place):
    return ast.copy_location(ast.Name(name, ast.Load()), place)
