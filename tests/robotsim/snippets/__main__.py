"""Ask both interpreters, and keep what they say."""

from __future__ import annotations

import json

from . import KEPT, every_program, kept, outputs

programs = every_program()
reasons = {each.program: each.why for each in kept()} if KEPT.exists() else {}
rows = []
answers = zip(outputs(programs, "micropython"), outputs(programs, "cpython"), strict=True)
for program, (board, here) in zip(programs, answers, strict=True):
    row = {"program": program, "board": board}
    if here != board:
        row |= {"here": here, "why": reasons.get(program, "")}
        print(f"{program!r}\n  board {board!r}\n  here  {here!r}\n  why   {row['why']!r}")
    rows.append(row)
text = ",\n".join(json.dumps(row, ensure_ascii=False) for row in rows)
KEPT.write_text(f"[\n{text}\n]\n", encoding="utf-8")
apart = sum("here" in row for row in rows)
print(f"{len(rows)} programs, {apart} apart, {100 - 100 * apart / len(rows):.1f} % agree")
