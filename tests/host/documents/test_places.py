"""Line numbers of keys in all the ways that TOML can be laid out."""

from heatwright.documents.places import line_of, lines_of_keys, place

TEXT = '''\
# a comment = with a sign
name = "x # no comment"
"quoted key" = 1
a.b.c = 2

[table] # comment [not] = a table
list = [
  1, # inner = 1
  [2, 3],
]
text = """
[not.a.table]
key = 1
"""
inline = { one = 1, two = { three = 3 } }

[deep."er.still"]
x = '[y]'

[[entry]]
v = 1
[[entry]]
v = 2
[entry.sub]
w = 3
[[entry.sub2]]
z = 4
'''


def test_each_key_has_its_line():
    assert lines_of_keys(TEXT) == {
        ("name",): 2,
        ("quoted key",): 3,
        ("a", "b", "c"): 4,
        ("table",): 6,
        ("table", "list"): 7,
        ("table", "text"): 11,
        ("table", "inline"): 15,
        ("deep", "er.still"): 17,
        ("deep", "er.still", "x"): 18,
        ("entry", 0): 20,
        ("entry", 0, "v"): 21,
        ("entry", 1): 22,
        ("entry", 1, "v"): 23,
        ("entry", 1, "sub"): 24,
        ("entry", 1, "sub", "w"): 25,
        ("entry", 1, "sub2", 0): 26,
        ("entry", 1, "sub2", 0, "z"): 27,
    }


def test_what_has_no_line_of_its_own_has_its_neighbours():
    lines = lines_of_keys(TEXT)
    assert line_of(lines, ("table", "inline", "two", "three")) == 15
    assert line_of(lines, ("table", "missing")) == 6
    assert line_of(lines, ("missing",)) is None


def test_a_place_reads_like_a_sentence():
    assert place("my.toml", 4, ("stages", 1, "to_c")) == "my.toml, line 4, stages[2].to_c"
    assert place("my.toml", None, ()) == "my.toml"
