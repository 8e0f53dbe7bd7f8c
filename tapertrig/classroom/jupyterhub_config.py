"""JupyterHub settings for a school that serves the lessons to many learners.

Load it from the school's own `jupyterhub_config.py`, then choose how learners log in:

    from tapertrig.classroom import hub_settings_file

    load_subconfig(str(hub_settings_file()))
    c.JupyterHub.authenticator_class = "pam"
    c.Authenticator.allowed_users = {"the", "class"}

By itself it lets nobody in and answers on this machine only.
"""

import sys

from tapertrig.classroom.class_box import KEEP, READ, key_of

MINUTE = 60
HOUR = 60 * MINUTE

# JupyterHub gives it to every settings file.
c = get_config()  # type: ignore[name-defined]  # noqa: F821

# Loopback until the school says otherwise, best behind a web server that has its certificate.
c.JupyterHub.bind_url = "http://127.0.0.1:8000"
c.JupyterHub.hub_ip = "127.0.0.1"

# No password of ours: with this one nobody can log in until the school names its own.
c.JupyterHub.authenticator_class = "null"

# A learner's own server: it makes the folder of the copies and opens on the list of lessons.
c.Spawner.cmd = [sys.executable, "-m", "tapertrig.classroom.learner"]
c.Spawner.notebook_dir = "~/tapertrig-lessons"
c.Spawner.default_url = "/tapertrig/"
c.Spawner.start_timeout = 3 * MINUTE
c.Spawner.http_timeout = 2 * MINUTE

# Told to every spawner. Containers and systemd hold a learner to it as a whole; the plain
# spawner's servers hold each of their own processes to it.
c.Spawner.mem_limit = "1G"

# The class box: each learner's practice answers, which the group of instructors may read.
box = {
    "name": "class-box",
    "url": "http://127.0.0.1:8079",
    "command": [sys.executable, "-m", "tapertrig.classroom.class_box"],
    "environment": {"TAPERTRIG_CLASS_BOX_FOLDER": "class-box"},
    "display": False,
}
c.JupyterHub.services = [box]
c.JupyterHub.custom_scopes = {
    KEEP: {"description": "Keep one's own practice answers in the class box"},
    READ: {"description": "Read the practice answers of the whole class"},
}
c.JupyterHub.load_roles = [
    {"name": "user", "scopes": ["self", KEEP]},
    {"name": "instructor", "scopes": [READ], "groups": ["instructors"]},
]

# One thread each: thirty kernels with a thread for every core only get in each other's way.
# Memory that glibc no longer uses goes back to the machine.
c.Spawner.environment = {
    "OPENBLAS_NUM_THREADS": "1",
    "OMP_NUM_THREADS": "1",
    "MKL_NUM_THREADS": "1",
    "MALLOC_ARENA_MAX": "1",
    "MALLOC_TRIM_THRESHOLD_": "131072",
    "MALLOC_MMAP_THRESHOLD_": "131072",
    # Where a learner's answers go, and the key that lets them in: the box's alone.
    "TAPERTRIG_CLASS_BOX": lambda spawner: box["url"],
    "TAPERTRIG_CLASS_BOX_KEY": key_of,
}

# A kernel nobody used for two hours goes, open tab or not; a server without kernels soon after.
# A learner who comes back finds the copy as it was left and opens it anew.
c.Spawner.args = [
    f"--MappingKernelManager.cull_idle_timeout={2 * HOUR}",
    f"--MappingKernelManager.cull_interval={5 * MINUTE}",
    "--MappingKernelManager.cull_connected=True",
    f"--ServerApp.shutdown_no_activity_timeout={30 * MINUTE}",
    "--ServerApp.terminals_enabled=False",
    # Kernels talk through files of their learner, not through ports that thirty servers draw at
    # random from one machine and that two may draw at once.
    "--KernelManager.transport=ipc",
    "--MappingKernelManager.transport_encryption=disabled",
]

# A class arrives all at once.
c.JupyterHub.concurrent_spawn_limit = 60
c.JupyterHub.cleanup_servers = True
