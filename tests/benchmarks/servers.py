"""Servers that the benchmarks start for themselves and stop again."""

import os
import pwd
import shutil
import socket
import subprocess
import sys
import tempfile
from contextlib import contextmanager
from http.client import HTTPConnection
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


def answers(port: int) -> bool:
    """Return whether a web server answers; its port is open long before it has read the program."""
    link = HTTPConnection("127.0.0.1", port, timeout=WAIT)
    try:
        link.request("GET", "/login/")
        return bool(link.getresponse().read())
    except OSError:
        return False
    finally:
        link.close()


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


def begun_cluster(home: Path, wrap) -> Path:
    """Return where the files of a cluster lie; they are made when there are none yet."""
    home.mkdir(exist_ok=True)
    place = home / "data"
    if (place / "PG_VERSION").exists():
        return place
    if wrap is as_postgres:
        account = pwd.getpwnam(POSTGRES)
        os.chown(home, account.pw_uid, account.pw_gid)
    initdb = [postgres_binary("initdb"), "-D", str(place), "-A", "trust", "-U", POSTGRES]
    command = wrap([*initdb, "-E", "UTF8"])
    subprocess.run(command, check=True, stdout=subprocess.DEVNULL, cwd="/")
    return place


@contextmanager
def postgres_cluster(kept: Path | None = None):
    """Start a PostgreSQL of our own; yield its address without a database.

    It lies in a temporary place, or in one that is kept and taken up again the next time.
    """
    home = kept or Path(tempfile.mkdtemp(prefix="bench-postgres-"))
    wrap = as_postgres if os.geteuid() == 0 else list
    place, port = begun_cluster(home, wrap), free_port()
    options = {"port": port, "unix_socket_directories": home, "fsync": "off"}
    options |= {"shared_buffers": "512MB", "max_wal_size": "4GB"}
    switches = [f"-c{key}={value}" for key, value in options.items()]
    with (home / "log").open("w") as log:
        command = wrap([postgres_binary("postgres"), "-D", str(place), *switches])
        server = subprocess.Popen(command, stdout=log, stderr=log, cwd="/")
        try:
            address = f"postgres://{POSTGRES}@127.0.0.1:{port}"
            wait_until(lets_in, address)
            yield address
        finally:
            server.terminate()
            server.wait()
            if kept is None:
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
        wait_until(answers, port)
        yield port
    finally:
        server.terminate()
        server.wait()
