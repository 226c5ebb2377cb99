import re
import signal
import socket
import subprocess
import sys
import time
import urllib.request

import pytest

from daybank import __version__
from daybank.__main__ import listen_on, main


def start(*arguments):
    return subprocess.Popen([sys.executable, "-m", "daybank", *arguments], stdout=subprocess.PIPE,
                            stderr=subprocess.PIPE, text=True)


def free_port():
    with socket.create_server(("127.0.0.1", 0)) as taken:
        return taken.getsockname()[1]


def test_the_version_is_told(capsys):
    with pytest.raises(SystemExit) as left:
        main(["--version"])
    assert left.value.code == 0
    assert capsys.readouterr().out == f"daybank {__version__}\n"


@pytest.mark.parametrize("command", ["demo", "serve", "forecast", "trial"])
def test_every_command_explains_itself(command, capsys):
    with pytest.raises(SystemExit) as left:
        main([command, "--help"])
    assert left.value.code == 0
    assert f"usage: daybank {command}" in capsys.readouterr().out


@pytest.mark.parametrize("arguments", [[], ["fly"], ["forecast"], ["serve", "--port", "eighty"]])
def test_what_cannot_be_understood_is_status_two(arguments, capsys):
    with pytest.raises(SystemExit) as left:
        main(arguments)
    assert left.value.code == 2
    assert "usage: daybank" in capsys.readouterr().err


def test_a_port_out_of_range_is_one_sentence_and_status_two(capsys):
    assert main(["serve", "--port", "65536"]) == 2
    assert capsys.readouterr().err == ("daybank: Port 65536 is outside 0-65535; choose one such as 8127.\n")


def test_a_port_in_use_is_one_sentence_and_status_two(capsys):
    with socket.create_server(("127.0.0.1", 0)) as taken:
        port = taken.getsockname()[1]
        assert main(["serve", "--port", str(port)]) == 2
    said = capsys.readouterr().err
    assert re.fullmatch(rf"daybank: Port {port} on 127.0.0.1 cannot be listened on \(.*\); give another one with "
                        r"--port\.\n", said)


def test_a_demo_takes_the_next_free_port():
    with socket.create_server(("127.0.0.1", 0)) as taken:
        port = taken.getsockname()[1]
        with listen_on("127.0.0.1", port, tries=20) as found:
            assert port < found.getsockname()[1] < port + 20


def test_the_demo_is_ready_without_serving(capsys):
    assert main(["demo", "--no-serve"]) == 0
    assert "demo.json" in capsys.readouterr().out


def test_the_server_prints_its_address_answers_there_and_ends_quietly():
    port = free_port()
    server = start("serve", "--port", str(port))
    try:
        line = server.stdout.readline()
        assert line == f"Daybank is at http://127.0.0.1:{port}  (Ctrl-C ends it)\n"
        page = urllib.request.urlopen(f"http://127.0.0.1:{port}/", timeout=10)
        assert page.status == 200 and b"<html" in page.read()
        assert "Server" not in page.headers
        server.send_signal(signal.SIGINT)
        assert server.wait(timeout=10) == 0
        assert (server.stdout.read(), server.stderr.read()) == ("", "")
    finally:
        server.kill()
        server.wait()


def test_the_server_listens_on_this_machine_only():
    port = free_port()
    server = start("serve", "--port", str(port))
    try:
        assert "127.0.0.1" in server.stdout.readline()
        with socket.create_connection(("127.0.0.1", port), timeout=5):
            pass
        other = next((info[4][0] for info in socket.getaddrinfo(socket.gethostname(), None, socket.AF_INET)
                      if not info[4][0].startswith("127.")), None)
        if other:  # a machine without another address has nothing to try
            with pytest.raises(OSError):
                socket.create_connection((other, port), timeout=2)
    finally:
        server.kill()
        server.wait()


def test_the_command_starts_quickly():
    began = time.monotonic()
    assert start("--version").wait() == 0
    assert time.monotonic() - began < 2  # generous: an ordinary start is a tenth of it
