from __future__ import annotations

from datetime import UTC, datetime
from pathlib import Path

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from checks.course import roster as roster_module
from checks.course.roster import Roster, read_roster
from robotsim import KitError
from robotsim.live.access import GUEST, OFFICE

GOOD = """\
id,name,email,serial,lamps
*,,,,2026-03-31T12:00+00:00
anna,Anna van der Beek,anna@example.org,3,
bo-lee,,,,2026-04-02T12:00+00:00
"""


def roster(tmp_path: Path, text: str | bytes) -> Roster:
    path = tmp_path / "class.csv"
    path.write_bytes(text.encode() if isinstance(text, str) else text)
    return read_roster(path)


def test_learners_serials_and_dates_are_read(tmp_path: Path) -> None:
    found = roster(tmp_path, GOOD)
    anna, bo = found.students
    assert (anna.first_name, anna.last_name, anna.serial) == ("Anna van der", "Beek", 3)
    assert (bo.id, bo.name, bo.serial) == ("bo-lee", "bo-lee", None)
    assert found.due == {"lamps": datetime(2026, 3, 31, 12, tzinfo=UTC)}
    assert bo.due == {"lamps": datetime(2026, 4, 2, 12, tzinfo=UTC)} and not anna.due


def test_a_learner_may_be_marked_on_held_out_tables(tmp_path: Path) -> None:
    ada, ben = roster(tmp_path, "id,variant,serial\nada,3,12\nben,,\n").students
    assert (ada.variant, ada.serial, ben.variant) == (3, 12, None)


def test_a_day_lasts_until_its_end_here(tmp_path: Path) -> None:
    found = roster(tmp_path, "id,lamps\n*,2026-03-30\nanna,2026-03-31\n")
    local = found.students[0].due["lamps"].astimezone()
    assert (local.day, local.hour, local.minute) == (31, 23, 59)


@pytest.mark.parametrize(
    ("written", "iso"),
    [("04.12.2026", "2026-12-04"), ("4.12.26", "2026-12-04"),
     ("04.12.2026 18:00", "2026-12-04 18:00"), ("4.12.2026, 9:05:00", "2026-12-04 09:05")],
)  # fmt: skip
def test_a_german_spreadsheets_days_are_read(written: str, iso: str, tmp_path: Path) -> None:
    """Its short date is `dd.MM.yy` (Unicode CLDR, German); a cell's own is `TT.MM.JJJJ hh:mm`."""
    rows = f"id;joined;lamps\n*;;2026-01-01\nanna;{written};{written}\n"
    assert roster(tmp_path, rows) == roster(tmp_path, rows.replace(written, iso))


def test_a_platforms_list_is_known_as_one(tmp_path: Path) -> None:
    lists = ("Vorname;Nachname;Anmeldename\nAnna;Beek;anna\n", "ID;Student;Points\n7;Anna;\n",
             "Given name,Last name,Email address\nAnna,Beek,anna@example.org\n")  # fmt: skip
    for text in lists:
        with pytest.raises(KitError, match="list of a learning platform") as caught:
            roster(tmp_path, text)
        assert 'python3 checks roster "class.csv"' in caught.value.hint
    with pytest.raises(KitError, match="'vorname'; did you mean 'first_name'?"):
        roster(tmp_path, "id,vorname,serial\nanna,Anna,3\n")


def test_a_date_of_ones_own_needs_one_for_everybody(tmp_path: Path) -> None:
    """nbgrader reckons lateness from everybody's date: without one nobody would be late."""
    with pytest.raises(KitError, match=r"line 2: 'anna' has a date for 'lamps'.*row \*"):
        roster(tmp_path, "id,lamps\nanna,2026-03-31\n")


@pytest.mark.parametrize(
    "text",
    [
        GOOD.replace(",", ";"),
        GOOD.replace(",", "\t"),
        "\ufeff" + GOOD,
        "\n\n" + GOOD,
        GOOD.replace("\n", "\r\n"),
        GOOD + "\n,,,,\n",
        GOOD.replace("id,name", "ID , Name"),
    ],
)
def test_what_spreadsheets_write_is_read(text: str, tmp_path: Path) -> None:
    assert roster(tmp_path, text) == roster(tmp_path, GOOD)


def test_letters_of_a_western_spreadsheet_are_read(tmp_path: Path) -> None:
    found = roster(tmp_path, "id,name\nzoe,Zoë Müller\n".encode("cp1252"))
    assert found.students[0].name == "Zoë Müller"


BAD = {
    "no id": ("id,name\n,Anna\n", "line 2: no id"),
    "an id with a slash": ("id\n../x\n", "line 2: '../x' is no id"),
    "an id in other letters": ("id\nanna\nжук\n", "line 3: 'жук' is no id"),
    "an id that is no folder": ("id\ncon\n", "line 2: 'con' cannot be a folder's name"),
    "the office's name": ("id\nOffice\n", "line 2: 'Office' is a user of every class's broker"),
    "the guest's name": ("id\nguest\n", "line 2: 'guest' is a user"),
    "an id twice": ("id\nanna\nbo\nAnna\n", "line 4: 'Anna' is in line 2 already"),
    "a serial": ("id,serial\nanna,-3\n", "line 2: '-3' is no serial number"),
    "a variant": ("id,variant\nanna,other\n", "line 2: 'other' is no variant of the tables"),
    "a long serial": ("id,serial\nanna," + "9" * 5000 + "\n", "is no serial number"),
    "an address": ("id,email\nanna,at home\n", "line 2: 'at home' is no e-mail address"),
    "a date": ("id,lamps\nanna,31.3.\n", "line 2: '31.3.' under 'lamps' is no date"),
    "a word for excused": ("id,lamps\nanna,entschuldigt\n", "; or `excused`"),
    "an id twice, and more": ("id,serial\nanna,x\nanna,3\n", "line 3: 'anna' is in line 2"),
    "a day with a month 13": ("id,lamps\nanna,04.13.2026\n", "is no date"),
    "a day that is none": ("id,lamps\nanna,2026-02-30\n", "is no date"),
    "a cell too many": ("id,serial\nanna,3,4\n", "line 2: it has 1 cell more"),
    "a column misspelt": ("id,seriel\nanna,3\n", "line 1: there is no column called 'seriel'"),
    "a column twice": ("id,id\nanna,x\n", "line 1: the column 'id' is there twice"),
    "no column id": ("name\nanna\n", "line 1: a column called 'id' is missing"),
    "a day of coming for everybody": ("id,joined\n*,2026-03-01\nanna,\n", "line 2: 'joined' is"),
    "a day of going for everybody": ("id,left\n*,2026-03-01\nanna,\n", "line 2: 'left' is each"),
    "a tug for everybody": ("id,serial\n*,3\nanna,\n", "line 2: 'serial' is each learner's own"),
    "gone before coming": ("id,joined,left\nanna,2026-03-02,2026-03-01\n", "line 2: the day in"),
    "nobody": ("id\n", "holds no learner"),
    "nothing": ("", "is empty"),
    "a date far away": ("id,lamps\nanna,9999-12-31\n", "line 2: '9999-12-31' under 'lamps'"),
    "a date long ago": ("id,lamps\nanna,0001-01-01\n", "is no date"),
    "a cell without end": ("id,name\nanna,A\nbo," + "x" * 140_000 + "\n", "line 3: a cell has"),
    "a heading without end": ("id," + "x" * 140_000 + "\nanna,\n", "its first row is wrong"),
    "a script for an address": ("id,email\nanna,<script>@x\n", "is no e-mail address"),
    "null characters": ("\0\0\n", "is empty"),
}


@pytest.mark.parametrize("name", BAD)
def test_a_bad_row_is_named_with_its_line(name: str, tmp_path: Path) -> None:
    text, words = BAD[name]
    with pytest.raises(KitError) as caught:
        roster(tmp_path, text)
    assert words in str(caught.value) and "class.csv" in str(caught.value)


def test_all_bad_rows_are_named_at_once(tmp_path: Path) -> None:
    with pytest.raises(KitError, match="3 things are wrong") as caught:
        roster(tmp_path, "id,serial\n/,1\nanna,x\nbo,2\nbo,3\n")
    assert all(f"line {line}:" in str(caught.value) for line in (2, 3, 5))


def test_bad_headings_and_bad_rows_are_named_together(tmp_path: Path) -> None:
    with pytest.raises(KitError, match="3 things are wrong") as caught:
        roster(tmp_path, "id,seriel,lamps\nanna,3,soon\n/,4,\n")
    assert all(f"line {line}:" in str(caught.value) for line in (1, 2, 3))


def test_a_file_that_is_not_there_is_told(tmp_path: Path) -> None:
    with pytest.raises(KitError, match="cannot be read"):
        read_roster(tmp_path / "none.csv")


SIGNS = {"a vertical tab": "\x0b", "a form feed": "\x0c", "a separator": "\x1c",
         "a next line": "\x85",
         "a line separator": "\u2028", "a paragraph separator": "\u2029"}  # fmt: skip


@pytest.mark.parametrize("sign", SIGNS.values(), ids=SIGNS)
def test_no_sign_in_a_name_makes_a_learner_up(sign: str, tmp_path: Path) -> None:
    """Each of them is a line break to `str.splitlines`, and to no spreadsheet."""
    found = roster(tmp_path, f"id,name\nanna,Anna{sign}eve,Eve\n".replace("eve,Eve", "eve"))
    assert [s.id for s in found.students] == ["anna"]
    assert found.students[0].name.isprintable()
    with pytest.raises(KitError, match="line 2: it has 1 cell more"):
        roster(tmp_path, f"id,name\nanna,Anna{sign}eve,Eve\n")


def test_a_name_enters_as_one_that_does_nothing_on_a_page(tmp_path: Path) -> None:
    """The form grader prints names as they are."""
    rows = 'id,first_name,last_name\nanna,"Anna<script>x()</script>","Beek\x1b[2J&amp;"\n'
    (anna,) = roster(tmp_path, rows).students
    assert not set("<>&\"\x1b") & set(anna.name)
    assert anna.first_name == "Anna＜script＞x()＜/script＞"


@pytest.mark.parametrize("code", ["utf-16", "utf-16-le", "utf-16-be"])
def test_a_roster_in_utf_16_is_read(code: str, tmp_path: Path) -> None:
    text = GOOD.replace("Anna van der Beek", "Zoë 李")
    assert roster(tmp_path, text.encode(code)) == roster(tmp_path, text)


CELLS = st.one_of(
    st.sampled_from(["anna", "bo", "*", "3", "2026-03-31", "9999-12-31", '"', "", "\x0b", "\n"]),
    st.text(max_size=12), st.text("az09._-", min_size=1, max_size=6),
)  # fmt: skip


@settings(deadline=None, max_examples=100)
@given(rows=st.lists(st.lists(CELLS, max_size=5), max_size=6), raw=st.binary(max_size=80),
       code=st.sampled_from(["utf-8", "utf-16", "cp1252"]), which=st.booleans())  # fmt: skip
def test_any_file_is_a_class_or_one_clear_error(
    rows: list[list[str]], raw: bytes, code: str, which: bool,
    tmp_path_factory: pytest.TempPathFactory,
) -> None:  # fmt: skip
    text = "id,name,email,serial,lamps\n" + "\n".join(",".join(row) for row in rows)
    data = raw if which else text.encode(code, "replace")
    path = tmp_path_factory.getbasetemp() / "any.csv"
    path.write_bytes(data)
    try:
        found = read_roster(path)
    except KitError as fault:
        assert "any.csv" in str(fault)
        return
    assert len({s.id.lower() for s in found.students}) == len(found.students) > 0
    for one in found.students:
        assert one.name.isprintable() and not set("<>&") & set(one.name + one.email)


def test_an_error_in_the_row_for_everybody_brings_no_false_alarm(tmp_path: Path) -> None:
    """Its dates were not read then, and every learner with a date was told to have no other."""
    with pytest.raises(KitError) as fault:
        roster(tmp_path, "id,variant,lamps\n*,other,2026-03-01\nanna,,2026-03-02\n")
    assert "1 thing is wrong" in str(fault.value) and "line 2: 'other'" in str(fault.value)


def test_no_learner_is_called_as_a_user_of_the_broker() -> None:
    assert {GUEST, OFFICE} == roster_module._TAKEN


def test_email_may_be_headed_with_a_hyphen(tmp_path: Path) -> None:
    (anna,) = roster(tmp_path, "id,E-Mail\nanna,anna@example.org\n").students
    assert anna.email == "anna@example.org"
