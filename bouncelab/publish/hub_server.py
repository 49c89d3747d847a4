"""What a running JupyterHub takes from the kit: seats, each with its limits.

JupyterHub loads these classes by their names in the written settings.
"""

from __future__ import annotations

import asyncio
import os
import sys
from collections.abc import Callable
from pathlib import Path
from typing import ClassVar

from jupyterhub.spawner import LocalProcessSpawner, SimpleLocalProcessSpawner
from traitlets import Dict, Integer

from bouncelab.publish.hub_accounts import who_listens
from bouncelab.publish.lab import HOST, is_free

__all__ = ["OneAccountSeat", "Seat"]

_LOOK = 0.2  # s between two looks at who listens


class _Limits(LocalProcessSpawner):  # type: ignore[misc]
    """The limits of one seat; the system itself holds each process to them."""

    processes = Integer(help="Processes and threads of one student.").tag(config=True)
    processor_seconds = Integer(help="Of one process.").tag(config=True)
    file_bytes = Integer(help="Of one file.").tag(config=True)
    stand_back = Integer(5, help="How far the hub goes first.").tag(config=True)
    first_port = Integer(help="Seats listen from here on.").tag(config=True)
    teachers = Dict(help="Logins, each with its own environment.").tag(config=True)

    given: ClassVar[dict[str, int]] = {}

    async def start(self) -> tuple[str, int]:
        """Start the student's server, on a port that is no other seat's.

        Returns
        -------
        tuple of (str, int)
            Where it listens.
        """
        # A port that the system picks may be another program's again when, in a full
        # class, the server gets round to it seconds later.
        if self.first_port:
            self.port = self._own_port()
        where: tuple[str, int] = await super().start()
        return where

    def _own_port(self) -> int:
        others = {port for login, port in self.given.items() if login != self.user.name}
        port: int = self.given.get(self.user.name, self.first_port)
        while port in others or not is_free(HOST, port):
            port += 1
        self.given[self.user.name] = port
        return port

    def make_preexec_fn(self, name: str) -> Callable[[], None]:
        """Give what a new process does before it becomes the student's server.

        Parameters
        ----------
        name : str
            The account.

        Returns
        -------
        callable
            Becomes the account, then takes the limits on.
        """
        import resource

        become = super().make_preexec_fn(name)
        limits = [
            (resource.RLIMIT_DATA, self.mem_limit),
            (resource.RLIMIT_CPU, self.processor_seconds),
            (resource.RLIMIT_FSIZE, self.file_bytes),
            (resource.RLIMIT_NPROC, self.processes),
            (resource.RLIMIT_CORE, 1),
        ]
        wanted = [(kind, int(most)) for kind, most in limits if most]
        back = self.stand_back
        # What the teacher writes is for students; where they may not go is closed.
        mask = 0o022 if name in self.teachers else 0o027

        def begin() -> None:
            become()
            os.umask(mask)
            os.nice(back)
            for kind, most in wanted:
                resource.setrlimit(kind, (most, most))

        return begin

    def user_env(self, env: dict[str, str]) -> dict[str, str]:
        """Add what a seat needs to know.

        Parameters
        ----------
        env : dict
            The environment so far.

        Returns
        -------
        dict
            With names of this login filled in.
        """
        env = super().user_env(env)
        env.update(self.teachers.get(self.user.name, {}))
        env["PATH"] = os.pathsep.join(
            [str(Path(sys.executable).parent), env.get("PATH", os.defpath)]
        )
        return {key: each.replace("{login}", env["USER"]) for key, each in env.items()}


class Seat(_Limits):
    """A student's server as an account of its own: files are really apart."""

    async def start(self) -> tuple[str, int]:
        """Start the student's server, and see that it is the one that listens.

        Returns
        -------
        tuple of (str, int)
            Where it listens.

        Raises
        ------
        RuntimeError
            If another account's program was first on the port: it could pass itself
            off as the student's server. The next start takes another port.
        """
        import pwd

        where = await super().start()
        mine = pwd.getpwnam(self.user.name).pw_uid
        loop = asyncio.get_running_loop()
        end = loop.time() + 0.9 * self.start_timeout
        while loop.time() < end:
            owners = who_listens(where[1])
            if owners - {mine}:
                await self.stop(now=True)
                raise RuntimeError(f"port {where[1]} belongs to another account")
            if owners or await self.poll() is not None:
                break
            await asyncio.sleep(_LOOK)
        return where


class OneAccountSeat(_Limits, SimpleLocalProcessSpawner):  # type: ignore[misc]
    """All students' servers as one account: only pages are apart, files are not."""
