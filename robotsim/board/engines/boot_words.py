"""The board's words for exceptions that this computer's Python tells otherwise.

*Source*: the real interpreter, asked with the same programs
(`tests/robotsim/board/test_words.py` asks again, where it is installed).
"""

import builtins
import re

__all__ = ["board_kind", "board_words"]

_MODULES = ("array", "binascii", "json.decoder", "re", "struct", "_struct", "zlib")
_FINER = {
    "UnboundLocalError": "NameError", "RecursionError": "RuntimeError", "TabError": "SyntaxError",
    "ModuleNotFoundError": "ImportError", "UnicodeDecodeError": "UnicodeError",
    "UnicodeEncodeError": "UnicodeError", "FloatingPointError": "ArithmeticError",
    "Error": "ValueError", "error": "ValueError",
}  # fmt: skip
"""Kinds that the board does not know, and what it raises instead."""
_OPERATORS = {
    "+": "add", "-": "sub", "*": "mul", "/": "truediv", "//": "floordiv", "%": "mod", "&": "and",
    "|": "or", "^": "xor", "<<": "lshift", ">>": "rshift", "@": "matmul", "** or pow()": "pow",
    "<": "lt", ">": "gt", "<=": "le", ">=": "ge", "+=": "add", "-=": "sub", "*=": "mul",
    "/=": "truediv", "//=": "floordiv", "%=": "mod", "|=": "or", "&=": "and",
}  # fmt: skip


def _types(operator, *sides):
    left, right = ["int" if side == "bool" else side for side in sides]
    return "unsupported types for __%s__: '%s', '%s'" % (_OPERATORS[operator], left, right)


def _given(function, wanted, given):
    place = function.rpartition(".")[2]
    return "%s() takes %s positional arguments but %s were given" % (place, wanted, given)


_RULES = (
    (r"(?:integer |float )?(?:division|division or modulo|modulo|floor division|divmod\(\))"
     r"(?: or modulo)? by zero|float modulo|0\.0 cannot be raised to a negative power",
     "divide by zero"),
    (r"invalid literal for int\(\) with base (\d+): (.*)",
     r"invalid syntax for integer with base \1: \2"),
    (r"could not convert string to float: .*", "invalid syntax for number"),
    (r"int\(\) argument must be .*, not '(\w+)'", r"can't convert \1 to int"),
    (r"float\(\) argument must be .*, not '(\w+)'", r"can't convert \1 to float"),
    (r"must be real number, not (\w+)", r"can't convert \1 to float"),
    (r"'(\w+)' object cannot be interpreted as an integer", r"can't convert \1 to int"),
    (r"%\w format: an? (?:real number|integer) is required, not (\w+)", r"can't convert \1 to int"),
    (r"type (\w+) doesn't define __round__ method", r"can't convert \1 to float"),
    (r"name '(\w+)' is not defined", r"name '\1' isn't defined"),
    (r"cannot access (?:local|free) variable .*", "local variable referenced before assignment"),
    (r"cannot import name '(\w+)' from .*", r"can't import name \1"),
    (r"No module named '(.*)'", r"no module named '\1'"),
    (r"'(\w+)' object is not (callable|iterable|subscriptable|reversible)",
     r"'\1' object isn't \2"),
    (r"'(\w+)' object is not an iterator", r"'\1' object isn't an iterator"),
    (r"'(\w+)' object does not support item (assignment|deletion)",
     r"'\1' object doesn't support item \2"),
    (r"argument of type '(\w+)' is not iterable", r"'\1' object isn't iterable"),
    (r"cannot unpack non-iterable (\w+) object", r"'\1' object isn't iterable"),
    (r"not enough values to unpack \(expected (?:at least )?\d+, got (\d+)\)",
     r"need more than \1 values to unpack"),
    (r"(\w+) indices must be integers or slices, not (\w+)",
     r"\1 indices must be integers, not \2"),
    (r"string indices must be integers, not '(\w+)'", r"string indices must be integers, not \1"),
    (r"can only concatenate (\w+) \(not \"(\w+)\"\) to \w+", lambda m: _types("+", m[1], m[2])),
    (r"can't concat (\w+) to (\w+)", lambda m: _types("+", m[2], m[1])),
    (r"unsupported operand type\(s\) for (\S+(?: or pow\(\))?): '(\w+)' and '(\w+)'",
     lambda m: _types(m[1], m[2], m[3])),
    (r"'([<>]=?)' not supported between instances of '(\w+)' and '(\w+)'",
     lambda m: _types(m[1], m[2], m[3])),
    (r"bad operand type for unary ([-+~]): '(\w+)'",
     lambda m: "unsupported type for __%s__: '%s'"
     % ({"-": "neg", "+": "pos", "~": "invert"}[m[1]], m[2])),
    (r"bad operand type for abs\(\): '(\w+)'", r"unsupported type for __abs__: '\1'"),
    (r"unhashable type: '(\w+)'", r"unsupported type for __hash__: '\1'"),
    (r"'in <string>' requires string as left operand, not (\w+)",
     r"can't convert '\1' object to str implicitly"),
    (r"sequence item \d+: expected str instance, (\w+) found",
     "join expects a list of str/bytes objects consistent with self object"),
    (r"'(\w+)' object does not support the (?:asynchronous )?context manager protocol",
     r"'\1' object has no attribute '__exit__'"),
    (r"index out of range", "bytes index out of range"),
    (r"(?:list assignment|pop) index out of range", "list index out of range"),
    (r"property '(\w+)' of '(\w+)' object has no setter", r"'\2' object has no attribute '\1'"),
    (r"cannot convert float (infinity|NaN) to integer",
     lambda m: "can't convert %s to int" % {"infinity": "inf", "NaN": "NaN"}[m[1]]),
    (r"can't multiply sequence by non-int of type '(\w+)'",
     lambda m: _types("*", m[1], m[1])),
    (r"cannot convert dictionary update sequence element #0 to a sequence",
     "'int' object isn't iterable"),
    (r"%c requires int or char", "integer needed"),
    (r"(?:a bytes-like object is required|argument should be integer or bytes-like object), "
     r"not '(\w+)'", r"can't convert '\1' object to bytes implicitly"),
    (r"ord\(\) expected string of length 1, but (\w+) found",
     r"can't convert '\1' object to str implicitly"),
    (r"cannot convert '(\w+)' object to (?:bytes|bytearray)", r"'\1' object isn't iterable"),
    (r"cannot switch from (.*)", r"can't switch from \1"),
    (r"(?:Single '|expected ')([{}])'? .*|expected '(})' before end of string",
     lambda m: ("single '}' encountered in format string" if m[1] == "}" and "S" in m[0][:1]
                else "unmatched '{' in format")),
    (r"must be str or None, not (\w+)|replace\(\) argument \d must be str, not (\w+)",
     lambda m: "can't convert '%s' object to str implicitly" % (m[1] or m[2])),
    (r"'\w+' is an invalid keyword argument for \w+\(\)",
     "function doesn't take keyword arguments"),
    (r"list\.remove\(x\): x not in list|.* is not in (?:list|tuple)", "object not in sequence"),
    (r"tuple\.index\(x\): x not in tuple", "object not in sequence"),
    (r"(?:min|max)\(\) (?:arg|iterable argument) is (?:an )?empty(?: sequence)?",
     "arg is an empty sequence"),
    (r"range\(\) arg 3 must not be zero", "zero step"),
    (r"bytes must be in range\(0, 256\)", "bytes value out of range"),
    (r"byte must be in range\(0, 256\)", "bytes value out of range"),
    (r"not enough arguments for format string", "format string needs more arguments"),
    (r"not all arguments converted during string formatting",
     "format string didn't convert all arguments"),
    (r"Replacement index \d+ out of range for positional args tuple", "tuple index out of range"),
    (r"Unknown format code '(.)' for object of type '(\w+)'",
     r"unknown format code '\1' for object of type '\2'"),
    (r"int too big to convert", "value would overflow a 1 byte buffer"),
    (r"Non-hexadecimal digit found", "non-hex digit"),
    (r"math range error", "math domain error"),
    (r"catching classes that do not inherit from BaseException is not allowed",
     "unsupported types for : 'Exception', 'type'"),
    (r"exceptions must derive from BaseException", "exceptions must derive from BaseException"),
    (r"('\w+' object has no attribute '\w+') and no __dict__ .*", r"\1"),
    (r"(?:int|float|str|list|tuple|bytes)\(\) got an unexpected keyword argument .*",
     "function doesn't take keyword arguments"),
    (r"\w[\w.]*\(\) got an unexpected keyword argument (.*)", r"unexpected keyword argument \1"),
    (r"\w[\w.]*\(\) got multiple values for argument (.*)",
     r"function got multiple values for argument \1"),
    (r"\w[\w.]*\(\) missing \d+ required keyword-only arguments?: .*",
     "function missing keyword-only argument"),
)  # fmt: skip
_COMPILED = []
_CALL = re.compile(
    r"([\w.<>]+)\(\) (?:missing (\d+) required positional arguments?: .*"
    r"|takes (?:from \d+ to )?(\d+) positional arguments? but (\d+) "
    r"(?:positional arguments? \(and .*\) )?(?:was|were) given)"
)


def _is_own(kind):
    """Tell whether a kind of exception is this computer's, and not a learner's."""
    return getattr(builtins, kind.__name__, None) is kind or kind.__module__ in _MODULES


def board_kind(kind):
    """Give the kind that the board raises in the place of one of this computer's."""
    if issubclass(kind, OSError) and (_is_own(kind) or kind.__name__ == "OSError"):
        return OSError
    return getattr(builtins, _FINER.get(kind.__name__, ""), kind) if _is_own(kind) else kind


def board_words(fault):
    """Give an exception's kind and message as the board words them."""
    kind, builtin = board_kind(type(fault)).__name__, _is_own(type(fault))
    if isinstance(fault, RecursionError):
        return "RuntimeError", "maximum recursion depth exceeded"
    if isinstance(fault, OSError) and kind == "OSError":
        return "OSError", _os_message(fault)
    if isinstance(fault, (UnicodeDecodeError, UnicodeEncodeError)):
        return "UnicodeError", ""
    if isinstance(fault, SyntaxError) and builtin:
        message = _syntax(fault)
        return kind if message.startswith("un") else "SyntaxError", message
    message = _message(fault)
    if isinstance(fault, MemoryError):  # how much was asked for, this computer does not tell
        message = message.partition(",")[0] or "memory allocation failed"
    if builtin and not isinstance(fault, KeyError):
        message = _translated(message, fault)
    if message.endswith("no attribute '__exit__'"):
        kind = "AttributeError"
    return kind, message


def _message(fault):
    try:
        if len(fault.args) == 1 and isinstance(fault.args[0], (str, int)):
            return str(fault.args[0])[:2000]
        plain = isinstance(fault, KeyError) and len(fault.args) == 1
        return str(fault.args[0] if plain else fault)[:2000]
    except Exception:  # an exception of the learner's own that cannot tell itself
        return ""


def _syntax(fault):
    from offered import SYNTAX

    told = fault.msg or ""
    if told.startswith(("invalid decimal literal", "leading zeros")):
        line, place = fault.text or "", fault.offset or 0
        token = re.search(r"\w*$", line[:place])[0] + re.match(r"\w*", line[place:])[0]
        base = 0 if told[0] == "l" else 10
        return "invalid syntax for integer with base %d: '%s'" % (base, token)
    if told in [ours for _, ours in SYNTAX] or told.startswith("invalid syntax for"):
        return told  # it has the board's words already
    return next((ours for theirs, ours in SYNTAX if told.startswith(theirs)), "invalid syntax")


def _os_message(fault):
    import errno

    number = fault.errno
    if number is None and len(fault.args) == 1 and isinstance(fault.args[0], int):
        number = fault.args[0]
    if number is None:
        return _message(fault)
    name = getattr(fault, "name", "") or errno.errorcode.get(number, "")
    if type(fault) is OSError and len(fault.args) > 1:
        name += ": " + str(fault.args[1])
    # As on the board: a number without a name stands alone.
    return "[Errno %d] %s" % (number, name) if name else str(number)


def _translated(message, fault):
    call = _CALL.fullmatch(message)
    if call:
        return _call_words(call, fault)
    if not _COMPILED:
        _COMPILED.extend((re.compile(rule, re.S), words) for rule, words in _RULES)
    for rule, words in _COMPILED:
        found = rule.fullmatch(message)
        if found:
            return words(found) if callable(words) else found.expand(words)
    return message


def _call_words(call, fault):
    """Word a call with too few or too many arguments, which the board counts."""
    function, missing, most, given = call.groups()
    if missing is None:
        return _given(function, most, given)
    found = _called(function.rpartition(".")[2], fault)
    if found is None:
        return "function missing %s required positional arguments" % missing
    code = found.__code__
    most = code.co_argcount - len(found.__defaults__ or ())
    wanted = code.co_varnames[:most]
    lacking = re.findall(r"'(\w+)'", str(fault).partition(":")[2])
    # Where one that comes later was given, it was given by its name.
    if found.__kwdefaults__ or lacking and lacking[-1] != wanted[-1]:
        place = wanted.index(lacking[0]) if lacking and lacking[0] in wanted else 0
        return "function missing required positional argument #%d" % place
    return _given(function, most, most - int(missing))


def _called(name, fault):
    """Find the function of a name as the line that failed could see it, also in classes."""
    trace = fault.__traceback__
    while trace is not None and trace.tb_next is not None:
        trace = trace.tb_next
    if trace is None:
        return None
    spaces = {**trace.tb_frame.f_globals, **trace.tb_frame.f_locals}
    for value in [spaces.get(name), *spaces.values()]:
        for found in (value, getattr(value, name, None)):
            if getattr(found, "__name__", "") == name and hasattr(found, "__code__"):
                return found
            inner = getattr(found, "__func__", None)
            if getattr(inner, "__name__", "") == name and hasattr(inner, "__code__"):
                return inner
    return None
