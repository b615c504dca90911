"""Servers that the benchmarks start for themselves and stop again."""

import os
import pwd
import shutil
import socket
import subprocess
import sys
import tempfile
from contextlib import contextmanager
from pathlib import Path
from time import monotonic, sleep

import psycopg

WAIT = 30  # seconds
POSTGRES = "postgres"


def free_port() -> int:
    """Return a port that nobody listens on."""
    with socket.socket() as probe:
        probe.bind(("127.0.0.1", 0))
        return probe.getsockname()[1]


def listens(port: int) -> bool:
    """Return whether somebody listens on a port."""
    with socket.socket() as probe:
        return probe.connect_ex(("127.0.0.1", port)) == 0


def lets_in(address: str) -> bool:
    """Return whether a PostgreSQL lets us in; it listens a little earlier than that."""
    try:
        psycopg.connect(f"{address}/postgres").close()
    except psycopg.OperationalError:
        return False
    return True


def wait_until(is_ready, what) -> None:
    """Wait until a server is ready."""
    until = monotonic() + WAIT
    while not is_ready(what):
        if monotonic() > until:
            raise TimeoutError(f"{what} is not ready")
        sleep(0.1)


def postgres_binary(name: str) -> str | None:
    """Return the newest server binary of that name on this machine, or None."""
    found = sorted(Path("/usr/lib/postgresql").glob(f"*/bin/{name}"))
    return str(found[-1]) if found else shutil.which(name)


def as_postgres(command: list[str]) -> list[str]:
    """Return a command that root hands to the database's own user; it refuses to run as root."""
    return ["setpriv", "--reuid", POSTGRES, "--regid", POSTGRES, "--clear-groups", *command]


@contextmanager
def postgres_cluster():
    """Start a PostgreSQL of our own in a temporary place; yield its address without a database."""
    home = Path(tempfile.mkdtemp(prefix="bench-postgres-"))
    is_root = os.geteuid() == 0
    wrap = as_postgres if is_root else list
    if is_root:
        account = pwd.getpwnam(POSTGRES)
        os.chown(home, account.pw_uid, account.pw_gid)
    name, port, place = POSTGRES, free_port(), str(home / "data")
    initdb = [postgres_binary("initdb"), "-D", place, "-A", "trust", "-U", name, "-E", "UTF8"]
    subprocess.run(wrap(initdb), check=True, stdout=subprocess.DEVNULL, cwd="/")
    options = {"port": port, "unix_socket_directories": home, "fsync": "off"}
    options |= {"shared_buffers": "512MB", "max_wal_size": "4GB"}
    switches = [f"-c{key}={value}" for key, value in options.items()]
    with (home / "log").open("w") as log:
        command = wrap([postgres_binary("postgres"), "-D", place, *switches])
        server = subprocess.Popen(command, stdout=log, stderr=log, cwd="/")
        try:
            address = f"postgres://{name}@127.0.0.1:{port}"
            wait_until(lets_in, address)
            yield address
        finally:
            server.terminate()
            server.wait()
            shutil.rmtree(home, ignore_errors=True)


@contextmanager
def web_server(workers: int = 2, threads: int = 4):
    """Serve the default database as production does; yield the port."""
    port = free_port()
    command = [sys.executable, "-m", "gunicorn", "workshop.wsgi", "--bind", f"127.0.0.1:{port}"]
    command += ["--workers", str(workers), "--worker-class", "gthread", "--threads", str(threads)]
    command += ["--keep-alive", "30"]
    server = subprocess.Popen([*command, "--log-level", "warning"])
    try:
        wait_until(listens, port)
        yield port
    finally:
        server.terminate()
        server.wait()
