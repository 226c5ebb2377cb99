"""What a person may set: the server's address and names, where records are kept, the worker's emergency switch.

Read once at start-up from the command line and the environment, then passed on; nothing else reads the environment.
"""

import re
from collections.abc import Mapping
from dataclasses import dataclass
from pathlib import Path

FIRST_PORT = 8127
LOCAL_NAMES = ("127.0.0.1", "localhost", "[::1]")
YES = ("1", "true", "yes", "on")
NO = ("", "0", "false", "no", "off")
HOUSEHOLD = re.compile(r"[a-z0-9][a-z0-9-]{0,39}")


@dataclass(frozen=True, kw_only=True)
class Settings:
    """One frozen set of choices; ValueError says what was given, what is accepted and what to do."""

    host: str = "127.0.0.1"
    port: int = FIRST_PORT
    names: tuple[str, ...] = ()  # further host names that requests may ask for, beside LOCAL_NAMES and `host`
    kill_worker: bool = False  # serve the worker that removes itself; see pwa/kill-sw.js
    data_dir: Path | None = None  # where records are kept; None: nowhere
    household: str = "home"  # its file is <data_dir>/households/<household>.db

    def __post_init__(self):
        if not 0 <= self.port <= 65535:
            raise ValueError(f"Port {self.port} is outside 0-65535; choose one such as {FIRST_PORT}.")
        for name in (self.host, *self.names):
            if not name or any(mark in name for mark in "/ ,"):
                raise ValueError(f"{name!r} is not a host name; give a bare name or address such as camp.example "
                                 "without http:// and without a path.")
        if not HOUSEHOLD.fullmatch(self.household):
            raise ValueError(f"{self.household!r} is no name of a household; accepted are up to 40 small letters, "
                             "digits and hyphens, such as home; choose one.")

    @property
    def accepted_names(self) -> frozenset[str]:
        """Names a request may carry in Host. A fixed list keeps foreign pages from reaching a server at home by DNS
        rebinding."""
        return frozenset(name.lower() for name in (*LOCAL_NAMES, self.host, *self.names))


def from_environment(environment: Mapping[str, str], **given) -> Settings:
    """Settings from DAYBANK_HOST, DAYBANK_PORT, DAYBANK_NAMES (comma-separated), DAYBANK_KILL_WORKER, DAYBANK_DATA
    (a folder) and DAYBANK_HOUSEHOLD.

    What the command line gave (`given`, where it is not None) wins over the environment. Raises ValueError with the
    name of the variable.
    """
    chosen = {}
    if environment.get("DAYBANK_HOST"):
        chosen["host"] = environment["DAYBANK_HOST"]
    if environment.get("DAYBANK_PORT"):
        chosen["port"] = _port(environment["DAYBANK_PORT"])
    if environment.get("DAYBANK_NAMES"):
        chosen["names"] = tuple(name.strip() for name in environment["DAYBANK_NAMES"].split(","))
    chosen["kill_worker"] = _yes_or_no("DAYBANK_KILL_WORKER", environment.get("DAYBANK_KILL_WORKER", ""))
    if environment.get("DAYBANK_HOUSEHOLD"):
        chosen["household"] = environment["DAYBANK_HOUSEHOLD"]
    chosen["data_dir"] = data_dir(environment)
    chosen.update({name: value for name, value in given.items() if value is not None})
    return Settings(**chosen)


def data_dir(environment: Mapping[str, str]) -> Path | None:
    """The folder for records: DAYBANK_DATA, else the place the system has for a person's data; None if it names none.

    XDG_DATA_HOME and ~/.local/share as the XDG Base Directory Specification has them; LOCALAPPDATA is Windows'.
    """
    if environment.get("DAYBANK_DATA"):
        return Path(environment["DAYBANK_DATA"])
    for name in ("XDG_DATA_HOME", "LOCALAPPDATA"):
        if environment.get(name):
            return Path(environment[name]) / "daybank"
    return Path(environment["HOME"]) / ".local" / "share" / "daybank" if environment.get("HOME") else None


def _port(text: str) -> int:
    if not (text.isascii() and text.isdigit()):
        raise ValueError(f"DAYBANK_PORT is {text!r}, which is no whole number; set it to a port such as {FIRST_PORT}.")
    return int(text)


def _yes_or_no(name: str, text: str) -> bool:
    word = text.strip().lower()
    if word not in YES + NO:
        raise ValueError(f"{name} is {text!r}, which is neither yes nor no; set it to 1 or 0.")
    return word in YES
