"""The texts of a room's settings, for JupyterHub and for each student's server."""

from __future__ import annotations

import json
import sys
from dataclasses import dataclass
from pathlib import Path
from typing import Any

from bouncelab.publish.hub_seat import LINKS
from bouncelab.publish.lab import SETTINGS
from bouncelab.reports.server_size import NOTEBOOKS, SHARE

__all__ = ["LIMITS", "Limits", "hub_file", "lab_file", "seat_file", "service_file"]

FIRST_PAGE = "/lab/tree/notebooks/01_drop_lab.ipynb"
HAND_IN = "BOUNCELAB_HAND_IN"
GREETING = "Username is the login on your slip, and password is the code."


@dataclass(frozen=True, slots=True)
class Limits:
    """What one student may take of the machine.

    Attributes
    ----------
    memory_bytes, processor_seconds, file_bytes : int
        Of each of a student's processes: memory of its own, time of a processor, and
        the size of one file.
    notebooks, processes : int
        Notebooks that run at a time; processes and threads in all.
    idle_seconds : int
        After which a seat that nobody uses is closed. Entries stay.
    """

    memory_bytes: int = 1_000_000_000
    processor_seconds: int = 3600
    file_bytes: int = 200_000_000
    notebooks: int = NOTEBOOKS
    processes: int = 300
    idle_seconds: int = 3600


LIMITS = Limits()


def hub_file(
    folder: Path,
    *,
    port: int,
    address: str,
    students: list[str],
    teacher: str,
    apart: bool,
    limits: Limits,
) -> str:
    """Write JupyterHub's own file.

    Parameters
    ----------
    folder : pathlib.Path
        The room.
    port : int
        Where pages are asked for.
    address : str
        Of this machine.
    students : list of str
        Logins.
    teacher : str
        The teacher's.
    apart : bool
        Whether each student has an account.
    limits : Limits
        Of each student.

    Returns
    -------
    str
        Python, one setting a line.
    """
    private, data = folder / "private", str(folder / "shared" / "data")
    links = {"data": data, "from-teacher": str(folder / "shared" / "from-teacher")}
    box = str(folder / "hand-in" / "{login}")
    seat = "Seat" if apart else "OneAccountSeat"
    environment = {
        HAND_IN: box,
        LINKS: json.dumps({**links, "hand-in": box}),
        "JUPYTER_CONFIG_PATH": str(folder / "jupyter"),
        "JUPYTER_RUNTIME_DIR": str(folder / "homes" / "{login}" / ".kernels"),
        "JUPYTER_PREFER_ENV_PATH": "1",
        # One calculation on one core: thirty of them share what there is.
        "OMP_NUM_THREADS": "1",
        "OPENBLAS_NUM_THREADS": "1",
    }
    of_teacher = {
        HAND_IN: "",
        LINKS: json.dumps({**links, "hand-in": str(folder / "hand-in")}),
    }
    may = ["list:users!group=class", "read:users!group=class", "servers!group=class"]
    settings: dict[str, Any] = {
        "JupyterHub.bind_url": f"http://{address}:{port}",
        "JupyterHub.hub_ip": "127.0.0.1",
        "JupyterHub.hub_port": port + 1,
        "ConfigurableHTTPProxy.api_url": f"http://127.0.0.1:{port + 2}",
        "ConfigurableHTTPProxy.command": [
            *(sys.executable, "-c"),
            "from configurable_http_proxy.cli import main; main()",
        ],
        "ConfigurableHTTPProxy.pid_file": str(private / "proxy.pid"),
        "JupyterHub.db_url": f"sqlite:///{private / 'jupyterhub.sqlite'}",
        "JupyterHub.cookie_secret_file": str(private / "cookie_secret"),
        "JupyterHub.cookie_max_age_days": 0.5,
        "JupyterHub.shutdown_on_logout": True,
        "JupyterHub.concurrent_spawn_limit": 0,  # a whole class comes at once
        "JupyterHub.template_vars": {"announcement_login": GREETING},
        "JupyterHub.authenticator_class": "bouncelab.publish.hub_entry.ClassList",
        "ClassList.people": str(private / "people.json"),
        "ClassList.allow_all": True,  # of those on the list, with their code
        "JupyterHub.load_groups": {"class": {"users": students}},
        "JupyterHub.spawner_class": f"bouncelab.publish.hub_server.{seat}",
        # -P: a student's random.py must not be taken for Python's own.
        f"{seat}.cmd": [sys.executable, "-P", "-m", "bouncelab.publish.hub_seat"],
        f"{seat}.default_url": FIRST_PAGE,
        f"{seat}.disable_user_config": True,
        f"{seat}.first_port": port + 3,
        f"{seat}.start_timeout": 300,
        f"{seat}.http_timeout": 120,
        f"{seat}.environment": environment,
        f"{seat}.teachers": {teacher: of_teacher},
        f"{seat}.mem_limit": limits.memory_bytes,
        f"{seat}.processor_seconds": limits.processor_seconds,
        f"{seat}.file_bytes": limits.file_bytes,
        # Where all are one account, the count would be of all together.
        f"{seat}.processes": limits.processes if apart else 0,
    }
    if not apart:
        settings[f"{seat}.home_dir_template"] = str(folder / "homes" / "{username}")
    cull = [sys.executable, "-m", "jupyterhub_idle_culler"]
    cull += [f"--timeout={limits.idle_seconds}", "--cull-every=120"]
    roles = [
        {"name": "looks-after-class", "scopes": ["admin-ui", *may], "users": [teacher]},
        {
            "name": "closes-idle-seats",
            "scopes": [
                *("list:users", "read:users:activity"),
                *("read:servers", "delete:servers"),
            ],
            "services": ["idle-seats"],
        },
    ]
    settings["JupyterHub.load_roles"] = roles
    settings["JupyterHub.services"] = [{"name": "idle-seats", "command": cull}]
    lines = [
        '"""A classroom server; written by bouncelab hub, and anew each time it runs.',
        "",
        "Your own settings belong into own_config.py beside this file: they stay.",
        '"""',
        "",
        "import os",
        "",
        "c = get_config()",
        *(f"c.{name} = {value!r}" for name, value in settings.items()),
        f"if os.path.exists({str(folder / 'own_config.py')!r}):",
        f"    load_subconfig({str(folder / 'own_config.py')!r})",
    ]
    return "\n".join(lines) + "\n"


def seat_file(limits: Limits, *, sockets: bool = True) -> str:
    """Write the file for every student's notebook server.

    Parameters
    ----------
    limits : Limits
        Of each student.
    sockets : bool, optional
        Whether kernels talk through sockets in the student's own folder. Ports would
        let others on the machine listen to what a notebook shows.

    Returns
    -------
    str
        Python, one setting a line.

    Examples
    --------
    >>> "FewKernels.most = 4" in seat_file(LIMITS)
    True
    """
    settings: dict[str, Any] = {
        "ServerApp.kernel_manager_class": "bouncelab.publish.hub_seat.FewKernels",
        "FewKernels.most": limits.notebooks,
        "FewKernels.cull_idle_timeout": limits.idle_seconds // 2,
        "FewKernels.cull_interval": 120,
        "ServerApp.terminals_enabled": False,
        # It looks for language servers, which nobody here types code for.
        "ServerApp.jpserver_extensions": {"jupyter_lsp": False},
        "LabApp.extension_manager": "readonly",
    }
    if sockets:
        settings["KernelManager.transport"] = "ipc"
    lines = [f"c.{name} = {value!r}" for name, value in settings.items()]
    return "\n".join(["c = get_config()", *lines]) + "\n"


def lab_file() -> str:
    """Write the page's defaults: those of the kit, and closed tabs end notebooks.

    Returns
    -------
    str
        JSON.
    """
    tracker = "@jupyterlab/notebook-extension:tracker"
    ours = {**SETTINGS, tracker: {**SETTINGS[tracker], "kernelShutdown": True}}
    return json.dumps(ours, indent=1)


def service_file(folder: Path) -> str:
    """Write the unit with which systemd keeps the hub running.

    Parameters
    ----------
    folder : pathlib.Path
        The room.

    Returns
    -------
    str
        The unit; it leaves a tenth of the memory to the rest of the machine.
    """
    return f"""[Unit]
Description=bouncelab classroom server
After=network.target

[Service]
WorkingDirectory={folder}
ExecStart={sys.executable} -m jupyterhub -f {folder}/jupyterhub_config.py
KillMode=mixed
TimeoutStopSec=120
MemoryMax={100 * SHARE:.0f}%
TasksMax=20000
Restart=on-failure

[Install]
WantedBy=multi-user.target
"""
