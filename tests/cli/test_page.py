"""`triplog page`: what it refuses, pairing, the list of browsers, unpairing, HTTPS."""

import json
import os
import re
import ssl
import subprocess
import sys
import time
from pathlib import Path

import httpx
import pytest

from tests.cli.terminal import Terminal
from tests.errors.scenes import set_scene
from tests.needs import need
from tests.page.served import free_port
from triplog.cli.exit_codes import DONE, REFUSED
from triplog.page.entrance.book import Book, Wanted

ROOT = Path(__file__).parents[2]


@pytest.fixture
def terminal(tmp_path: Path) -> Terminal:
    """A terminal with a journal."""
    found = Terminal(folder=tmp_path)
    set_scene("a trip planned", found)
    return found


def book_of(terminal: Terminal) -> Book:
    """The book at the entrance of a terminal's store."""
    return Book(terminal.home)


@pytest.mark.parametrize(
    ("words", "said"),
    [
        (("page", "--on", "0.0.0.0"), "name the one address"),
        (("page", "--on", "the laptop"), "--on names an address"),
        (("page", "--certificate", "cert.pem"), "HTTPS needs both"),
        (
            ("page", "--certificate", "a.pem", "--certificate-key", "b.pem"),
            "there is no file a.pem",
        ),
        (("page", "pair", "--label", "phone-1"), "start it first: triplog page"),
        (("page", "pair", "--label", " "), "call the browser something short"),
        (("page", "pair", "--label", "x", "--role", "king"), "a role is cab or office"),
        (("page", "pair", "--label", "x", "--person", "nobody-here"), "nobody-here"),
        (("page", "unpair", "phone-9"), "no paired browser is called 'phone-9'"),
    ],
)
def test_what_cannot_be_done_is_said(words: tuple[str, ...], said: str, terminal: Terminal) -> None:
    answer = terminal.type(*words)
    assert answer.code == REFUSED
    assert said in answer.err


def test_a_code_is_drawn_browsers_are_listed_and_one_is_unpaired(terminal: Terminal) -> None:
    book = book_of(terminal)
    book.keep_fact("address", "http://127.0.0.1:8744")
    drawn = terminal.type("page", "pair", "--label", "phone-1", "--role", "cab", "--role", "office")
    assert drawn.code == DONE
    link = re.search(r"http://127\.0\.0\.1:8744/enter#(\S+)", drawn.out)
    assert link
    now_ms = int(terminal.clock.read().wall.timestamp() * 1000)
    wanted = book.take_code(link[1], now_ms)
    assert wanted is not None
    assert wanted.roles == ("cab", "office")
    assert terminal.type("page", "browsers").out == "no browser is paired\n"
    book.begin("b" * 16, Wanted(label="phone-1", roles=("cab",), person=wanted.person), now_ms)
    listed = json.loads(terminal.type("page", "browsers", "--json").out)
    assert [(one["label"], one["for"]) for one in listed] == [("phone-1", "cab")]
    assert "phone-1" in terminal.type("page", "browsers").out
    gone = terminal.type("page", "unpair", "phone-1")
    assert gone.code == DONE
    assert book.sessions() == []
    assert "browser unpaired" in terminal.type("entries", "--last", "1").out.replace("_", " ")
    book.close()


def test_without_its_libraries_it_says_what_to_install(
    terminal: Terminal, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr("importlib.util.find_spec", lambda _: None)
    answer = terminal.type("page")
    assert answer.code == REFUSED
    assert 'pip install "triplog[page]"' in answer.err


def test_by_https_the_cookie_is_bound_to_it(terminal: Terminal, tmp_path: Path) -> None:
    # OWASP ASVS 5.0, 3.3.1: Secure, and the prefix __Host-.
    need(["openssl"])
    certificate, key = tmp_path / "page.pem", tmp_path / "page-key.pem"
    subprocess.run(
        ["openssl", "req", "-x509", "-newkey", "ec", "-pkeyopt", "ec_paramgen_curve:P-256",
         "-nodes", "-days", "2", "-subj", "/CN=127.0.0.1", "-addext",
         "subjectAltName=IP:127.0.0.1", "-keyout", str(key), "-out", str(certificate)],
        check=True, capture_output=True,
    )  # fmt: skip
    port = free_port()
    with subprocess.Popen(
        [sys.executable, "-m", "triplog", "page", "--port", str(port), "--certificate",
         str(certificate), "--certificate-key", str(key)],
        cwd=ROOT, stdout=subprocess.PIPE, stderr=subprocess.DEVNULL, text=True,
        env={**os.environ, "TRIPLOG_HOME": str(terminal.home), "TRIPLOG_HEADS": str(tmp_path)},
    ) as program:  # fmt: skip
        assert program.stdout is not None
        code = next(line for line in program.stdout if "#" in line).rpartition("#")[2].strip()
        url = f"https://127.0.0.1:{port}"
        trusted = ssl.create_default_context(cafile=str(certificate))
        with httpx.Client(base_url=url, verify=trusted, headers={"origin": url}) as client:
            for _ in range(100):
                try:
                    answer = client.post("/enter", data={"code": code})
                    break
                except httpx.TransportError:
                    time.sleep(0.05)
        program.terminate()
    cookie = answer.headers["set-cookie"]
    assert cookie.startswith("__Host-triplog=")
    assert "Secure" in cookie
    assert "strict-transport-security" not in answer.headers
