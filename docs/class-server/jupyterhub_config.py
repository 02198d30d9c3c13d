"""The class server on one machine: an own session for each learner, with JupyterHub.

Everything that belongs to a class lies in one folder, so that one folder is to be backed up:

    names.txt                one learner's login name a line
    instructors.txt          the same for instructors, who have the desk
    class-password           what all learners type, 8 characters or more
    instructor-password      what instructors type, 32 characters or more
    hub/                     what the server keeps for itself
    learners/NAME/           the home folder of a learner or instructor: lessons and record

README.md beside this file says what to type, and what this set-up does not protect.
"""

import os
import pwd
import resource
import sys
from pathlib import Path

from jupyterhub.spawner import SimpleLocalProcessSpawner

FOLDER = Path(os.environ.get("HPTEACH_HUB_FOLDER", "/srv/hpteach"))
PORT = int(os.environ.get("HPTEACH_HUB_PORT", "8000"))  # and the two after it, for hub and proxy among themselves
IDLE = int(os.environ.get("HPTEACH_HUB_IDLE", "3600"))  # s
EVERY = max(1, min(300, IDLE // 3))  # s; how often sessions say whether they were used, and how often that is looked at
OWN_NUMBERS = os.environ.get("HPTEACH_HUB_OWN_NUMBERS", "on") != "off"
NUMBERS = range(30_000, 60_000)  # of learners; accounts of people begin at 1000, other things of the system at 60 000
LEARNERS = FOLDER / "learners"
MEMORY = 1024**3  # bytes that one process of a session may hold; a lesson needs less than half
THREADS = 512  # that all sessions of one learner may have; a lesson needs about 30

if OWN_NUMBERS and os.geteuid() != 0:
    raise PermissionError(
        "only root can give each learner a user number of his or her own: start as root, "
        "or set HPTEACH_HUB_OWN_NUMBERS=off and read README.md on what that costs"
    )


def own_number(home):
    """The user number of a learner: whoever owns the home folder.  So it is the same after each start of the server, which keeps no list of its own."""
    if home.is_dir():
        if home.stat().st_uid not in NUMBERS:
            raise PermissionError(
                f"{home} belongs to user number {home.stat().st_uid}, and a session would run as that: "
                f"give the folder the number that it had, from {NUMBERS[0]} to {NUMBERS[-1]}"
            )
        return home.stat().st_uid
    homes = {folder.stat().st_uid for folder in LEARNERS.iterdir() if folder.is_dir()}
    accounts = {account.pw_uid for account in pwd.getpwall()}
    number = 1 + max(homes.intersection(NUMBERS), default=NUMBERS[0] - 1)  # above all others, so that hardly anybody gets the number of one who left
    while number in accounts:
        number += 1
    if number not in NUMBERS:
        raise PermissionError(f"no user number from {NUMBERS[0]} to {NUMBERS[-1]} is left for {home.name}: move the home folders of earlier classes elsewhere")
    home.mkdir(mode=0o700)  # made in a folder where nobody but root may write
    os.chown(home, number, number)
    return number


class ClassSpawner(SimpleLocalProcessSpawner):
    """Starts a session under a number of its own, for which no account has to be made.

    The spawner that it comes from runs every session as the user who started the hub, which separates nobody from nobody.
    """

    def make_preexec_fn(self, name):
        """What happens in the new process before the session begins: every right but the learner's own is given up."""
        home = Path(self.home_dir)
        number = own_number(home) if OWN_NUMBERS else None

        def begin():
            resource.setrlimit(resource.RLIMIT_DATA, (MEMORY, MEMORY))
            resource.setrlimit(resource.RLIMIT_NPROC, (THREADS, THREADS))
            resource.setrlimit(resource.RLIMIT_CORE, (0, 0))
            os.umask(0o077)
            if number is not None:
                os.setgroups([])
                os.setgid(number)
                os.setuid(number)
            home.mkdir(exist_ok=True)
            os.chdir(home)

        return begin


def names(file):
    """The login names in a file, one a line; # begins a remark."""
    lines = (line.split("#")[0].strip().lower() for line in (FOLDER / file).read_text(encoding="utf-8-sig").splitlines())
    return {line for line in lines if line}


c = get_config()  # noqa: F821

# On loopback only: the web server in front of it speaks HTTPS to the class.
c.JupyterHub.bind_url = f"http://127.0.0.1:{PORT}"
c.JupyterHub.hub_bind_url = f"http://127.0.0.1:{PORT + 1}"
c.ConfigurableHTTPProxy.api_url = f"http://127.0.0.1:{PORT + 2}"
c.ConfigurableHTTPProxy.pid_file = str(FOLDER / "hub" / "proxy.pid")
c.JupyterHub.db_url = "sqlite:///:memory:"  # a file would keep cookies, tokens and rights of those who are struck off the list
c.JupyterHub.cookie_secret_file = str(FOLDER / "hub" / "cookie-secret")

# One password for the class, but only for the names in the list: nobody invents a name.
c.JupyterHub.authenticator_class = "shared-password"
c.Authenticator.username_pattern = r"^[a-z][a-z0-9_-]{0,31}$"  # a name becomes a folder
c.Authenticator.allowed_users = names("names.txt")
c.Authenticator.allow_existing_users = False  # who is struck off the list is out after the next start
c.Authenticator.admin_users = names("instructors.txt")
for secret in ("class-password", "instructor-password"):
    (FOLDER / secret).chmod(0o600)
c.SharedPasswordAuthenticator.user_password = (FOLDER / "class-password").read_text().strip()
c.SharedPasswordAuthenticator.admin_password = (FOLDER / "instructor-password").read_text().strip()

c.JupyterHub.spawner_class = ClassSpawner
c.Spawner.cmd = [sys.executable, "-m", "hpteach.class_session"]
c.Spawner.args = [
    f"--MappingKernelManager.cull_idle_timeout={IDLE}",
    f"--MappingKernelManager.cull_interval={EVERY}",
    "--MappingKernelManager.cull_connected=True",  # a page left open over night holds no memory
]
c.SimpleLocalProcessSpawner.home_dir_template = str(LEARNERS / "{username}")
c.Spawner.environment = {
    "HPTEACH_DESK": lambda spawner: "on" if spawner.user.admin else "off",
    "JUPYTERHUB_ACTIVITY_INTERVAL": str(EVERY),
    "OPENBLAS_NUM_THREADS": "1",  # no lesson is faster with more, and each thread costs memory
}
c.Spawner.mem_limit = MEMORY
c.Spawner.start_timeout = c.Spawner.http_timeout = 300  # s; when a whole class comes in at once, the last one waits
c.JupyterHub.active_server_limit = 60  # nobody can open sessions until the machine gives in

# A session that nobody used for an hour ends; the learner's files and record stay.
c.JupyterHub.last_activity_interval = EVERY
c.JupyterHub.load_roles = [{"name": "culler", "services": ["culler"], "scopes": ["list:users", "read:users:activity", "read:servers", "delete:servers"]}]
c.JupyterHub.services = [
    {"name": "culler", "command": [sys.executable, "-m", "jupyterhub_idle_culler", f"--timeout={IDLE}", f"--cull-every={EVERY}"]}
]

for folder, mode in ((FOLDER, 0o711), (FOLDER / "hub", 0o700), (LEARNERS, 0o711)):  # entered by everybody, listed by nobody
    folder.mkdir(exist_ok=True)
    folder.chmod(mode)
