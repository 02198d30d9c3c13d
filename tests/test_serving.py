"""The servers of the lessons: JupyterLab and the pages without code (hpteach/serving.py)."""

import importlib.util
import json
import os
import runpy
import shutil
import subprocess
import sys
import tomllib
from pathlib import Path

import pytest

import hpteach
import hpteach.serving
from hpteach.cli import main
from hpteach.errors import DataError, InputError
from hpteach.serving import FIRST_LESSON, LOOPBACK, PAGE_TEMPLATE, is_loopback, lab_command, pages_command, titles

ROOT = Path(hpteach.__file__).resolve().parents[1]
NOTEBOOKS = ROOT / "notebooks"
TEMPLATE = PAGE_TEMPLATE / "voila" / "templates" / "lessons"


def started(*argv):
    """The command that a line starts, here with a stand-in for running it."""
    commands = []
    assert 0 == main(list(argv), run=lambda command: commands.append(list(command)) or 0)
    (command,) = commands
    return command


@pytest.mark.parametrize("command", [lab_command, pages_command])
def test_lessons_that_are_missing_are_refused(command, tmp_path):
    """Where the lessons are not beside the library, it is said where they come from."""
    with pytest.raises(DataError, match="install from the clone"):
        command(tmp_path)


def test_root_is_allowed_only_where_somebody_is_root(tmp_path, monkeypatch):
    """JupyterLab is allowed to run as root for root alone, and where nobody can be root not at all."""
    (tmp_path / FIRST_LESSON).touch()
    for who in (lambda: 0, lambda: 1000):
        monkeypatch.setattr(os, "geteuid", who, raising=False)
        assert (who() == 0) == ("--allow-root" in lab_command(tmp_path))
    monkeypatch.delattr(os, "geteuid")
    assert "--allow-root" not in lab_command(tmp_path)


def test_jupyterlab_understands_its_options(tmp_path):
    """JupyterLab takes every option that it is started with: no news, no update check, no catalogue of extensions."""
    (tmp_path / FIRST_LESSON).touch()
    of_nobody = {f"JUPYTER_{what}_DIR": str(tmp_path / what) for what in ("CONFIG", "DATA", "RUNTIME")}
    command = [*lab_command(tmp_path, browser=False, port=8890), "--show-config"]
    told = subprocess.run(command, capture_output=True, text=True, env={**os.environ, **of_nobody})
    assert 0 == told.returncode
    assert "error linking extension" not in told.stderr and "Extension Manager is 'readonly'" in told.stderr
    for setting in (".news_url = DeferredConfigString('None')", "NeverCheckForUpdate", ".port = 8890", ".open_browser = False"):
        assert setting in told.stdout


def test_pages_are_served_for_this_machine_alone(capsys):
    """Without options the pages of the clone's lessons are served on the loopback address, a browser is opened, and nothing is remarked."""
    command = started("pages")
    assert [sys.executable, "-m", "hpteach.serving"] == command[:3]
    assert {f"--Voila.root_dir={NOTEBOOKS}", f"--Voila.ip={LOOPBACK}"} <= set(command)
    assert [] == [word for word in command if word == "--no-browser" or word.startswith("--Voila.port")]
    assert ("", "") == capsys.readouterr()


def test_options_of_pages_reach_the_server(tmp_path, capsys):
    """Port, folder and address are passed on; of an open address two lines on standard error say who can open the pages, and that no answer is kept."""
    shutil.copy(NOTEBOOKS / FIRST_LESSON, tmp_path)
    command = started("pages", "--no-browser", "--port", "8891", "--lessons", str(tmp_path), "--address", "0.0.0.0")
    assert {"--no-browser", "--Voila.port=8891", f"--Voila.root_dir={tmp_path}", "--Voila.ip=0.0.0.0"} <= set(command)
    out, err = capsys.readouterr()
    assert ("", 2) == (out, len(err.splitlines()))
    assert "can open the pages without a password" in err and "runs the code of the lessons as your user" in err
    assert "No answer is kept on these pages, as all visitors would share one record." in err


@pytest.mark.parametrize(("address", "kept"), [(None, "mine.sqlite3"), ("127.0.0.1", "mine.sqlite3"), ("localhost", "mine.sqlite3"), ("0.0.0.0", "off"), ("192.0.2.1", "off")])
def test_visitors_share_no_record(address, kept, monkeypatch):
    """On pages that others can reach the record is off for the server and its kernels; on this machine alone it is the user's own.  The desk is off on all."""
    seen = []
    monkeypatch.setattr("voila.app.main", lambda: seen.append((os.environ["HPTEACH_PROGRESS"], os.environ["HPTEACH_DESK"])))
    monkeypatch.setenv("HPTEACH_DESK", "")  # taken away again after the test, which leaves it set otherwise
    monkeypatch.delenv("HPTEACH_DESK")
    monkeypatch.setenv("HPTEACH_PROGRESS", "mine.sqlite3")
    monkeypatch.setenv("JUPYTER_PATH", "")
    monkeypatch.setattr(sys, "argv", ["serving", *([f"--Voila.ip={address}"] if address else []), "--no-browser"])
    runpy.run_path(hpteach.serving.__file__, run_name="__main__")
    assert [(kept, "off")] == seen


@pytest.mark.parametrize("address", ["192.0.2.1", "255.255.255.255", "224.0.0.1"])
def test_an_address_that_is_not_this_machines_is_refused(address):
    """An address of another machine is refused by name, before any server starts."""
    with pytest.raises(InputError, match=f"{address} is not an address of this machine"):
        pages_command(NOTEBOOKS, address=address)


@pytest.mark.parametrize(("address", "alone"), [("127.0.0.1", True), ("127.0.0.2", True), ("localhost", True), ("LOCALHOST", True), ("0.0.0.0", False), ("192.168.1.7", False)])
def test_loopback_is_told_from_other_addresses(address, alone):
    """Only a loopback address is for this machine alone."""
    assert alone == is_loopback(address)


@pytest.mark.parametrize("address", ["", "fred", "127.0.0.1:80", "300.1.1.1", "::1", "http://127.0.0.1"])
def test_what_is_no_address_is_refused(address, capsys):
    """What is neither an IPv4 address nor localhost is refused with the option and the value, and nothing is started."""
    assert 2 == main(["pages", "--address", address], run=lambda command: pytest.fail("started"))
    out, err = capsys.readouterr()
    assert ("", 1) == (out, len(err.splitlines()))
    assert err.startswith("--address") and repr(address) in err and "0.0.0.0" in err


def test_pages_without_voila_are_refused(monkeypatch, capsys):
    """Where Voila is not installed, one sentence names the extra that brings it."""
    monkeypatch.setattr(importlib.util, "find_spec", lambda name: None)
    assert 2 == main(["pages"], run=lambda command: pytest.fail("started"))
    out, err = capsys.readouterr()
    assert ("", 1, True) == (out, len(err.splitlines()), 'pip install -e ".[pages]"' in err)


def test_titles_are_the_first_headings_in_order():
    """The list of lessons holds every notebook in the order of its file name, with its first heading."""
    found = titles(NOTEBOOKS)
    assert sorted(path.name for path in NOTEBOOKS.glob("*.ipynb")) == list(found)
    assert ("00 Start here", "05 Cooling with numbers") == (found[FIRST_LESSON], found["05-cooling-with-numbers.ipynb"])


def test_notebook_without_a_heading_goes_by_its_file_name(tmp_path):
    """A notebook of one's own that has no heading is listed by its file name."""
    (tmp_path / "mine.ipynb").write_text('{"cells": [{"cell_type": "markdown", "source": ["no heading"]}]}', encoding="utf-8")
    assert {"mine.ipynb": "mine"} == titles(tmp_path)


@pytest.mark.parametrize("text", ["", "[]", "{}", '{"cells": 5}', '{"cells": [{}]}'])
def test_file_that_is_no_notebook_is_refused(text, tmp_path):
    """A file that cannot be read as a notebook is refused by its name, before anything is started."""
    (tmp_path / "broken.ipynb").write_text(text, encoding="utf-8")
    with pytest.raises(InputError, match="broken.ipynb cannot be read as a notebook"):
        titles(tmp_path)


def test_voila_understands_its_options():
    """Voila takes every option that it is started with, without a complaint, and finds the template."""
    _, _, _, *options = pages_command(NOTEBOOKS, browser=False, port=8891, address="127.0.0.2")
    code = """
import json, sys
from voila.app import Voila
app = Voila()
app.initialize(sys.argv[1:])
of = app.voila_configuration
print(json.dumps([app.root_dir, app.ip, app.port, app.open_browser, of.template, of.classic_tree, of.strip_sources, of.extension_config, app.template_paths[0]]))
"""
    told = subprocess.run([sys.executable, "-c", code, *options], capture_output=True, text=True, env={**os.environ, "JUPYTER_PATH": str(PAGE_TEMPLATE)})
    assert (0, "") == (told.returncode, told.stderr)
    assert [str(NOTEBOOKS), "127.0.0.2", 8891, False, "lessons", True, True, titles(NOTEBOOKS), str(TEMPLATE)] == json.loads(told.stdout)


def test_pages_ask_no_other_host():
    """No file of the template names an address outside."""
    files = [path for path in TEMPLATE.rglob("*") if path.is_file()]
    assert {"index.html.j2", "tree.html", "page.html", "page.css"} <= {path.name for path in files}
    assert [] == [path.name for path in files if "//" in path.read_text(encoding="utf-8").replace("://127.0.0.1", "")]


def test_template_is_installed_with_the_library():
    """Each file of the template is among the package's data."""
    patterns = tomllib.loads((ROOT / "pyproject.toml").read_text(encoding="utf-8"))["tool"]["setuptools"]["package-data"]["hpteach"]
    data = {path for pattern in patterns for path in (ROOT / "hpteach").glob(pattern)}
    assert set() == {path for path in PAGE_TEMPLATE.rglob("*") if path.is_file()} - data


SETTINGS = Path(hpteach.serving.__file__).with_name("lab_settings")
LAB = Path(sys.prefix) / "share" / "jupyter" / "lab" / "schemas"


def test_jupyterlab_knows_every_setting_of_the_course():
    """Each setting that the course makes is one of JupyterLab's own, with a value of the kind that it takes; a misspelled one would change nothing."""
    for plugin, settings in json.loads((SETTINGS / "overrides.json").read_text("utf-8")).items():
        extension, _, name = plugin.partition(":")
        known = json.loads((LAB / extension / f"{name}.json").read_text("utf-8"))["properties"]
        for key, value in settings.items():
            assert key in known, (plugin, key)
            assert isinstance(value, type(known[key]["default"])), (plugin, key)


def test_what_the_course_turns_off_is_there():
    """The extensions that stay off are among those that are installed with the course or with its pages."""
    off = json.loads((SETTINGS / "page_config.json").read_text("utf-8"))["disabledExtensions"]
    installed = {f"{path.parent.name}/{path.name}" for place in (LAB, LAB.parents[1] / "labextensions") for path in place.glob("@*/*")}
    assert set() == set(off) - installed
