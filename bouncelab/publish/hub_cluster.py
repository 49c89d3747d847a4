"""The same classroom for a Kubernetes cluster: image, settings, shared volume.

For the chart of Zero to JupyterHub. The texts are loaded with JupyterHub's and
KubeSpawner's own classes by a test; on a cluster they were not run.
"""

from __future__ import annotations

import json
import re
from collections.abc import Mapping, Sequence
from pathlib import Path
from typing import Any

from bouncelab.errors import InputError
from bouncelab.places import write_whole
from bouncelab.publish.hub_people import Person, people_text
from bouncelab.publish.hub_roll import call_roll, keep_roll
from bouncelab.publish.hub_seat import LINKS
from bouncelab.publish.hub_settings import (
    FIRST_PAGE,
    GREETING,
    HAND_IN,
    LIMITS,
    Limits,
    lab_file,
    seat_file,
)
from bouncelab.worksheets.roster import Student

__all__ = ["write_cluster"]

_HUB = "/usr/local/etc/bouncelab"  # in the hub's pod
_PACKAGE = Path(__file__).resolve().parent.parent
# What lets people in needs no more of the kit than these.
_SOURCES = ("errors.py", "places.py", "publish/hub_people.py", "publish/hub_entry.py")
_IMAGE = re.compile(r"[a-z0-9][a-z0-9._/:-]*:[\w][\w.-]*")

_DOCKERFILE = """\
# Every student's seat. Build it in a clone of bouncelab:
#     docker build -t IMAGE -f FOLDER/Dockerfile .
FROM python:3.12-slim
COPY . /opt/bouncelab
RUN pip install --no-cache-dir "/opt/bouncelab[hub]" \\
 && useradd --uid 1000 --create-home student \\
 && mkdir /srv/bouncelab \\
 && ln -s "$(python -c 'from bouncelab.places import kit_folder as f; \\
print(f("data"))')" /srv/bouncelab/data
USER student
WORKDIR /home/student
CMD ["python", "-P", "-m", "bouncelab.publish.hub_seat"]
"""

_CLAIM = "bouncelab-class"
_VOLUME = f"""\
# What all students' pods share: boxes to hand in, and the teacher's files. It must be
# of a kind that several machines can write at a time.
apiVersion: v1
kind: PersistentVolumeClaim
metadata:
  name: {_CLAIM}
spec:
  accessModes: [ReadWriteMany]
  resources:
    requests:
      storage: 10Gi
"""

# A student's pod has only the own box in it; the teacher's has all of them.
_TEACHER = """\
import copy

def of_teacher(spawner):
    if spawner.user.name != {teacher!r}:
        return
    mounts = copy.deepcopy(spawner.volume_mounts)
    for each in mounts.values() if isinstance(mounts, dict) else mounts:
        if each["mountPath"] == {box!r}:
            each.update(mountPath={boxes!r}, subPath="hand-in")
        each.pop("readOnly", None)
    spawner.volume_mounts = mounts
    spawner.environment = {{**spawner.environment, **{environment!r}}}

c.KubeSpawner.pre_spawn_hook = of_teacher
"""


def write_cluster(
    folder: Path, students: Sequence[Student], *, image: str, limits: Limits = LIMITS
) -> dict[str, str]:
    """Write image, settings and volume for a cluster.

    Parameters
    ----------
    folder : pathlib.Path
        Where; closed to others, for the settings hold the list of who may enter.
    students : sequence of Student
        The class.
    image : str
        The image's name and tag, as the cluster will fetch it.
    limits : Limits, optional
        Of each student.

    Returns
    -------
    dict of str to str
        The codes that were made this time, by login.

    Raises
    ------
    BounceLabError
        If something cannot be used or written.
    """
    if not _IMAGE.fullmatch(image):
        raise InputError(
            what="the image",
            read=f"“{image}”",
            allowed="a name and a tag, such as registry.example/bouncelab:1",
            do="Give the name under which the cluster finds it.",
        )
    people, codes = call_roll(folder, students)
    keep_roll(folder, people, codes)
    values = cluster_values(people, image, limits)
    for name, text in {
        "values.yaml": _yaml(values),
        "Dockerfile": _DOCKERFILE,
        "volume.yaml": _VOLUME,
    }.items():
        write_whole(folder / name, text.encode())
        (folder / name).chmod(0o600)
    return codes


def cluster_values(
    people: Sequence[Person], image: str, limits: Limits
) -> dict[str, Any]:
    """Work out the chart's values.

    Parameters
    ----------
    people : sequence of Person
        Who may enter, the teacher first.
    image : str
        The image's name and tag.
    limits : Limits
        Of each student.

    Returns
    -------
    dict
        As the chart takes them.
    """
    teacher, name = people[0].login, image.rpartition(":")
    students = [each.login for each in people[1:] if each.secret]
    links = {"data": "/srv/bouncelab/data", "from-teacher": "/srv/from-teacher"}
    boxes = "/srv/hand-in"
    may = ["list:users!group=class", "read:users!group=class", "servers!group=class"]
    box = f"{boxes}/{{username}}"
    volume = {"name": "class", "persistentVolumeClaim": {"claimName": _CLAIM}}
    of_teacher = _TEACHER.format(
        teacher=teacher,
        box=box,
        boxes=boxes,
        environment={HAND_IN: "", LINKS: _links({**links, "hand-in": boxes})},
    )
    return {
        "hub": {
            "config": {
                "JupyterHub": {
                    "authenticator_class": "bouncelab.publish.hub_entry.ClassList",
                    "load_groups": {"class": {"users": students}},
                    "load_roles": [
                        {
                            "name": "looks-after-class",
                            "scopes": ["admin-ui", *may],
                            "users": [teacher],
                        }
                    ],
                    "cookie_max_age_days": 0.5,
                },
                "ClassList": {"people": f"{_HUB}/people.json", "allow_all": True},
            },
            "shutdownOnLogout": True,
            "templateVars": {"announcement_login": GREETING},
            "extraEnv": {"PYTHONPATH": _HUB},
            "extraFiles": _hub_files(people),
            "extraConfig": {"of-teacher": of_teacher},
        },
        "singleuser": {
            "image": {"name": name[0], "tag": name[2]},
            "cmd": ["python", "-P", "-m", "bouncelab.publish.hub_seat"],
            "defaultUrl": FIRST_PAGE,
            "startTimeout": 300,
            "memory": {"limit": 2 * limits.memory_bytes, "guarantee": "300M"},
            "cpu": {"limit": 1, "guarantee": 0.1},
            "extraEnv": {
                HAND_IN: box,
                LINKS: _links({**links, "hand-in": box}),
                "OMP_NUM_THREADS": "1",
                "OPENBLAS_NUM_THREADS": "1",
            },
            "extraFiles": {
                "server": {
                    "mountPath": "/etc/jupyter/jupyter_server_config.py",
                    "stringData": seat_file(limits, sockets=False),
                },
                "page": {
                    "mountPath": "/etc/jupyter/labconfig/"
                    "default_setting_overrides.json",
                    "stringData": lab_file(),
                },
            },
            "storage": {
                "capacity": "1Gi",
                "homeMountPath": "/home/student",
                "extraVolumes": [volume],
                "extraVolumeMounts": [
                    {
                        "name": "class",
                        "mountPath": box,
                        "subPath": "hand-in/{username}",
                    },
                    {
                        "name": "class",
                        "mountPath": "/srv/from-teacher",
                        "subPath": "from-teacher",
                        "readOnly": True,
                    },
                ],
            },
        },
        "cull": {"enabled": True, "timeout": limits.idle_seconds, "every": 120},
    }


def _links(links: Mapping[str, str]) -> str:
    """Write links so that only {username} is filled in by the cluster."""
    text = json.dumps(links).replace("{", "{{").replace("}", "}}")
    return text.replace("{{username}}", "{username}")


def _hub_files(people: Sequence[Person]) -> dict[str, dict[str, Any]]:
    """Give the files of the hub's pod: the list, and the kit's few that read it."""
    texts = {
        f"bouncelab/{name}": (_PACKAGE / name).read_text("utf-8") for name in _SOURCES
    }
    texts |= {"bouncelab/__init__.py": "", "bouncelab/publish/__init__.py": ""}
    texts["people.json"] = people_text(people)
    return {
        re.sub("[^a-z]", "-", name.lower()): {
            "mountPath": f"{_HUB}/{name}",
            "stringData": text or "# empty\n",
        }
        for name, text in texts.items()
    }


def _yaml(values: dict[str, Any]) -> str:
    import yaml

    class Dumper(yaml.SafeDumper):  # type: ignore[misc]
        """Long texts as they are, line by line."""

    def text(dumper: Any, value: str) -> Any:
        style = "|" if "\n" in value else None
        return dumper.represent_scalar("tag:yaml.org,2002:str", value, style=style)

    Dumper.add_representer(str, text)
    head = "# For Zero to JupyterHub: helm upgrade --install ... --values values.yaml\n"
    return head + str(yaml.dump(values, Dumper=Dumper, sort_keys=False, width=88))
