"""Somebody at a browser of the classroom server, by the requests that a page makes."""

import json
import time
import uuid
from http import HTTPStatus

import requests
import websocket

PATIENCE = 150.0


class Guest:
    """One person, logged in or not; `page` and `api` are what their browser asks."""

    def __init__(self, base, login, code):
        self.base, self.login, self.code = base, login, code
        self.session = requests.Session()
        self.session.trust_env = False  # no proxy between this machine and itself
        self.kernels = []

    def log_in(self):
        """Fill in the form; say whether it opened."""
        self.session.get(f"{self.base}/hub/login", timeout=60)
        form = {"username": self.login, "password": self.code}
        form["_xsrf"] = self.session.cookies.get("_xsrf", path="/hub/")
        answer = self.session.post(
            f"{self.base}/hub/login?next=%2Fhub%2Fhome",
            data=form,
            timeout=60,
        )
        return answer.status_code == HTTPStatus.OK

    def sit_down(self):
        """Open the first page and wait until the own server shows it."""
        self.session.get(f"{self.base}/hub/spawn", timeout=60).raise_for_status()
        end = time.monotonic() + PATIENCE
        while time.monotonic() < end:
            answer = self.page(self.login, "lab/tree/notebooks/01_drop_lab.ipynb")
            if answer.ok and f"/user/{self.login}/lab" in answer.url:
                return
            time.sleep(0.5)
        raise TimeoutError(f"{self.login}: {answer.status_code} at {answer.url}")

    def page(self, login, path):
        return self.session.get(f"{self.base}/user/{login}/{path}", timeout=60)

    def api(self, method, what, login=None, base=None, **body):
        """Ask a server's own interface, this person's or somebody else's."""
        prefix = f"/user/{login or self.login}/"
        mine = self.session.cookies.get("_xsrf", path=f"/user/{self.login}/")
        return self.session.request(
            method,
            f"{base or self.base}{prefix}api/{what}",
            headers={"X-XSRFToken": mine or ""},
            json=body or None,
            timeout=60,
        )

    def hub(self, method, what):
        """Ask the hub itself, as its own pages do."""
        mine = self.session.cookies.get("_xsrf", path="/hub/")
        return self.session.request(
            method,
            f"{self.base}/hub/api/{what}",
            headers={"X-XSRFToken": mine or "", "Referer": f"{self.base}/hub/admin"},
            timeout=60,
        )

    def read(self, path):
        """Give what a file in the own home holds."""
        answer = self.api("GET", f"contents/{path}?format=text&type=file")
        answer.raise_for_status()
        return answer.json()["content"]

    def open_notebook(self, path):
        """Start the notebook's kernel, as the page does; give a `Kernel`."""
        answer = self.api(
            "POST",
            "sessions",
            path=path,
            name=path,
            type="notebook",
            kernel={"name": "python3"},
        )
        answer.raise_for_status()
        self.kernels.append(Kernel(self, answer.json()["kernel"]["id"]))
        return self.kernels[-1]

    def close(self):
        for kernel in self.kernels:
            kernel.close()
        self.session.close()


class Kernel:
    """A line to a running kernel."""

    def __init__(self, guest, number):
        self.session = uuid.uuid4().hex
        way = f"{guest.base}/user/{guest.login}/api/kernels/{number}/channels"
        jar = guest.session.cookies
        cookies = [f"{each.name}={each.value}" for each in jar if _sent(each, way)]
        self.line = websocket.create_connection(
            f"ws{way.removeprefix('http')}?session_id={self.session}",
            cookie="; ".join(cookies),
            origin=guest.base,
            timeout=PATIENCE,
        )

    def close(self):
        self.line.close()

    def send(self, kind, content, channel="shell"):
        header = {
            "msg_id": uuid.uuid4().hex,
            "msg_type": kind,
            "session": self.session,
            "username": "",
            "version": "5.4",
            "date": "2026-11-25T00:00:00Z",
        }
        message = {
            "header": header,
            "parent_header": {},
            "metadata": {},
            "content": content,
            "channel": channel,
            "buffers": [],
        }
        self.line.send(json.dumps(message))
        return header["msg_id"]

    def messages(self, number):
        """Give what comes back on one message, until the kernel is idle again."""
        while True:
            message = json.loads(self.line.recv())
            if message["parent_header"].get("msg_id") != number:
                continue
            yield message
            idle = message["content"].get("execution_state") == "idle"
            if message["msg_type"] == "status" and idle:
                return

    def run(self, code):
        """Run code; give every message that came back."""
        content = {"code": code, "silent": False, "stop_on_error": True}
        content |= {"store_history": True, "user_expressions": {}, "allow_stdin": False}
        return list(self.messages(self.send("execute_request", content)))

    def say(self, code):
        """Run code; give what it printed, or its error's name and words."""
        said = []
        for each in self.run(code):
            content = each["content"]
            if each["msg_type"] == "stream":
                said.append(content["text"])
            elif each["msg_type"] == "error":
                said.append(f"{content['ename']}: {content['evalue']}")
        return "".join(said).strip()


def _sent(cookie, way):
    path = "/" + way.split("/", 3)[3]
    return path.startswith(cookie.path)
