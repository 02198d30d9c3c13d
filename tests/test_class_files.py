"""The files of docs/class-server that no test can run here: they agree with each other, with the measured sizing and with a schema of the chart."""

import json
import re
import shlex
from pathlib import Path
from types import SimpleNamespace

import jsonschema
import pytest
import yaml
from traitlets.config import Config

from hpteach.class_session import SHIPPED

ROOT = Path(__file__).parents[1]
FOLDER = ROOT / "docs" / "class-server"
README = (FOLDER / "README.md").read_text("utf-8")
VALUES = yaml.safe_load((FOLDER / "values.yaml").read_text("utf-8"))
SCHEMA = json.loads((ROOT / "tests" / "reference" / "jupyterhub_chart.schema.json").read_text("utf-8"))
CONTAINER = (FOLDER / "Containerfile").read_text("utf-8").splitlines()
SIZES = {"K": 2**10, "M": 2**20, "G": 2**30, "Ki": 2**10, "Mi": 2**20, "Gi": 2**30}  # the chart's K, M, G are powers of 1024, from memory


@pytest.fixture
def configured(tmp_path, monkeypatch):
    """What jupyterhub_config.py sets, in a folder of an invented class."""
    for name, text in {"names.txt": "Ada\nben # second row\n\n", "instructors.txt": "ines\n", "class-password": "p" * 12, "instructor-password": "i" * 32}.items():
        (tmp_path / name).write_text(text)
    monkeypatch.setenv("HPTEACH_HUB_FOLDER", str(tmp_path))
    monkeypatch.setenv("HPTEACH_HUB_OWN_NUMBERS", "off")
    for name in ("HPTEACH_HUB_PORT", "HPTEACH_HUB_IDLE"):
        monkeypatch.delenv(name, raising=False)
    return run_configuration()["c"]


def run_configuration():
    """The names that jupyterhub_config.py knows when it has run."""
    config, path = Config(), FOLDER / "jupyterhub_config.py"
    names = {"get_config": lambda: config}
    exec(compile(path.read_text("utf-8"), str(path), "exec"), names)
    return names


def size(text):
    """Bytes of a memory quantity."""
    number, unit = re.fullmatch(r"([\d.]+)([A-Za-z]+)", text).groups()
    return float(number) * SIZES[unit]


def table(first):
    """The rows of the table of the README whose head begins so, as numbers."""
    rows = README.split(f"| {first} |", 1)[1].split("\n\n", 1)[0].splitlines()[2:]
    return [[float(cell) for cell in row.strip("| ").split("|")] for row in rows]


def test_the_values_fit_the_schema():
    """values.yaml has only keys of the chart, with values of the right kind."""
    jsonschema.Draft202012Validator.check_schema(SCHEMA)
    jsonschema.validate(VALUES, SCHEMA, cls=jsonschema.Draft202012Validator)


@pytest.mark.parametrize(
    ("place", "wrong"),
    [
        ("singleuser.memory.limit", "2 GB"),
        ("singleuser.memory.limt", "2G"),
        ("singleuser.storage.capacity", "1gb"),
        ("cull.timeout", "1h"),
        ("proxy.service.type", "Internal"),
        ("singleuser.cpu.limit", 0),
    ],
)
def test_the_schema_refuses_what_is_wrong(place, wrong):
    """A misspelled key, a quantity that is none, and a value of another kind are found."""
    changed = json.loads(json.dumps(VALUES))
    *path, last = place.split(".")
    inner = changed
    for key in path:
        inner = inner[key]
    inner[last] = wrong
    with pytest.raises(jsonschema.ValidationError):
        jsonschema.validate(changed, SCHEMA, cls=jsonschema.Draft202012Validator)


def test_both_kinds_of_server_start_the_same_session(configured):
    """One machine and Kubernetes start the same program with the same options, cull at the same time, let in by the same rules, and set the same variables."""
    single, spawner = VALUES["singleuser"], configured.Spawner
    assert [*spawner.cmd[1:], *spawner.args] == single["cmd"][1:]
    (culler,) = configured.JupyterHub.services
    assert culler["command"][-2:] == [f"--timeout={VALUES['cull']['timeout']}", f"--cull-every={VALUES['cull']['every']}"]
    assert spawner.start_timeout == single["startTimeout"]
    settings = VALUES["hub"]["config"]
    assert configured.JupyterHub.authenticator_class == settings["JupyterHub"]["authenticator_class"]
    for key in ("username_pattern", "allow_existing_users"):
        assert configured.Authenticator[key] == settings["Authenticator"][key]
    plain = {name: value for name, value in spawner.environment.items() if isinstance(value, str)}
    assert plain == single["extraEnv"]


def test_the_desk_goes_by_the_same_rule(configured):
    """On both the desk is on for instructors, whom the hub calls admins, and off for everybody else."""
    chart = Config()
    chart.KubeSpawner.environment = dict(VALUES["singleuser"]["extraEnv"])
    exec(VALUES["hub"]["extraConfig"]["desk"], {"c": chart})
    for environment in (configured.Spawner.environment, chart.KubeSpawner.environment):
        told = [environment["HPTEACH_DESK"](SimpleNamespace(user=SimpleNamespace(admin=admin))) for admin in (True, False)]
        assert ["on", "off"] == told


def test_one_machine_is_reached_from_itself_alone(configured, tmp_path):
    """Server, hub and proxy listen on loopback; only listed names get in; the passwords are for their owner's eyes."""
    for address in (configured.JupyterHub.bind_url, configured.JupyterHub.hub_bind_url, configured.ConfigurableHTTPProxy.api_url):
        assert address.startswith("http://127.0.0.1:")
    assert ({"ada", "ben"}, {"ines"}) == (configured.Authenticator.allowed_users, configured.Authenticator.admin_users)
    assert {0o600} == {(tmp_path / name).stat().st_mode & 0o777 for name in ("class-password", "instructor-password")}


def test_learners_get_numbers_and_nobody_gets_roots(configured, monkeypatch):
    """Each new home folder gets the next user number and keeps it; a folder that belongs to root or to an account of the machine is refused, as its session would run as that."""
    names, owners = run_configuration(), {}
    own_number, learners = names["own_number"], names["LEARNERS"]
    monkeypatch.setattr("os.chown", lambda path, user, group: owners.update({Path(path).name: (user, group)}))
    stat = Path.stat

    def owned(path, **how):
        found = stat(path, **how)
        return SimpleNamespace(st_uid=owners[path.name][0], st_mode=found.st_mode) if path.name in owners else found

    monkeypatch.setattr(Path, "stat", owned)
    first = own_number(learners / "ada")
    assert (first, first + 1, first) == (own_number(learners / "ada"), own_number(learners / "ben"), owners["ada"][1])
    assert first in names["NUMBERS"] and 0o700 == (learners / "ada").stat().st_mode & 0o777
    for number in (0, 1000, 60000):
        owners["ada"] = (number, number)
        with pytest.raises(PermissionError, match=f"belongs to user number {number}"):
            own_number(learners / "ada")


def test_a_number_of_the_machine_or_a_link_to_nowhere_stops_nobody(configured, monkeypatch):
    """Numbers of the machine's own accounts are stepped over, wherever they lie; what is no folder in learners/ counts for nothing."""
    names = run_configuration()
    given = []
    monkeypatch.setattr("os.chown", lambda path, user, group: given.append(user))
    monkeypatch.setattr("pwd.getpwall", lambda: [SimpleNamespace(pw_uid=number) for number in (0, 1000, 30000, 30001, 59999)])
    (names["LEARNERS"] / "moved").symlink_to(names["LEARNERS"] / "nowhere")
    names["own_number"](names["LEARNERS"] / "ada")
    assert [30002] == given


def test_who_was_struck_off_is_kept_nowhere(configured, tmp_path):
    """The hub keeps no list of its own from one start to the next, so neither a cookie, a token nor a right outlives the lists."""
    assert "sqlite:///:memory:" == configured.JupyterHub.db_url
    (tmp_path / "names.txt").write_text("ada\n")
    assert {"ada"} == run_configuration()["c"].Authenticator.allowed_users


def test_a_list_from_an_editor_that_marks_its_files_is_read(configured, tmp_path):
    """A byte order mark before the first name is no part of it."""
    (tmp_path / "names.txt").write_text("ada\n", encoding="utf-8-sig")
    assert {"ada"} == run_configuration()["c"].Authenticator.allowed_users


def test_own_numbers_need_root(configured, monkeypatch):
    """Where nobody is root, the configuration refuses to start and says what to do."""
    monkeypatch.setenv("HPTEACH_HUB_OWN_NUMBERS", "on")
    monkeypatch.setattr("os.geteuid", lambda: 1000)
    with pytest.raises(PermissionError, match="start as root, or set HPTEACH_HUB_OWN_NUMBERS=off"):
        run_configuration()


def test_limits_agree_with_what_was_measured(configured):
    """Guaranteed memory and CPU cover a measured learner, limits leave room for several lessons, and the page's calculation of a node follows from them."""
    single = VALUES["singleuser"]
    held = max(row[6] for row in table("learners at once")) * 1e6
    assert held <= size(single["memory"]["guarantee"]) <= 1.3 * held
    assert 3 * held <= size(single["memory"]["limit"])
    assert held <= configured.Spawner.mem_limit <= size(single["memory"]["limit"])
    dragging = table("of 30, drag at once")
    cores = 10 * max(row[4] for row in dragging) / 1000
    assert cores <= single["cpu"]["guarantee"] <= 1.3 * cores <= single["cpu"]["limit"]
    by_cores, by_memory = 7.5 / single["cpu"]["guarantee"], 30 * 2**30 / size(single["memory"]["guarantee"])
    assert f"{by_cores:.0f} sessions by its cores" in " ".join(README.split()) and by_cores < by_memory
    assert int(re.search(r"and (\d+) by its memory", " ".join(README.split()))[1]) <= by_memory


def test_each_file_that_the_image_copies_is_there():
    """What the Containerfile copies exists, it holds the lessons and the questions, and no line names a registry's host."""
    copied = [word for line in CONTAINER if line.startswith("COPY ") for word in line.split()[1:-1]]
    assert {"hpteach", "exercises", "notebooks", "pyproject.toml"} <= set(copied)
    assert [] == [word for word in copied if not (ROOT / word).exists()]
    assert "notebooks" == SHIPPED.name
    (base,) = [line.split()[1] for line in CONTAINER if line.startswith("FROM ")]
    assert "/" not in base


def test_the_image_is_installed_as_the_page_says():
    """The Containerfile runs the install command of the page word for word, at the place from which the service and the chart start it."""
    (install,) = [line.strip() for line in README.splitlines() if line.strip().startswith("python3 -m venv")]
    assert f"RUN {install}" in CONTAINER
    (start,) = [json.loads(line.removeprefix("CMD ")) for line in CONTAINER if line.startswith("CMD ")]
    assert start == VALUES["singleuser"]["cmd"][: len(start)]
    (service,) = [shlex.split(line.removeprefix("ExecStart=")) for line in (FOLDER / "hpteach-hub.service").read_text().splitlines() if line.startswith("ExecStart=")]
    assert service[0] == start[0]
    assert (ROOT / Path(service[-1]).relative_to("/opt/hpteach")).is_file()


def test_the_page_links_to_what_is_there():
    """Each file that the page links to exists, and each file of the folder is on the page."""
    linked = {target for target in re.findall(r"\]\(([^)#:]+)\)", README)}
    assert [] == [target for target in linked if not (FOLDER / target).exists()]
    assert {path.name for path in FOLDER.iterdir() if path.is_file()} - {"README.md"} <= linked
