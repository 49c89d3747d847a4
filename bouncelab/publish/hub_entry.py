"""Who may enter, as a running JupyterHub asks it.

On a cluster this file and the few that it needs travel without the rest of the kit.
"""

from __future__ import annotations

import asyncio
from collections.abc import Mapping
from pathlib import Path
from typing import Any

from jupyterhub.auth import Authenticator
from traitlets import Unicode

from bouncelab.publish.hub_people import Person, hashed, read_people, same_code

__all__ = ["ClassList"]

_NOBODY = hashed("")  # an unknown name takes as long as a wrong code


class ClassList(Authenticator):  # type: ignore[misc]
    """Lets in who stands in the list of people and knows their code.

    The list is read anew at each login, so that a student who was added can come in
    at once, and one who was taken out cannot.
    """

    people = Unicode(help="The list that bouncelab hub wrote.").tag(config=True)

    def _person(self, login: str) -> Person | None:
        known = read_people(Path(self.people))
        mine = (each for each in known if each.login == login and each.secret)
        return next(mine, None)

    async def authenticate(self, handler: Any, data: Mapping[str, str]) -> str | None:
        """Look at a name and a code.

        Parameters
        ----------
        handler : tornado.web.RequestHandler
            Not used.
        data : mapping
            With ``username`` and ``password`` as they were typed.

        Returns
        -------
        str or None
            The login, or None if they do not fit.
        """
        login = data["username"].strip().lower()
        person = self._person(login)
        kept = person.secret if person else _NOBODY
        # The hub goes on answering others meanwhile.
        fits = await asyncio.to_thread(same_code, data["password"], kept)
        return login if person and fits else None

    async def refresh_user(self, user: Any, handler: Any = None, **_: Any) -> bool:
        """Tell whether somebody who came in before still stands in the list.

        Parameters
        ----------
        user : jupyterhub.user.User
            Who.
        handler : tornado.web.RequestHandler, optional
            Not used.
        **_ : object
            What newer hubs pass.

        Returns
        -------
        bool
            Whether they may stay.
        """
        return self._person(user.name) is not None
