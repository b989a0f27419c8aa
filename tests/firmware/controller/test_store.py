"""What is kept: markers, plans, the ring of logs, and a file system that fails."""

from workbench import EIO, ENOSPC, Files

from heatcontroller import config, config_rules
from heatcontroller.store import LOG_BYTES, LOG_RUNS, Store, good_id


def test_no_file_means_no_outputs():
    found = Store(Files()).config()
    assert found.outputs == "none"
    assert found.faults == []


def test_a_broken_configuration_has_no_outputs_and_says_why():
    for data in (b"", b"{", b"[]", b"\xff\xfe", b'{"outputs":"ssr","mains_hz":55}'):
        files = Files()
        files.kept["config.json"] = data
        found = Store(files).config()
        assert found.outputs == "none", data
        assert found.faults, data


def test_every_fault_of_a_configuration_is_told_at_once():
    values = {"mains_hz": 55, "colour": 1, "sensor_max_mc": 300_001, "outputs": ["ssr"]}
    assert len(config.faults(values)) == 4


def test_limits_may_only_be_tightened():
    for key in config_rules.LIMITS:
        ceiling = config_rules.LIMITS[key][1]
        assert config.Config({key: ceiling - 1}).faults == []
        for value in (ceiling + 1, 0, -1, True, 1.5, "1", None):
            assert config.Config({key: value}).faults, (key, value)


def test_a_configuration_survives_being_kept():
    store = Store(Files())
    assert store.keep_config(config.Config({"outputs": "slow", "mains_hz": 60}))
    found = store.config()
    assert (found.outputs, found.mains_hz, found.faults) == ("slow", 60, [])


def test_only_an_id_becomes_a_path():
    for text in ("0badcafe", "00000000"):
        assert good_id(text)
    for text in ("", "0BADCAFE", "0badcaf", "0badcafe0", "../../xx", None, 5, ["0badcafe"]):
        assert not good_id(text), text


def test_a_marker_that_does_not_read_back_is_no_marker():
    class Forgetful(Files):
        def replace(self, path, data):
            pass

    assert not Store(Forgetful()).open_marker("0badcafe")


def test_a_file_system_that_cannot_be_read_counts_as_marked():
    class Worn(Files):
        def read(self, path):
            raise OSError(EIO)

    store = Store(Worn())
    assert store.marker() == "unreadable"
    assert store.was_heated()
    assert store.config().outputs == "none"
    assert store.plan("0badcafe") is None


def test_the_ring_keeps_the_last_ten_runs():
    store = Store(Files())
    for run in range(1, 15):
        store.begin_run()
        store.log(b"run %d\n" % run)
        store.end_run()
    assert [number for number, _ in store.runs()] == list(range(5, 15))
    assert len(store.runs()) == LOG_RUNS
    assert store.read_run(14, 0, 100) == b"run 14\n"
    assert store.read_run(4, 0, 100) is None


def test_each_line_is_kept_at_once():
    files = Files()
    store = Store(files)
    store.begin_run()
    store.log(b"one\n")
    store.log(b"two\n")
    assert Store(files).read_run(1, 0, 100) == b"one\ntwo\n"


def test_a_full_file_system_means_no_log_and_says_so():
    files = Files()
    store = Store(files)
    files.fails = ENOSPC
    store.begin_run()
    store.log(b"one\n")
    assert store.trouble.startswith("no log")
    files.fails = 0
    store.log(b"two\n")
    store.end_run()
    assert store.runs() == []
    store.begin_run()
    assert store.trouble == ""


def test_a_file_system_that_fills_up_during_a_run_keeps_what_it_has():
    files = Files()
    store = Store(files)
    store.begin_run()
    store.log(b"one\n")
    files.fails = ENOSPC
    store.log(b"two\n")
    store.log(b"three\n")
    store.end_run()
    assert store.trouble.startswith("no log")
    assert store.read_run(1, 0, 100) == b"one\n"


def test_a_log_has_an_end():
    store = Store(Files())
    store.begin_run()
    for _ in range(LOG_BYTES // 1000 + 5):
        store.log(b"x" * 1000)
    assert store.trouble == "log full"
    assert store.runs()[0][1] <= LOG_BYTES


def test_strangers_in_the_folders_are_passed_over():
    files = Files()
    files.kept["log/readme.txt"] = b"x"
    files.kept["plans/0badcafe.new"] = b"x"
    store = Store(files)
    store.begin_run()
    store.end_run()
    assert store.runs() == [(1, 0)]
    assert store.plans() == []
