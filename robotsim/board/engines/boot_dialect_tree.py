"""What `boot_dialect` puts into a program, node by node of its syntax tree."""

import ast

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
        if piece.step is None:
            return node
        node.value = _call("__sliced__", node, node.value, piece.step)
        return node

    def visit_FormattedValue(self, node):
        self.generic_visit(node)
        if node.conversion == 114:
            node.value, node.conversion = _call("repr", node.value, node.value), -1
        elif node.conversion == 115 or node.format_spec is None and node.conversion == -1:
            node.value, node.conversion = _call("__text__", node.value, node.value), -1
        elif node.conversion == -1 and _ends_in_f(node.format_spec):
            node.value = _call("__spec__", node.value, node.value, node.format_spec)
            node.format_spec = None
        return node

    def visit_BinOp(self, node):
        self.generic_visit(node)
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
        return node


def _ends_in_f(spec):
    last = spec.values[-1] if spec.values else None
    return _is_text(last) and last.value.endswith(("f", "F"))


def _is_text(node):
    return isinstance(node, ast.Constant) and isinstance(node.value, str)


def _call(name, place, *values):
    return ast.copy_location(ast.Call(_name(name, place), list(values), []), place)


def _name(name, place):
    return ast.copy_location(ast.Name(name, ast.Load()), place)
