"""Offered: the names that the board's firmware has, of modules and in them.

*Source*: the real interpreter's `dir()` of each module and the published stubs for this family
of boards; `tests/published/test_board_api.py` compares.  The boot files read this one too, so it
imports nothing.
"""

__all__ = ["ALIASES", "BUILTINS", "FIXED", "METHODS", "NAMES", "SYNTAX"]

NAMES: dict[str, str] = {
    "array": "array",
    "binascii": "a2b_base64 b2a_base64 crc32 hexlify unhexlify",
    "cmath": "cos e exp log log10 phase pi polar rect sin sqrt",
    "collections": "OrderedDict namedtuple",
    "errno": (
        "EACCES EADDRINUSE EAGAIN EALREADY EBADF ECONNABORTED ECONNREFUSED ECONNRESET EEXIST "
        "EHOSTUNREACH EINPROGRESS EINVAL EIO EISDIR ENOBUFS ENODEV ENOENT ENOMEM ENOTCONN "
        "EOPNOTSUPP EPERM ETIMEDOUT errorcode"
    ),
    "hashlib": "md5 sha1 sha256",
    "heapq": "heapify heappop heappush",
    "json": "",
    "math": (
        "acos acosh asin asinh atan atan2 atanh ceil copysign cos cosh degrees e erf erfc exp "
        "expm1 fabs factorial floor fmod frexp gamma inf isclose isfinite isinf isnan ldexp lgamma "
        "log log10 log2 modf nan pi pow radians sin sinh sqrt tan tanh tau trunc"
    ),
    "re": "compile match search sub",
    "struct": "calcsize",
    "sys": "byteorder exit modules stderr stdin stdout",
}
"""Module to the names that it takes over from this computer's."""

ALIASES = frozenset(
    "array asyncio binascii collections errno hashlib heapq io json machine os random re socket "
    "struct sys time".split()
)
"""Modules that the firmware also knows with a u before their name."""

FIXED = frozenset("cmath gc math micropython sys".split())
"""Modules that no file of the learner's can take the place of (the real interpreter, run)."""

BUILTINS = frozenset(
    "ArithmeticError AssertionError AttributeError BaseException EOFError Ellipsis Exception "
    "GeneratorExit ImportError IndentationError IndexError KeyError KeyboardInterrupt LookupError "
    "MemoryError NameError NotImplemented NotImplementedError OSError OverflowError RuntimeError "
    "StopAsyncIteration StopIteration SyntaxError SystemExit TypeError UnicodeError ValueError "
    "ZeroDivisionError __build_class__ __debug__ abs all any bin bool bytearray bytes callable chr "
    "classmethod compile complex delattr dict dir divmod enumerate eval exec filter float "
    "frozenset getattr globals hasattr hash help hex id int isinstance issubclass iter len list "
    "locals map max memoryview min next object oct ord pow property range reversed round set "
    "setattr slice sorted staticmethod str sum super tuple type zip".split()
)
"""Built-in names that the board has; print, open, input and repr are the boot file's own."""

_TEXTS = (
    "count endswith find format index isalpha isdigit islower isspace isupper join lower lstrip "
    "replace rfind rindex rsplit rstrip split startswith strip upper center partition rpartition "
    "splitlines "
)
_SETS = "copy difference intersection isdisjoint issubset issuperset symmetric_difference union "
METHODS: dict[str, str] = {
    "str": _TEXTS + "encode",
    "bytes": _TEXTS + "decode fromhex hex",
    "bytearray": _TEXTS + "append extend decode fromhex hex",
    "list": "append clear copy count extend index insert pop remove reverse sort",
    "tuple": "count index",
    "dict": "clear copy get items keys pop popitem setdefault update values fromkeys",
    "frozenset": _SETS,
    "set": _SETS + (
        "clear pop remove update add difference_update discard intersection_update "
        "symmetric_difference_update"
    ),
    "int": "from_bytes to_bytes",
    "float": "",
    "complex": "real imag",
    "array": "append extend",
    "HASH": "update digest",
}
"""Kind to the methods that its values have on the board."""

SYNTAX = (
    ("positional argument follows keyword", "positional arg after keyword arg"),
    ("no binding for nonlocal", "no binding for nonlocal found"),
    ("duplicate argument", "argument name reused"),
    ("non-default argument follows", "non-default argument follows default argument"),
    ("parameter without a default follows", "non-default argument follows default argument"),
    ("':' expected after dictionary key", "expecting key:value for dict"),
    ("unindent does not match", "unindent doesn't match any outer indent level"),
    ("unexpected indent", "unexpected indent"),
    ("'return' outside", "'return' outside function"),
    ("'yield' outside", "'yield' outside function"),
    ("'await' outside", "'await' outside function"),
    ("'break' outside", "'break'/'continue' outside loop"),
    ("'continue' not properly", "'break'/'continue' outside loop"),
    ("cannot assign", "can't assign to expression"),
    ("cannot delete", "can't delete expression"),
    ("*x must be", "*x must be assignment target"),
)
"""What ordinary Python says, and what the board says instead; all else is "invalid syntax"."""
