"""yaml-language-server over stdio: the editor's side of it, as much as completion and hover take.

The protocol is Microsoft's Language Server Protocol 3.17 (from memory): messages of JSON, each behind a Content-Length header.
"""

from __future__ import annotations

import atexit
import json
import os
import re
import shutil
import subprocess
from functools import cache
from pathlib import Path
from typing import Any

import pytest

from support.front import ROOT

FOLDER = ROOT / "tests" / "language_server"
SERVER = FOLDER / "node_modules" / "yaml-language-server" / "bin" / "yaml-language-server"
NEW_FILE = (ROOT / "specs_demo" / "new" / "new.amp.yaml").as_uri()
"""Stands on no disk: the editor has it open before it is saved for the first time."""


class Editor:
    """One running server and the file it has open."""

    def __init__(self, node: str) -> None:
        self._process = subprocess.Popen([node, str(SERVER), "--stdio"], stdin=subprocess.PIPE, stdout=subprocess.PIPE)
        self._asked = 0
        self._version = 0
        item = {"snippetSupport": True, "documentationFormat": ["markdown"]}
        document = {"completion": {"completionItem": item}, "hover": {"contentFormat": ["markdown"]}}
        capabilities = {"workspace": {"configuration": True}, "textDocument": document}
        self._request("initialize", {"processId": os.getpid(), "rootUri": None, "capabilities": capabilities})
        self._send({"method": "initialized", "params": {}})

    def write(self, text: str) -> None:
        """Puts this text into the open file."""
        self._version += 1
        if self._version == 1:
            file = {"uri": NEW_FILE, "languageId": "yaml", "version": 1, "text": text}
            self._send({"method": "textDocument/didOpen", "params": {"textDocument": file}})
            return
        file = {"uri": NEW_FILE, "version": self._version}
        self._send({"method": "textDocument/didChange", "params": {"textDocument": file, "contentChanges": [{"text": text}]}})

    def complete(self, text: str) -> dict[str, str]:
        """What it offers at the end of this text: label -> its documentation as text."""
        self.write(text)
        answer = self._request("textDocument/completion", self._at(text))
        items = answer["items"] if isinstance(answer, dict) else answer or []
        return {item["label"]: _plain(item.get("documentation")) for item in reversed(items)}

    def hover(self, line: int, character: int) -> str:
        """What it shows over a place of the open file, without the backslashes of its Markdown."""
        position = {"line": line, "character": character}
        answer = self._request("textDocument/hover", {"textDocument": {"uri": NEW_FILE}, "position": position})
        return re.sub(r"\\(\W|_)", r"\1", _plain(answer["contents"])) if answer else ""

    def close(self) -> None:
        """Ends the server."""
        self._process.kill()
        self._process.wait()

    def _at(self, text: str) -> dict[str, Any]:
        line, _, last = text.rpartition("\n")
        place = {"line": line.count("\n") + (1 if "\n" in text else 0), "character": len(last)}
        return {"textDocument": {"uri": NEW_FILE}, "position": place}

    def _request(self, method: str, params: object) -> Any:
        self._asked += 1
        number = self._asked
        self._send({"id": number, "method": method, "params": params})
        while True:
            message = self._receive()
            if message.get("id") == number and "method" not in message:
                assert "error" not in message, message
                return message["result"]
            if "id" in message:  # it asks for its settings: all as they come, nothing from the network
                items = (message.get("params") or {}).get("items", [])
                settings = {"schemaStore": {"enable": False}, "completion": True, "hover": True}
                self._send({"id": message["id"], "result": [settings if i.get("section") == "yaml" else None for i in items]})

    def _send(self, message: dict[str, object]) -> None:
        body = json.dumps({"jsonrpc": "2.0", **message}).encode()
        assert self._process.stdin
        self._process.stdin.write(b"Content-Length: %d\r\n\r\n" % len(body) + body)
        self._process.stdin.flush()

    def _receive(self) -> dict[str, Any]:
        assert self._process.stdout
        length = 0
        while line := self._process.stdout.readline().strip():
            name, _, value = line.partition(b":")
            if name.lower() == b"content-length":
                length = int(value)
        assert length, "the server said nothing and ended"
        return json.loads(self._process.stdout.read(length))


def _plain(said: object) -> str:
    return str(said.get("value", "")) if isinstance(said, dict) else str(said or "")


@cache
def editor() -> Editor:
    """The editor of this process. Skips with its reason where node or the server is missing; fails in CI."""
    node = shutil.which("node")
    lacks = "node is not installed (apt-get install nodejs npm)" if node is None else ""
    lacks = lacks or ("" if SERVER.is_file() else f"yaml-language-server is not installed (npm ci --prefix {FOLDER.relative_to(ROOT)})")
    if lacks and os.environ.get("CI"):
        pytest.fail(lacks)
    if lacks or node is None:
        pytest.skip(lacks)
    found = Editor(node)
    atexit.register(found.close)
    return found


def modeline(schema: str) -> str:
    """The first line of a new file in a folder beside the demos."""
    path = Path("../../schemas") / f"{schema}.schema.json"
    return f"# yaml-language-server: $schema={path}\n"
