"""A class's JupyterHub.  HUB.md tells what each part does.

This file is yours to edit; `sudo systemctl restart quayside-hub` takes a change in, and running
seats go on meanwhile.  The installer never writes over it: a newer one is laid beside it.
"""

import sys
from pathlib import Path

from checks.hub.spawning import ACCOUNT, Seats, environment

c = get_config()  # noqa: F821
ETC, STATE, DESK = Path("/etc/quayside"), Path("/var/lib/quayside"), Path("/srv/quayside/desk")
PYTHON = str(Path(sys.prefix).resolve() / "bin" / "python")
seats = Seats(ETC / "codes.csv")

# Where learners reach it. Beyond a network that you trust it needs HTTPS: see HUB.md.
c.JupyterHub.bind_url = "http://:80"
# c.JupyterHub.bind_url = "https://:443"
# c.JupyterHub.ssl_cert = "/etc/quayside/server.crt"
# c.JupyterHub.ssl_key = "/etc/quayside/server.key"

# Who may come in: the class, with the codes that were handed out. Each can change theirs at
# /hub/auth/change-password. A school's own log-in goes in the place of these four lines: any
# authenticator of JupyterHub whose user names are the ids of the roster.
c.JupyterHub.authenticator_class = "firstuseauthenticator.FirstUseAuthenticator"
c.FirstUseAuthenticator.dbm_path = str(STATE / "passwords")
c.FirstUseAuthenticator.create_users = False
c.Authenticator.allowed_users = seats.admit(STATE / "passwords")
c.Authenticator.admin_users = seats.teachers()

# What one seat may take.
MEMORY, CORES, TASKS = "2G", 1.0, 200
c.Spawner.mem_limit, c.Spawner.cpu_limit = MEMORY, CORES
if Path("/run/systemd/system").is_dir():  # holds memory, processor and processes of a whole seat
    c.JupyterHub.spawner_class = "systemdspawner.SystemdSpawner"
    c.SystemdSpawner.username_template = ACCOUNT
    c.SystemdSpawner.unit_name_template = "quayside-seat-{USERNAME}"
    c.SystemdSpawner.isolate_tmp = c.SystemdSpawner.isolate_devices = True
    c.SystemdSpawner.unit_extra_properties = {
        "TasksMax": str(TASKS), "MemorySwapMax": "0", "OOMPolicy": "continue", "UMask": "0077",
    }  # fmt: skip
else:  # holds memory of each process, and processes
    c.JupyterHub.spawner_class = "checks.hub.spawning.LocalSeat"
    c.LocalSeat.tasks_limit = TASKS

# A seat: lessons laid out, the home page first, kernels and servers that rest ended.
c.Spawner.pre_spawn_hook = seats.hand_out
c.Spawner.notebook_dir = "~/quayside-lessons"
c.Spawner.default_url = "/quayside"
c.Spawner.cmd = [PYTHON, "-P", "-m", "jupyterhub.singleuser"]
c.Spawner.args = [
    "--MappingKernelManager.cull_idle_timeout=2400",  # seconds; programs stay, variables do not
    "--MappingKernelManager.cull_connected=True",
    "--KernelManager.transport_encryption=required",  # on this machine all share one loopback
    "--ServerApp.terminals_enabled=False",
]
c.Spawner.start_timeout = c.Spawner.http_timeout = 120
c.JupyterHub.concurrent_spawn_limit = 8

# The hub, its proxy and the desk: ports that no learner can take while one of them is down.
HUB, PROXY, DESK_PORT = 881, 882, 883
c.JupyterHub.hub_port = HUB
c.ConfigurableHTTPProxy.api_url = f"http://127.0.0.1:{PROXY}"
c.ConfigurableHTTPProxy.command = [
    "/opt/quayside/proxy/node_modules/.bin/configurable-http-proxy"
]  # fmt: skip
c.ConfigurableHTTPProxy.pid_file = str(STATE / "proxy.pid")
c.JupyterHub.db_url = f"sqlite:///{STATE}/jupyterhub.sqlite"
c.JupyterHub.cookie_secret_file = str(STATE / "cookie_secret")
c.JupyterHub.cleanup_servers = False  # seats outlive a restart

# The desk takes work and gives feedback; the culler ends servers that nobody uses.
desk = f"http://127.0.0.1:{DESK_PORT}"
c.Spawner.environment = environment(f"{desk}/services/desk")
c.Proxy.extra_routes = {"/quayside/": desk}  # the notebooks' own way home
c.JupyterHub.services = [
    {"name": "desk", "url": desk, "display": False,
     "command": [PYTHON, "-P", "-m", "checks.hub.desk", str(DESK), "--account", "quayside-desk"]},
    {"name": "culler", "command": [PYTHON, "-P", "-m", "jupyterhub_idle_culler", "--timeout=5400"]},
]  # fmt: skip
c.JupyterHub.load_roles = [
    {"name": "user", "scopes": ["self", "access:services!service=desk"]},
    {"name": "server", "scopes": ["users:activity!user", "access:servers!server",
                                  "access:services!service=desk"]},
    {"name": "culler", "services": ["culler"],
     "scopes": ["list:users", "read:users:activity", "read:servers", "delete:servers"]},
]  # fmt: skip
