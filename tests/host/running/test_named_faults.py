"""`run --fault NAME@SECONDS`: on what it works, what is refused and why, what the record keeps."""

import pytest

from heatsim.faults import IN_LOOP, KINDS, ON_CHIP, Fault
from heatsim.virtual import breaking
from heatwright.errors import EXIT_TRIPPED, BadInput
from heatwright.records.reader import read
from heatwright.running.named_faults import named_faults
from host.running.mine import document, run_in


def refused(*texts, on="sim:toaster"):
    with pytest.raises(BadInput) as caught:
        named_faults(texts, on)
    return caught.value.faults


def test_names_and_times_are_read():
    assert named_faults(("relay-shorted@200", "door-open@-1.5"), "sim:drawer") == (
        Fault("relay-shorted", 200.0),
        Fault("door-open", -1.5),
    )


@pytest.mark.parametrize("name", IN_LOOP)
@pytest.mark.parametrize("on", ["sim:toaster", "plant:mine:make"])
def test_every_fault_of_the_loop_is_had_on_every_simulated_plant(name, on):
    assert named_faults((f"{name}@10",), on)[0].name == name


def test_an_unknown_name_gets_the_list():
    (fault,) = refused("relay-broken@20")
    assert fault.found == "relay-broken"
    assert all(name in fault.expected for name in KINDS)


@pytest.mark.parametrize("name", ON_CHIP)
def test_faults_of_the_chip_are_refused_with_the_reason(name):
    (fault,) = refused(f"{name}@20")
    assert "virtual controller" in fault.what
    assert "without a chip" in fault.what


@pytest.mark.parametrize("name", KINDS)
def test_nothing_is_broken_on_a_controller_that_may_be_real(name):
    (fault,) = refused(f"{name}@20", on="/dev/ttyACM0")
    assert "real" in fault.what
    assert "--on" in fault.expected


@pytest.fixture
def virtual_port(tmp_path):
    """A port at which a virtual board listens; whoever stands at it under another name, too."""
    port = tmp_path / "port"
    port.touch()
    listener = breaking.Listener(str(port))
    (tmp_path / "named").symlink_to(port)
    yield str(tmp_path / "named")
    listener.close()


@pytest.mark.parametrize("name", ON_CHIP)
def test_faults_of_the_chip_are_had_on_a_virtual_controller(name, virtual_port):
    assert named_faults((f"{name}@20",), virtual_port) == (Fault(name, 20.0),)
    (fault,) = refused(f"{name}@-1", on=virtual_port)
    assert fault.found == "-1"


def test_the_others_are_not_and_it_says_where(virtual_port):
    (fault,) = refused("sensor-open@20", on=virtual_port)
    assert "virtual controller has the chip's own" in fault.what
    assert "sim:" in fault.expected


def test_a_board_that_has_gone_is_virtual_no_more(tmp_path):
    port = str(tmp_path / "port")
    listener = breaking.Listener(port)
    assert breaking.is_virtual(port)
    listener.close()
    assert not breaking.is_virtual(port)


@pytest.mark.parametrize(
    "text", ["sensor-open", "sensor-open@", "sensor-open@soon", "door-open@inf"]
)
def test_a_fault_needs_a_time(text):
    (fault,) = refused(text)
    assert "relay-shorted@200" in fault.expected


@pytest.mark.parametrize("name", ["clock-jump", "plan-corrupt"])
def test_what_needs_a_run_can_not_come_before_it(name):
    (fault,) = refused(f"{name}@-1")
    assert fault.found == "-1"


def test_all_that_is_wrong_is_told_at_once():
    assert len(refused("nothing@1", "power-loss@2", "sensor-open")) == 3


def test_a_run_with_a_fault_trips_and_keeps_its_name(tmp_path):
    result = run_in(tmp_path, "--on", "plant:box:make", "--fault", "sensor-open@60", "--json")
    told = document(result)
    assert result.exit_code == EXIT_TRIPPED
    assert told["trip"]["code"] == "sensor_open"
    assert 60.0 <= told["trip"]["at_s"] <= 63.0
    assert read(tmp_path / told["record"]).header["faults"] == "sensor-open@60"


def test_two_faults_in_one_run(tmp_path):
    result = run_in(
        tmp_path, "--on", "plant:box:make",
        "--fault", "both-welded@90", "--fault", "sensor-open@60", "--json",
    )  # fmt: skip
    told = document(result)
    assert told["trip"]["code"] == "sensor_open"
    # the second one heats a board whose heat was off
    assert told["true_peak_board_c"] > 250.0


def test_a_run_without_faults_says_so(tmp_path):
    result = run_in(tmp_path, "--on", "plant:box:make", "--json")
    assert read(tmp_path / document(result)["record"]).header["faults"] is None


def test_a_fault_whose_time_never_came_is_said(tmp_path):
    wanted = ("--fault", "relay-shorted@99999", "--fault", "mains-sag@20")
    result = run_in(tmp_path, "--on", "sim:drawer", "--source", "drawer", *wanted)
    (place,) = (tmp_path / "runs").iterdir()
    end_s = read(place).time_s[-1]
    assert f"relay-shorted@99999 never struck: the run ended after {end_s:.0f} s." in result.stderr
    assert "mains-sag@20 never" not in result.stderr
