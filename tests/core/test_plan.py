from core.plans import document, make, open_loop, plain
from heatcore import plan
from heatcore.plan import PlanError


def refusal(doc):
    return told(lambda: make(doc))


def refused(data):
    return told(lambda: plan.read(data))


def told(action):
    try:
        action()
    except PlanError as fault:
        return str(fault)
    raise AssertionError("accepted")


def changed(table, row, column, value):
    doc = document()
    doc[table][row][column] = value
    return doc


def limited(**limits):
    doc = document()
    doc["limits"].update(limits)
    return doc


def started(**start):
    doc = document()
    doc["start"].update(start)
    return doc


def test_a_plan_comes_back():
    read = make(document())
    assert read.name == "bat-call logger"
    assert read.id == "0badcafe"
    assert list(read.t_ms) == document()["t_ms"]
    assert list(read.u) == document()["u"]
    assert list(read.waits) == [60_000, 1, 0, 30_000, 2_500, 160_000, 0, 0, 40_000, 4_400]
    assert list(read.stages)[:4] == [0, 0, 60_000, 1]
    assert read.limits[plan.SENSOR_MAX] == 280_000
    assert read.start[plan.START_REST] == 300
    assert (read.law, read.host_lost, read.stretch_ms, read.door_cue_ms) == (0, 0, 60_000, 180_000)


def test_the_other_laws_need_less():
    assert len(make(plain()).u) == 0
    assert len(make(open_loop()).y_mc) == 0


def test_the_keys_are_written_in_one_order():
    shuffled = {key: document()[key] for key in reversed(plan.KEYS)}
    assert plan.write(shuffled) == plan.write(document())


def test_a_deviation_model_is_taken():
    doc = document(deviation=[[0, -900, 400, 12, -7, 10, 2_000, 8_000, 30], [60_000] + [1] * 8])
    assert len(make(doc).deviation) == 2 * plan.DEVIATION_WIDTH
    doc["deviation"][1][6] = 2
    assert "warn_mk" in refusal(doc)


def test_any_one_changed_byte_is_refused():
    data = plan.write(document())
    for i in range(0, len(data), 7):
        assert "checksum" in refused(data[:i] + bytes([data[i] ^ 4]) + data[i + 1 :])


def test_sealed_but_not_a_plan():
    for body in (b"", b"[]", b"nonsense", b"{}", b"null", b"[" * 4_000, b"\xff\xfe"):
        assert refused(plan.seal(body)).startswith("plan: found ")


def test_the_largest_plan_and_one_byte_more():
    doc = document()
    body = plan.write(doc)[: -plan.CRC_DIGITS - 1]
    room = plan.BYTES_MAX - plan.CRC_DIGITS - 1 - len(body)
    assert plan.read(plan.seal(body + b" " * room)).id == doc["id"]
    assert "4097 bytes" in refused(plan.seal(body + b" " * (room + 1)))


def test_every_key_is_needed_and_none_is_unknown():
    for key in plan.KEYS:
        doc = document()
        del doc[key]
        assert "no key " + key in refusal(doc)
    assert "unknown key 'colour'" in refusal(document(colour=1))
    assert "limits" in refusal(limited(spare=1))
    assert "start" in refusal(started(spare=1))


def test_a_fault_says_where_what_and_what_instead():
    assert refusal(changed("waits", 1, 4, 9_801)) == (
        "waits[1][4]: found 9801; expected an integer 0 to 9800"
    )


REFUSED = (
    ("plan", document(plan=2)),
    ("tick_ms", document(tick_ms=500)),
    ("name", document(name="")),
    ("name", document(name="x" * 41)),
    ("name", document(name="a\nb")),
    ("name", document(name=7)),
    ("id", document(id="0BADCAFE")),
    ("id", document(id="0badcaf")),
    ("law", document(law="pid")),
    ("law", document(law=0)),
    ("host_lost", document(host_lost="maybe")),
    ("host_lost", plain(host_lost="continue")),
    ("host_lost", open_loop(host_lost="continue")),
    ("t_ms", document(t_ms=[0])),
    ("t_ms", document(t_ms=7)),
    ("t_ms", document(t_ms=[1, 2, 3, 4, 5, 6])),
    ("t_ms", document(t_ms=[0, 1, 2, 2, 3, 4])),
    ("t_ms", document(t_ms=list(range(121)))),
    ("t_ms[5]", document(t_ms=[0, 1, 2, 3, 4, 3_600_001])),
    ("y_mc", document(y_mc=[25_000] * 5)),
    ("y_mc", document(y_mc=[])),
    ("y_mc", document(y_mc=[25_000] * 5 + [280_001])),
    ("y_mc[0]", document(y_mc=[-50_001] * 6)),
    ("u[5]", document(u=[0, 0, 0, 0, 0, 9_801])),
    ("u[5]", document(u=[0, 0, 0, 0, 0, -1])),
    ("u[5]", document(u=[0, 0, 0, 0, 0, 1.0])),
    ("u[5]", document(u=[0, 0, 0, 0, 0, True])),
    ("u", document(u=[])),
    ("b_mc", document(b_mc=[])),
    ("b_mc", document(b_mc=[25_000] * 5 + [260_001])),
    ("gains", document(gains=[])),
    ("gains[0][1]", changed("gains", 0, 1, -1)),
    ("gains[0][3]", changed("gains", 0, 3, 1 << 20)),
    ("gains[0][4]", changed("gains", 0, 4, 18)),
    ("gains[1][5]", changed("gains", 1, 5, 30_001)),
    ("gains[0]", document(gains=[[0, 1, 1, 1, 16]])),
    ("gains", changed("gains", 0, 0, 1)),
    ("gains", changed("gains", 1, 0, 0)),
    ("gains", changed("gains", 1, 0, 260_001)),
    ("stages", document(stages=[])),
    ("stages[0][1]", changed("stages", 0, 1, "cooling")),
    ("stages", changed("stages", 4, 0, 100)),
    ("waits[0][1]", changed("waits", 0, 1, "door")),
    ("waits[0][2]", changed("waits", 0, 2, 300_001)),
    ("waits", changed("waits", 1, 0, 60_000)),
    ("deviation[0]", document(deviation=[[0] * 8])),
    ("stretch_ms", document(stretch_ms="60")),
    ("limits.run_max_ms", limited(run_max_ms=319_999)),
    ("limits.run_max_ms", limited(run_max_ms=3_600_001)),
    ("limits.sensor_max_mc", limited(sensor_max_mc=300_001)),
    ("limits.board_max_mc", limited(board_max_mc=275_001)),
    ("limits.rise_max_mk_s", limited(rise_max_mk_s=0)),
    ("limits", document(limits=[])),
    ("start.sensor_min_mc", started(sensor_min_mc=45_001)),
    ("start.rest_min_s", started(rest_min_s=-1)),
    ("door_cue_ms", document(door_cue_ms=-2)),
)


def test_broken_plans():
    for where, doc in REFUSED:
        assert refusal(doc).startswith(where + ": found "), (where, refusal(doc))


def test_loosest_values_are_taken():
    assert make(limited(run_max_ms=320_000, sensor_max_mc=300_000, board_max_mc=275_000))
    assert make(document(door_cue_ms=plan.NO_CUE))
