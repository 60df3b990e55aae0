"""Letters: how wide each letter of the pictures' font is, for those that are drawn in a tab."""

from __future__ import annotations

import json

__all__ = ["letters"]

_SPANS = ((0x20, 0x7F), (0xA0, 0x530), (0x2000, 0x2070), (0x2190, 0x2200), (0x2212, 0x2213),
          (0x25A0, 0x2600))  # fmt: skip
"""Latin, Greek and Cyrillic letters, punctuation, arrows, the minus sign, and signs."""
_MEASURED = 10
"""The size in points at which nearly all texts are measured."""


def letters() -> bytes:
    """Give the widths as shares of the size, plain and bold, and plain in whole dots, as JSON."""
    from matplotlib import font_manager

    told = {}
    for weight in ("normal", "bold"):
        wanted = font_manager.FontProperties(family="DejaVu Sans", weight=weight)
        font = font_manager.get_font(font_manager.findfont(wanted))
        known = font.get_charmap()
        font.set_size(100, 72)
        codes = [code for span in _SPANS for code in range(*span) if code in known]
        told[weight] = {chr(code): round(font.load_char(code).linearHoriAdvance / 6553600, 4)
                        for code in codes}  # fmt: skip
        if weight == "normal":  # as texts are measured, by which they are broken into rows
            font.set_size(_MEASURED, 72)
            told["dots"] = {chr(code): font.load_char(code).horiAdvance / 64 / _MEASURED
                            for code in codes}  # fmt: skip
    return json.dumps(told, ensure_ascii=False, separators=(",", ":")).encode()
