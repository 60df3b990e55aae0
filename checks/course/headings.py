"""Headings: what a column of a platform's list is, in many languages.

They are plain words for these things (invented list, to be made longer).
"""

from __future__ import annotations

import re
import unicodedata

__all__ = ["WITH_POINT", "meaning", "plain"]

_HEADS = {
    "id": "id, user name, username, login, student number, student id, benutzername, anmeldename, "
          "matrikelnummer, identifiant, nom d'utilisateur, usuario, nombre de usuario, "
          "nome utente, matricola, gebruikersnaam, studentnummer, nazwa użytkownika, "
          "käyttäjätunnus",
    "first_name": "first name, given name, vorname, prénom, nombre, nome, voornaam, imię, förnamn, "
                  "fornavn, etunimi, имя, όνομα, 名",
    "last_name": "last name, surname, family name, nachname, familienname, nom, nom de famille, "
                 "apellidos, apellido, apellido(s), cognome, sobrenome, achternaam, nazwisko, "
                 "efternamn, etternavn, sukunimi, фамилия, επώνυμο, 姓",
    "name": "name, full name, student, student name, vollständiger name, nom complet, "
            "nom et prénom, nombre completo, nome completo, volledige naam, naam, фио, 姓名, 氏名",
    "email": "email, e-mail, mail, email address, e-mail address, e-mail-adresse, adresse e-mail, "
             "adresse de courriel, courriel, dirección de correo, correo electrónico, correo, "
             "indirizzo email, e-mailadres, adres e-mail, эл. почта, 邮箱",
}  # fmt: skip
"""What a column is, and what platforms call it: English, German, French, Spanish, Italian,
Portuguese, Dutch, Polish, Swedish, Norwegian, Finnish, Russian, Greek, Chinese, Japanese."""
WITH_POINT = frozenset(
    head.strip() for head in (
        "id, user name, username, login, student number, student id, first name, given name, 名, "
        "last name, surname, family name, 姓, name, full name, student, student name, 姓名, 氏名, "
        "email, e-mail, mail, email address, e-mail address, 邮箱"
    ).split(", ")
)
"""Headings that say nothing for a decimal comma: English, Chinese and Japanese write a point, and
the others know some of these words too.  Source: Unicode CLDR, the decimal sign of each language's
numbers; all others above have the comma there."""
_KNOWN = {head.strip(): what for what, heads in _HEADS.items() for head in heads.split(", ")}


def plain(head: str) -> str:
    """Give a heading in small letters with single blanks."""
    return re.sub(r"[\s_]+", " ", unicodedata.normalize("NFC", head).strip().lower())


def meaning(head: str) -> str | None:
    """Give the column of a roster that a platform's heading means, or None."""
    return _KNOWN.get(plain(head))
