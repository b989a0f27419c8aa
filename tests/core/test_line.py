from heatcore import line


def test_the_check_value_of_the_crc():
    assert line.checksum(b"123456789") == b"cbf43926"


def test_a_line_comes_back():
    values = ["s", 7, 1_750, -536_870_912, 0, "text"]
    data = line.encode(values)
    assert data[-1:] == b"\n"
    assert data.startswith(b'["s",7,1750,-536870912,0,"text"] ')
    assert line.decode(data) == values
    assert line.decode(data[:-1]) == values


def test_any_one_changed_byte_is_noticed():
    data = line.encode(["e", 1, 250, 104, 1, 0])
    for i in range(len(data) - 1):
        changed = data[:i] + bytes([data[i] ^ 1]) + data[i + 1 :]
        assert line.decode(changed) is None


def test_every_piece_of_a_line_is_refused():
    data = line.encode(["e", 1, 250, 104, 1, 0])
    for i in range(len(data) - 1):
        assert line.decode(data[:i]) is None
    assert line.decode(data[1:]) is None


def test_sound_but_not_an_array():
    for body in (b"{}", b"7", b'"s"', b"null", b"[1", b"", b"\xff"):
        assert line.decode(body + b" " + line.checksum(body) + b"\n") is None


def test_the_length_limit_counts_the_line_feed():
    data = line.encode(["x" * (line.LINE_MAX - 14)])
    assert len(data) == line.LINE_MAX
    assert line.decode(data) is not None
    longer = line.encode(["x" * (line.LINE_MAX - 13)])
    assert line.decode(longer) is None
    assert line.decode(longer, line.PIECE_MAX) is not None


def test_other_line_ends_and_upper_case_are_refused():
    data = line.encode([1])
    assert line.decode(data[:-1] + b"\r\n") is None
    assert line.decode(data + b"\n") is None
    body = b"[123456789]"
    upper = line.checksum(body).upper()
    assert upper != line.checksum(body)
    assert line.decode(body + b" " + upper + b"\n") is None


def test_the_longest_tick_of_a_real_run_fits():
    none = -536_870_912
    tick = ["s", 14_400, 3_600_000]
    inputs = [299_750, 0, 14_400, 250, 70_000, none, 5, 0, none, none, 0, 9, 9, none, none]
    command = [9_800, 1, 1, 1, 4, 245_000, 9_800, 15, 9]
    assert len(line.encode(tick + inputs + command)) <= line.LINE_MAX
