# The board's io module, as programs find it under the name io.

from board_flash import FileIO, TextIOWrapper, open
from io import BytesIO, IOBase, StringIO
