"""A platform's own list of a class comes in as it is and goes back with nothing else changed."""

from __future__ import annotations

import csv
import io
from pathlib import Path

import pytest

from checks.course.platform import filled, read_export, roster_text
from checks.course.roster import read_roster
from robotsim import KitError

LISTS = {
    "English": ('"First name","Last name","Email address","Group","Assignment: Lamps (Points)"\r\n'
                '"Anna","Beek","anna@example.org","A","-"\r\n'
                '"Bo","van, Lee","bo@example.org","","-"\r\n', "utf-8-sig"),
    "German, semicolons": ("Vorname;Nachname;Anmeldename;E-Mail-Adresse;Übung Lamps;Anteil\n"
                           "Anna;Beek;anna;anna@example.org;;0,5\nBo;van, Lee;bo;;;0,25\n",
                           "cp1252"),
    "French": ("Nom de famille,Prénom,Adresse de courriel,Lamps\n"
               "Beek,Anna,anna@example.org,\n\"van, Lee\",Bo,bo@example.org,\n", "utf-8"),
    "Spanish, tabs": ("Apellido(s)\tNombre\tNombre de usuario\nBeek\tAnna\tanna\n"
                      "van, Lee\tBo\tbo\n", "utf-16"),
    "Chinese": ("姓\t名\t邮箱\nBeek\tAnna\tanna@example.org\n"
                "van, Lee\tBo\tbo@example.org\n", "utf-8"),
    "whole names": ('Student;ID;Points\n"Beek, Anna";anna;\n"van, Lee, Bo";bo;\n', "utf-8"),
}  # fmt: skip


def export(tmp_path: Path, kind: str) -> Path:
    text, code = LISTS[kind]
    path = tmp_path / "list.csv"
    path.write_bytes(text.encode(code))
    return path


@pytest.mark.parametrize("kind", LISTS)
def test_a_list_in_any_language_makes_a_roster(kind: str, tmp_path: Path) -> None:
    file = tmp_path / "class.csv"
    file.write_text(roster_text(read_export(export(tmp_path, kind))), encoding="utf-8")
    found = read_roster(file).students
    assert [one.id for one in found] == ["anna", "bo"]
    assert (found[0].first_name, found[0].last_name) == ("Anna", "Beek")


@pytest.mark.parametrize("kind", LISTS)
def test_it_goes_back_as_it_came_with_points_and_nothing_else(kind: str, tmp_path: Path) -> None:
    path = export(tmp_path, kind)
    given = read_export(path)
    text, _ = LISTS[kind]
    if kind != "whole names":  # there cells stand in quotation marks that need none
        assert filled(given, {}, {}).lstrip("\ufeff") == text.lstrip("\ufeff")
    out = filled(given, {"anna": {"lamps": 7.5}}, {"lamps": "Lamps"}).lstrip("\ufeff")
    before, after = (list(csv.reader(io.StringIO(t, newline=""), delimiter=given.mark))
                     for t in (text, out))  # fmt: skip
    at = next((k for k, head in enumerate(before[0]) if "Lamps" in head), len(before[0]))
    assert "Lamps" in after[0][at]
    assert after[1][at] == ("7,5" if "German" in kind else "7.5")
    for old, new in zip(before, after, strict=True):
        assert new[:at] + new[at + 1 :] == old[:at] + old[at + 1 :]
    assert after[2][at] in ("", "-"), "who has handed nothing in keeps what stood there"


def test_two_of_one_address_stay_two(tmp_path: Path) -> None:
    path = tmp_path / "list.csv"
    path.write_text("name,email\nAnna Beek,a@x.org\nAnna Beek,a@y.org\nÄnna Beek,A@z.org\n",
                    encoding="utf-8")  # fmt: skip
    given = read_export(path)
    assert len({id.lower() for id in given.ids}) == 3 and [*given.people] == [*given.ids]


@pytest.mark.parametrize(
    ("data", "told"),
    [(b"PK\x03\x04...", "spreadsheet program's own file"), (b"", "empty"),
     (b"colour,shape\nred,round\n", "says who somebody is")],
)  # fmt: skip
def test_what_is_no_list_is_told(data: bytes, told: str, tmp_path: Path) -> None:
    (tmp_path / "list.csv").write_bytes(data)
    with pytest.raises(KitError, match=told):
        read_export(tmp_path / "list.csv")
