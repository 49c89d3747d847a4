"""What runs as a student: notebooks laid out fresh, then the notebook server."""

from __future__ import annotations

import json
import os
import sys
from contextlib import suppress
from pathlib import Path

from jupyter_server.services.kernels.kernelmanager import AsyncMappingKernelManager
from tornado.web import HTTPError
from traitlets import Integer

from bouncelab.errors import BounceLabError
from bouncelab.publish.desk import lay_out

__all__ = ["LINKS", "FewKernels", "set_out"]

LINKS = "BOUNCELAB_LINKS"  # what else stands in a home: JSON, names and places


class FewKernels(AsyncMappingKernelManager):  # type: ignore[misc]
    """Runs only so many notebooks at a time, so that one student leaves room."""

    most = Integer(4, help="Notebooks that run at a time.").tag(config=True)

    async def start_kernel(self, **options: object) -> str:
        """Start one more kernel, if there is room.

        Parameters
        ----------
        **options : object
            As for the class above.

        Returns
        -------
        str
            The kernel's number.

        Raises
        ------
        tornado.web.HTTPError
            429, with what to do, if there is none.
        """
        if len(self) >= self.most:
            raise HTTPError(
                429,
                f"{len(self)} notebooks are running, and no more than {self.most} may. "
                "Close one first: menu File, Close and Shut Down Notebook.",
                reason="Close another notebook first",
            )
        number: str = await super().start_kernel(**options)
        return number


def set_out(home: Path) -> list[str]:
    """Put the notebooks into a home, and links to what is shared.

    Parameters
    ----------
    home : pathlib.Path
        The student's own folder.

    Returns
    -------
    list of str
        What a person should know. A full disk or a file in the way keeps nobody
        from their work.

    Examples
    --------
    >>> from tempfile import TemporaryDirectory
    >>> with TemporaryDirectory() as place:
    ...     set_out(Path(place))
    ...     (Path(place) / "notebooks" / "01_drop_lab.ipynb").is_file()
    []
    True
    """
    for name, place in json.loads(os.environ.get(LINKS, "{}")).items():
        link = home / name
        with suppress(OSError):
            if link.is_symlink() and str(link.readlink()) != place:
                link.unlink()
            if not link.is_symlink():
                link.symlink_to(place, target_is_directory=True)
    try:
        return lay_out(home)[1]
    except BounceLabError as error:
        return [str(error)]


def main() -> None:
    """Lay out, then serve; for ``python -m bouncelab.publish.hub_seat``."""
    for line in set_out(Path.home()):
        print(line, file=sys.stderr)  # noqa: T201 - the hub's log
    from jupyterhub.singleuser import main as serve

    serve()


if __name__ == "__main__":
    main()
