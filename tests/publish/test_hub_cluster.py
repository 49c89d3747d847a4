"""The settings for a cluster, loaded with the real classes; no cluster is run."""

import asyncio
import json
import os
import subprocess
import sys
from concurrent.futures import ThreadPoolExecutor
from types import SimpleNamespace

import pytest
import yaml
from kubespawner import KubeSpawner
from traitlets.config import Config

from bouncelab.cli import main
from bouncelab.errors import InputError
from bouncelab.publish.hub_cluster import write_cluster
from bouncelab.publish.hub_settings import LIMITS
from bouncelab.worksheets.roster import Student

CLASS = [Student("Ada Brook", "ada brook"), Student("Ben Carter", "ben carter")]
IMAGE = "registry.example/bouncelab:1"


@pytest.fixture(autouse=True)
def no_cluster(monkeypatch):
    """There is none to ask; all else is the spawner's own."""
    monkeypatch.setattr("kubespawner.spawner.load_config", lambda *_, **__: None)
    monkeypatch.setattr("kubespawner.spawner.shared_client", lambda *_, **__: None)


@pytest.fixture
def made(tmp_path):
    codes = write_cluster(tmp_path / "cluster", CLASS, image=IMAGE)
    text = (tmp_path / "cluster" / "values.yaml").read_text()
    return tmp_path / "cluster", codes, yaml.safe_load(text)


def spawner_of(values, login):
    """A student's spawner, set up as the chart does from these values."""
    seat, c = values["singleuser"], Config()
    c.KubeSpawner.image = f"{seat['image']['name']}:{seat['image']['tag']}"
    c.KubeSpawner.cmd = seat["cmd"]
    c.KubeSpawner.default_url = seat["defaultUrl"]
    c.KubeSpawner.start_timeout = seat["startTimeout"]
    c.KubeSpawner.mem_limit = seat["memory"]["limit"]
    c.KubeSpawner.mem_guarantee = seat["memory"]["guarantee"]
    c.KubeSpawner.cpu_limit = seat["cpu"]["limit"]
    c.KubeSpawner.cpu_guarantee = seat["cpu"]["guarantee"]
    c.KubeSpawner.environment = seat["extraEnv"]
    c.KubeSpawner.volumes = seat["storage"]["extraVolumes"]
    c.KubeSpawner.volume_mounts = seat["storage"]["extraVolumeMounts"]
    for text in values["hub"]["extraConfig"].values():
        exec(text, {"c": c})
    user = SimpleNamespace(
        name=login, escaped_name=login, id=1, url=f"/user/{login}/", server=None
    )
    return KubeSpawner(config=c, user=user, hub=None, _mock=True)


def pod_of(values, login):
    spawner = spawner_of(values, login)
    spawner.hub = SimpleNamespace(
        api_url="http://hub:8081/hub/api", base_url="/hub/", public_url=""
    )
    spawner.get_env = lambda: spawner._expand_env(spawner.environment)
    spawner.pre_spawn_hook(spawner)
    # On a thread of its own: tests in a browser leave a loop running on this one.
    with ThreadPoolExecutor(1) as executor:
        return executor.submit(asyncio.run, spawner.get_pod_manifest()).result()


def seat_of(pod):
    (container,) = pod.spec.containers
    mounts = {each.mount_path: each for each in container.volume_mounts}
    environment = {each.name: each.value for each in container.env}
    return container, mounts, environment


def test_a_students_pod_holds_the_own_box_and_reads_what_is_shared(made):
    _, _, values = made
    container, mounts, environment = seat_of(pod_of(values, "ada-brook"))

    assert container.image == IMAGE
    assert mounts["/srv/hand-in/ada-brook"].sub_path == "hand-in/ada-brook"
    assert mounts["/srv/from-teacher"].read_only is True
    assert len(mounts) == 2
    assert environment["BOUNCELAB_HAND_IN"] == "/srv/hand-in/ada-brook"
    links = json.loads(environment["BOUNCELAB_LINKS"])
    assert links == {
        "data": "/srv/bouncelab/data",
        "from-teacher": "/srv/from-teacher",
        "hand-in": "/srv/hand-in/ada-brook",
    }
    limit = container.resources.limits
    assert int(limit["memory"]) == 2 * LIMITS.memory_bytes


def test_the_teachers_pod_holds_all_boxes(made):
    _, _, values = made
    _, mounts, environment = seat_of(pod_of(values, "teacher"))

    assert mounts["/srv/hand-in"].sub_path == "hand-in"
    assert not mounts["/srv/from-teacher"].read_only
    assert environment["BOUNCELAB_HAND_IN"] == ""
    assert json.loads(environment["BOUNCELAB_LINKS"])["hand-in"] == "/srv/hand-in"
    _, again, _ = seat_of(pod_of(values, "ada-brook"))
    assert "/srv/hand-in" not in again


def test_the_hub_lets_in_by_code_with_no_more_of_the_kit_than_travels(made, tmp_path):
    _, codes, values = made
    pod = tmp_path / "pod"
    where = values["hub"]["extraEnv"]["PYTHONPATH"]
    for each in values["hub"]["extraFiles"].values():
        path = pod / each["mountPath"].removeprefix(where + "/")
        path.parent.mkdir(parents=True, exist_ok=True)
        path.write_text(each["stringData"])
    entry = values["hub"]["config"]["JupyterHub"]["authenticator_class"]
    module, name = entry.rsplit(".", 1)
    code = f"""
import asyncio, bouncelab
assert bouncelab.__file__.startswith({str(pod)!r}), bouncelab.__file__
from {module} import {name}
who = {name}(people={str(pod / "people.json")!r}, allow_all=True)
async def enter(name, code):
    print(await who.authenticate(None, dict(username=name, password=code)))
asyncio.run(enter("ada-brook", {codes["ada-brook"]!r}))
asyncio.run(enter("ada-brook", {codes["ben-carter"]!r}))
"""
    done = subprocess.run(
        [sys.executable, "-c", code],
        env={**os.environ, "PYTHONPATH": str(pod)},
        cwd=pod,
        capture_output=True,
        text=True,
    )
    assert done.stderr == ""
    assert done.stdout.split() == ["ada-brook", "None"]


def test_every_setting_of_the_hub_is_one_that_its_classes_know(made):
    from jupyterhub.app import JupyterHub

    from bouncelab.publish.hub_entry import ClassList

    config = made[2]["hub"]["config"]
    assert set(config) == {"JupyterHub", "ClassList"}
    for owner, names in (
        (JupyterHub, config["JupyterHub"]),
        (ClassList, config["ClassList"]),
    ):
        assert set(names) <= set(owner.class_traits(config=True))
    assert config["ClassList"]["people"] in [
        each["mountPath"] for each in made[2]["hub"]["extraFiles"].values()
    ]


def test_files_for_the_seats_are_python_and_json_that_load(made):
    files = made[2]["singleuser"]["extraFiles"]
    c = Config()
    exec(files["server"]["stringData"], {"get_config": lambda: c})

    assert c.FewKernels.most == LIMITS.notebooks
    assert "transport" not in c.KernelManager
    page = json.loads(files["page"]["stringData"])
    assert page["@jupyterlab/notebook-extension:tracker"]["kernelShutdown"] is True


def test_settings_hold_no_code_and_are_closed_to_others(made):
    folder, codes, _ = made
    text = (folder / "values.yaml").read_text()

    assert not any(code in text for code in codes.values())
    if os.name == "posix":
        assert (folder / "values.yaml").stat().st_mode & 0o077 == 0


def test_the_volume_is_the_one_that_pods_ask_for(made):
    folder, _, values = made
    volume = yaml.safe_load((folder / "volume.yaml").read_text())
    (asked,) = values["singleuser"]["storage"]["extraVolumes"]

    assert asked["persistentVolumeClaim"]["claimName"] == volume["metadata"]["name"]
    assert volume["spec"]["accessModes"] == ["ReadWriteMany"]


def test_the_recipe_of_the_image_installs_the_kit_and_starts_a_seat(made):
    lines = (made[0] / "Dockerfile").read_text().splitlines()

    assert "USER student" in lines
    assert json.loads(lines[-1].removeprefix("CMD ")) == made[2]["singleuser"]["cmd"]
    assert any('"/opt/bouncelab[hub]"' in line for line in lines)


@pytest.mark.parametrize("image", ["", "bouncelab", "Bad:1", "a:b c", "x:1\ny: 2"])
def test_an_image_without_name_and_tag_is_refused(tmp_path, image):
    with pytest.raises(InputError, match="allowed a name and a tag"):
        write_cluster(tmp_path, CLASS, image=image)


def test_the_command_says_that_it_was_not_run_on_a_cluster(tmp_path, capsys):
    (tmp_path / "class.txt").write_text("Ada Brook\n")
    words = ["hub", str(tmp_path / "c"), "--students", str(tmp_path / "class.txt")]

    assert main([*words, "--cluster", IMAGE]) == 1
    told = capsys.readouterr()
    assert told.out.strip() == str(tmp_path / "c" / "values.yaml")
    assert "never run on a cluster" in told.err
