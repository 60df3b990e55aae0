"""A platform's own list of a class comes in as it is and goes back with nothing else changed."""

from __future__ import annotations

import csv
import io
import zipfile
from datetime import date
from pathlib import Path

import pytest
from openpyxl import Workbook, load_workbook
from openpyxl.styles import Font

from checks.commands import main
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
    assert file.read_text(encoding="utf-8-sig")[2] == read_export(tmp_path / "list.csv").mark
    assert [one.id for one in found] == ["anna", "bo"]
    assert (found[0].first_name, found[0].last_name) == ("Anna", "Beek")


@pytest.mark.parametrize("kind", LISTS)
def test_it_goes_back_as_it_came_with_points_and_nothing_else(kind: str, tmp_path: Path) -> None:
    path = export(tmp_path, kind)
    given = read_export(path)
    text, _ = LISTS[kind]
    if kind != "whole names":  # there cells stand in quotation marks that need none
        assert filled(given, {}, {}).decode().lstrip("\ufeff") == text.lstrip("\ufeff")
    out = filled(given, {"anna": {"lamps": 7.5}}, {"lamps": "Lamps"}).decode().lstrip("\ufeff")
    before, after = (list(csv.reader(io.StringIO(t, newline=""), delimiter=given.mark))
                     for t in (text, out))  # fmt: skip
    at = next((k for k, head in enumerate(before[0]) if "Lamps" in head), len(before[0]))
    assert "Lamps" in after[0][at]
    assert after[1][at] == ("7.5" if kind in ("English", "Chinese") else "7,5")
    for old, new in zip(before, after, strict=True):
        assert new[:at] + new[at + 1 :] == old[:at] + old[at + 1 :]
    assert after[2][at] in ("", "-"), "who has handed nothing in keeps what stood there"


@pytest.mark.parametrize(
    ("text", "shown"),
    [("Vorname;Nachname;Anmeldename\nAnna;Beek;anna\n", "7,75"),
     ("Vorname,Nachname,Anmeldename,Anteil\nAnna,Beek,anna,0.5\n", "7.75"),
     ("First name,Last name,Username,Share\nAnna,Beek,anna,\"50,00 %\"\n", "7,75"),
     ("First name,Last name,Username\nAnna,Beek,anna\n", "7.75"),
     ("First name;Last name;Username\nAnna;Beek;anna\n", "7,75"),
     ("姓,名,邮箱\nBeek,Anna,anna@x.org\n", "7.75")],
)  # fmt: skip
def test_the_decimal_sign_is_the_lists_own(text: str, shown: str, tmp_path: Path) -> None:
    """As its numbers show; where there are none, as its language and the sign between cells do."""
    (tmp_path / "list.csv").write_text(text, encoding="utf-8")
    given = read_export(tmp_path / "list.csv")
    out = filled(given, {"anna": {"lamps": 7.75}}, {"lamps": "Lamps"}).decode("utf-8-sig")
    assert [*csv.reader(io.StringIO(out), delimiter=given.mark)][1][-1] == shown


def test_a_lesson_in_which_nobody_has_points_gets_no_column(tmp_path: Path) -> None:
    given = read_export(export(tmp_path, "French"))
    titles = {"lamps": "Lamps", "drive": "Under way", "arm": "The arm"}
    heads = filled(given, {"anna": {"drive": 1}}, titles).decode().splitlines()[0].split(",")
    assert heads[-2:] == ["Lamps", "Under way"]


def test_two_under_one_user_name_are_told(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    path = tmp_path / "list.csv"
    path.write_text("username,name\nanna,Anna Beek\nbo,Bo Lee\nanna,Anna Cole\n", "utf-8")
    assert main(["roster", str(path), str(tmp_path / "class.csv")]) == 0
    said = capsys.readouterr().out
    assert "look: row 4: 'anna' stands in an earlier row too, so this one is" in said
    assert "if they are one person, delete a row, and if two, it is right" in said


@pytest.mark.parametrize("target", [".", "list.csv"])
def test_list_and_roster_in_the_wrong_order_are_told(
    target: str, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    path = export(tmp_path, "French")
    before = path.read_bytes()
    assert main(["roster", str(tmp_path / "class.csv"), str(tmp_path / target)]) == 1
    said = capsys.readouterr().err
    assert "class.csv is to be read, and" in said and "roster LIST.csv class.csv" in said
    assert path.read_bytes() == before and len([*tmp_path.iterdir()]) == 1


def test_two_of_one_address_stay_two(tmp_path: Path) -> None:
    path = tmp_path / "list.csv"
    path.write_text("name,email\nAnna Beek,a@x.org\nAnna Beek,a@y.org\nÄnna Beek,A@z.org\n",
                    encoding="utf-8")  # fmt: skip
    given = read_export(path)
    assert len({id.lower() for id in given.ids}) == 3 and [*given.people] == [*given.ids]


@pytest.mark.parametrize(
    ("data", "told"),
    [(b"PK\x03\x04...", "cannot be read"), (b"\xd0\xcf\x11\xe0\xa1\xb1", "has a password"),
     (b"", "empty"),
     (b"colour,shape\nred,round\n", "says who somebody is"),
     (b"Klasse 8b,,\n\nId,Vorname,Nachname\nanna,Anna,Beek\n",
      "row 3 looks like the heads: delete the rows above it"),
     (b"id,name\n,,\n", "heads and no learner")],
)  # fmt: skip
def test_what_is_no_list_is_told(data: bytes, told: str, tmp_path: Path) -> None:
    (tmp_path / "list.csv").write_bytes(data)
    with pytest.raises(KitError, match=told):
        read_export(tmp_path / "list.csv")


def test_a_program_is_no_list(tmp_path: Path) -> None:
    script = tmp_path / "mk.py"
    script.write_text("name\nimport csv\nrows = [1]\n", encoding="utf-8")
    with pytest.raises(KitError, match=r"ends in \.py is no list"):
        read_export(script)


def workbook(path: Path) -> None:
    """A list as a platform may give it: formats, a number as id, a date, a second sheet."""
    book = Workbook()
    sheet = book.worksheets[0]
    sheet.append(["Student ID", "Last name", "First name", "Seen", "Lamps (Points)"])
    sheet.append([31234567, "Beek", "Anna", date(2026, 3, 1), None])
    sheet.append([31234568, "van, Lee", "Bo", None, "-"])
    sheet["A1"].font = Font(bold=True)
    sheet["E2"].number_format = "0.00"
    sheet.column_dimensions["B"].width = 33
    book.create_sheet("Notes")["A1"] = "=1+1"
    book.save(path)


def test_a_workbook_makes_a_roster_and_comes_back_with_points(tmp_path: Path) -> None:
    path = tmp_path / "list.xlsx"
    workbook(path)
    given = read_export(path)
    assert given.ids == ("31234567", "31234568")
    file = tmp_path / "class.csv"
    file.write_text(roster_text(given), encoding="utf-8")
    assert [one.id for one in read_roster(file).students] == ["31234567", "31234568"]
    titles = {"lamps": "Lamps", "drive": "Under way"}
    out = filled(given, {"31234567": {"lamps": 7.5, "drive": 40}}, titles)
    sheet, notes = load_workbook(io.BytesIO(out)).worksheets
    rows = [list(row) for row in sheet.iter_rows(values_only=True)]
    assert rows[0] == ["Student ID", "Last name", "First name", "Seen", "Lamps (Points)",
                       "Under way"]  # fmt: skip
    assert rows[1][:3] == [31234567, "Beek", "Anna"] and rows[1][4:] == [7.5, 40]
    assert rows[2][:2] == [31234568, "van, Lee"] and rows[2][4:] == ["-", None]
    assert sheet["A1"].font.bold and sheet["E2"].number_format == "0.00"
    assert sheet.column_dimensions["B"].width == 33 and notes["A1"].value == "=1+1"


def test_a_workbook_that_would_fill_the_memory_is_refused(tmp_path: Path) -> None:
    with zipfile.ZipFile(tmp_path / "list.xlsx", "w", zipfile.ZIP_DEFLATED) as pack:
        pack.writestr("xl/workbook.xml", b" " * (65 << 20))
    with pytest.raises(KitError, match="far more than a list"):
        read_export(tmp_path / "list.xlsx")


def test_an_address_that_stands_there_twice_is_told_once(tmp_path: Path) -> None:
    path = tmp_path / "list.csv"
    path.write_text("Username;Email\nanna;a@example.org\nbo;A@example.org\nbo;A@example.org\n",
                    encoding="utf-8")  # fmt: skip
    one, twice = read_export(path).doubtful
    assert one.startswith("row 3: 'bo' has the e-mail address of 'anna' in an earlier row, A@")
    assert "e-mail" not in twice and twice.startswith("row 4: 'bo' stands in an earlier row too")


def test_a_file_that_is_not_there_is_told_with_the_one_that_was_meant(tmp_path: Path) -> None:
    (tmp_path / "class.csv").write_text("id\nanna\n", encoding="utf-8")
    for read in (read_export, read_roster):
        with pytest.raises(KitError) as told:
            read(tmp_path / "clas.csv")
        assert "did you mean" in told.value.hint and "class.csv'" in told.value.hint
