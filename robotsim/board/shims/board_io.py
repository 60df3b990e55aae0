# The board's io module, as programs find it under the name io.

from io import BytesIO, IOBase, StringIO  # noqa: F401

from board_flash import FileIO, TextIOWrapper, open  # noqa: F401
