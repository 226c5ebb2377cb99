from pathlib import Path

import pytest

from daybank.settings import Settings, data_dir, from_environment


def test_nothing_set_means_this_machine_only():
    settings = from_environment({})
    assert (settings.host, settings.port, settings.kill_worker) == ("127.0.0.1", 8127, False)
    assert settings.accepted_names == {"127.0.0.1", "localhost", "[::1]"}


def test_the_environment_sets_host_port_names_and_the_kill_switch():
    settings = from_environment({"DAYBANK_HOST": "0.0.0.0", "DAYBANK_PORT": "9000",
                                 "DAYBANK_NAMES": "Camp.example, van.example", "DAYBANK_KILL_WORKER": "1"})
    assert (settings.host, settings.port, settings.kill_worker) == ("0.0.0.0", 9000, True)
    assert {"camp.example", "van.example", "0.0.0.0"} <= settings.accepted_names


def test_the_command_line_wins_over_the_environment():
    assert from_environment({"DAYBANK_PORT": "9000"}, port=9001).port == 9001
    assert from_environment({"DAYBANK_PORT": "9000"}, port=None).port == 9000


@pytest.mark.parametrize("text", ["0", "no", "off", ""])
def test_the_kill_switch_can_be_switched_off_in_words(text):
    assert from_environment({"DAYBANK_KILL_WORKER": text}).kill_worker is False


def test_a_kill_switch_that_is_neither_yes_nor_no_is_refused():
    with pytest.raises(ValueError, match="DAYBANK_KILL_WORKER is 'perhaps', which is neither yes nor no; set it to 1"):
        from_environment({"DAYBANK_KILL_WORKER": "perhaps"})


@pytest.mark.parametrize("text", ["eighty", "80.5", "-1", "٨٠"])
def test_a_port_that_is_no_whole_number_is_refused_by_name(text):
    with pytest.raises(ValueError, match="DAYBANK_PORT is '.*', which is no whole number; set it to a port such as"):
        from_environment({"DAYBANK_PORT": text})


@pytest.mark.parametrize("port", [-1, 65536])
def test_a_port_outside_the_range_is_refused(port):
    with pytest.raises(ValueError, match=f"Port {port} is outside 0-65535; choose one such as 8127"):
        Settings(port=port)


@pytest.mark.parametrize("port", [0, 65535])
def test_the_ends_of_the_range_of_ports_are_accepted(port):
    assert Settings(port=port).port == port


@pytest.mark.parametrize("name", ["http://camp.example", "camp.example/app", "", "a b"])
def test_a_name_that_is_an_address_of_a_page_is_refused(name):
    with pytest.raises(ValueError, match="is not a host name; give a bare name or address"):
        Settings(names=(name,))


@pytest.mark.parametrize("environment, folder", [
    ({"DAYBANK_DATA": "/somewhere", "XDG_DATA_HOME": "/data", "HOME": "/me"}, "/somewhere"),
    ({"XDG_DATA_HOME": "/data", "HOME": "/me"}, "/data/daybank"), ({"LOCALAPPDATA": "/local"}, "/local/daybank"),
    ({"HOME": "/me"}, "/me/.local/share/daybank"),
])
def test_records_are_kept_where_told_else_where_the_system_keeps_a_persons_data(environment, folder):
    assert data_dir(environment) == from_environment(environment).data_dir == Path(folder)


def test_without_any_such_place_none_is_made_up():
    assert data_dir({}) is None


def test_the_household_is_home_unless_told():
    assert from_environment({}).household == "home"
    assert from_environment({"DAYBANK_HOUSEHOLD": "aunt-2"}).household == "aunt-2"


@pytest.mark.parametrize("name", ["", "../up", "Home", "a/b", "-x", "x" * 41, "x.db"])
def test_a_household_that_could_be_a_path_is_refused(name):
    with pytest.raises(ValueError, match="is no name of a household; accepted are up to 40 small letters"):
        Settings(household=name)
