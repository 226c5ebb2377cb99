"""The `daybank` command: reads the arguments and the environment, calls one command, gives its exit status.

Status 0: good. 1: faults found, or the operation failed. 2: bad input. Errors stand on standard error as one sentence:
what was given, what is accepted, what to do next. Each command imports what it needs when it runs, so that a quick one
starts quickly.
"""

import argparse
import os
import socket
import sys
from dataclasses import replace

from daybank import __version__

TRIES = 50  # ports looked at before giving up


def main(arguments: list[str] | None = None) -> int:
    """Runs one command and returns its exit status."""
    parser = make_parser()
    given = parser.parse_args(arguments)
    try:
        return given.run(given)
    except KeyboardInterrupt:
        return 0
    except BrokenPipeError:
        # the reader of our output has left, as `daybank trial DIR | head` does
        os.dup2(os.open(os.devnull, os.O_WRONLY), sys.stdout.fileno())
        return 1
    except ValueError as fault:
        print(f"daybank: {fault}", file=sys.stderr)
        return 2


def make_parser() -> argparse.ArgumentParser:
    parser = argparse.ArgumentParser(prog="daybank", description="Days your battery will still carry you, how sure "
                                     "that is, and what to change.")
    parser.add_argument("--version", action="version", version=f"daybank {__version__}")
    commands = parser.add_subparsers(title="commands", required=True, metavar="COMMAND")

    demo = add(commands, "demo", demo_command, "show the invented demo rig in the browser")
    demo.add_argument("--port", type=int, help="port to serve on (default: the first free one from 8127)")
    demo.add_argument("--no-serve", action="store_true", help="only see that the demo is complete")
    demo.add_argument("--kill-worker", action="store_true", default=None, help=argparse.SUPPRESS)

    serve = add(commands, "serve", serve_command, "serve the app to the phones of the household")
    serve.add_argument("--host", help="address to listen on (default: 127.0.0.1, this machine only)")
    serve.add_argument("--port", type=int, help="port to listen on (default: 8127)")
    serve.add_argument("--name", action="append", help="a further host name that phones reach this server by; "
                       "may be given more than once")
    serve.add_argument("--kill-worker", action="store_true", default=None,
                       help="emergency: make phones drop the stored app and load it anew; their entries stay")

    from daybank.commands import add_forecast_arguments, add_trial_arguments
    add_forecast_arguments(add(commands, "forecast", forecast_command,
                               "answer how many days are left, from an exported file"))
    add_trial_arguments(add(commands, "trial", trial_command,
                            "score the forecasts against trips whose end is known"))

    from daybank import data_arguments
    data_arguments.add_rigfile_arguments(add(commands, "rigfile", rigfile_command, "look over a rig file"))
    data_arguments.add_import_arguments(add(commands, "import", import_command,
                                            "take in a rig file, an export or a part of the logbook"))
    data_arguments.add_export_arguments(add(commands, "export", export_command, "give out a rig with all its records"))
    data_arguments.add_integrity_arguments(add(commands, "integrity", integrity_command,
                                               "see whether the file of records is sound"))
    return parser


def add(commands, name: str, run, does: str) -> argparse.ArgumentParser:
    command = commands.add_parser(name, help=does, description=does[0].upper() + does[1:] + ".")
    command.set_defaults(run=run)
    return command


def forecast_command(given: argparse.Namespace) -> int:
    from daybank import commands
    return commands.forecast_command(given)


def trial_command(given: argparse.Namespace) -> int:
    from daybank import commands
    return commands.trial_command(given)


def rigfile_command(given: argparse.Namespace) -> int:
    from daybank import commands_data
    return commands_data.rigfile_command(given)


def import_command(given: argparse.Namespace) -> int:
    from daybank import commands_data
    return commands_data.import_command(given)


def export_command(given: argparse.Namespace) -> int:
    from daybank import commands_data
    return commands_data.export_command(given)


def integrity_command(given: argparse.Namespace) -> int:
    from daybank import commands_data
    return commands_data.integrity_command(given)


def demo_command(given: argparse.Namespace) -> int:
    """Serves on this machine only, on the first free port, since a demo should never fail over a port."""
    from daybank.assets import pwa_dir
    from daybank.settings import from_environment
    demo = pwa_dir() / "demo" / "demo.json"
    if not demo.is_file():
        raise ValueError(f"The demo rig is missing at {demo}; in a checkout run demo_db/build.py, else install again.")
    settings = from_environment({}, port=given.port, kill_worker=given.kill_worker)
    if given.no_serve:
        print(f"The demo rig is ready: {demo}")
        return 0
    listener = listen_on(settings.host, settings.port, tries=TRIES if given.port is None else 1)
    return serve(replace(settings, port=listener.getsockname()[1]), listener)


def serve_command(given: argparse.Namespace) -> int:
    from daybank.settings import from_environment
    names = tuple(given.name) if given.name else None
    settings = from_environment(os.environ, host=given.host, port=given.port, names=names,
                                kill_worker=given.kill_worker)
    listener = listen_on(settings.host, settings.port, tries=1)
    return serve(replace(settings, port=listener.getsockname()[1]), listener)


def listen_on(host: str, port: int, *, tries: int) -> socket.socket:
    """A listening socket on the port, or on the first free one of the following `tries`."""
    for candidate in range(port, min(port + tries, 65536)):
        try:
            return socket.create_server((host, candidate), backlog=128)
        except OSError as fault:
            reason = fault.strerror or str(fault)
    upto = "" if tries == 1 else f" to {port + tries - 1}"
    raise ValueError(f"Port {port}{upto} on {host} cannot be listened on ({reason}); give another one with --port.")


def serve(settings, listener: socket.socket) -> int:
    """Serves until Ctrl-C."""
    import uvicorn

    from daybank.app import create_app
    app = create_app(settings)
    address = f"http://{settings.host}:{settings.port}"
    print(f"Daybank is at {address}  (Ctrl-C ends it)", flush=True)
    uvicorn.Server(uvicorn.Config(app, log_level="warning", server_header=False)).run(sockets=[listener])
    return 0


if __name__ == "__main__":
    sys.exit(main())
