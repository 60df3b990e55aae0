"""Login: the codes that a class comes in with, and the page on which each changes theirs."""

from __future__ import annotations

import dbm
from pathlib import Path
from typing import Any

from firstuseauthenticator import FirstUseAuthenticator
from firstuseauthenticator.firstuseauthenticator import CustomLoginHandler
from jupyterhub.handlers import BaseHandler
from tornado import web
from traitlets import Unicode

from .codes import GONE, read_codes

__all__ = ["PAGES", "ClassCodes"]

PAGES = str(Path(__file__).parent / "pages")
"""The hub's own pages, in this kit's words."""
_LONGEST = 72
"""The bytes of a code that bcrypt takes (the package's own page, 5.0)."""
_FIELDS = (("now", "Your code of now", "current"), ("code", "The new one", "new"),
           ("again", "The new one once more", "new"))  # fmt: skip


class ClassCodes(FirstUseAuthenticator):  # type: ignore[misc]
    """Names and codes of a class, as they stand on the slips."""

    codes = Unicode(help="The file of codes.").tag(config=True)

    def _code_of(self, user: str) -> str:
        """Give the code on somebody's slip; "" for who is in the class no more."""
        return next((one.code for one in read_codes(Path(self.codes))
                     if one.user == user and one.role != GONE), "")  # fmt: skip

    def _user_exists(self, username: str) -> bool:
        """Tell whether somebody is in the class, also when the hub was just told to forget them.

        Who has no code yet, since the hub has not looked, does not come in: whoever came first
        would choose it.
        """
        with dbm.open(self.dbm_path, "c", 0o600) as kept:
            return username.encode() in kept and bool(self._code_of(username))

    def delete_user(self, user: Any) -> None:
        """Forget the code that somebody has chosen: that of the slip holds again, from now on."""
        super().delete_user(user)
        if code := self._code_of(user.name):
            self.reset_password(user.name, code)

    async def authenticate(self, handler: Any, data: dict[str, str]) -> str | None:
        """Give whose name and code these are, or None.

        A telephone begins with a capital letter and ends with a space.  So what is no code as it
        stands is tried in small letters, as the slips have them and as `change` keeps them.
        """
        for code in dict.fromkeys((data["password"], data["password"].strip().lower())):
            if len(code.encode()) <= _LONGEST:
                typed = {**data, "username": data["username"].strip(), "password": code}
                if name := await super().authenticate(handler, typed):
                    return str(name)
        return None

    async def change(self, handler: Any, user: str, now: str, code: str, again: str) -> str:
        """Put a new code in the place of a learner's; give why not, "" if it was done.

        It is kept in small letters, so that a capital does no harm when it is typed later, as in a
        slip's.  That makes it a little easier to guess; what is asked of its length stays.

        Args:
            handler: The page that asks.
            user: Whose code.
            now: The code of now.
            code: The new one.
            again: The new one once more.
        """
        code, again = code.lower(), again.lower()
        if code != again:
            return "The two new ones are not the same. Nothing was changed; type both once more."
        fits = len(code.encode()) <= _LONGEST and self._validate_password(code)
        if code != code.strip() or not fits:
            return (f"A code has {self.min_password_length} to {_LONGEST} letters, and no space at"
                    " either end. Nothing was changed.")  # fmt: skip
        if await self.authenticate(handler, {"username": user, "password": now}) != user:
            return ("That is not your code of now. Nothing was changed. If you have forgotten it,"
                    " tell your teacher.")  # fmt: skip
        self.reset_password(user, code)
        return ""

    def get_handlers(self, app: Any) -> list[tuple[str, type]]:
        """Give the two pages: to log in, and to change the code."""
        return [("/login", CustomLoginHandler), ("/auth/change-password", _CodePage)]


class _CodePage(BaseHandler):  # type: ignore[misc]
    """Lets whoever has logged in change their code."""

    @web.authenticated
    async def get(self) -> None:
        """Show it."""
        await self._show()

    @web.authenticated
    async def post(self) -> None:
        """Change the code, and say so, or why not."""
        typed = [self.get_body_argument(name, "", strip=False) for name, *_ in _FIELDS]
        trouble = await self.authenticator.change(self, self.current_user.name, *typed)
        self.set_status(400 if trouble else 200)
        done = "Your code is changed: from now on you log in with the new one."
        await self._show(trouble or done, done=not trouble)

    async def _show(self, said: str = "", *, done: bool = False) -> None:
        self.finish(await self.render_template(
            "code.html", said=said, done=done, fields=_FIELDS,
            shortest=self.authenticator.min_password_length,
        ))  # fmt: skip
