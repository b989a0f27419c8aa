"""Every sentence that a person reads stands here, by room, so that it can be mended and translated.

Plain words, short sentences: many readers have another first language. Values go in by name
through ``str.format``.
"""

from typing import Any

# Every command --------------------------------------------------------------------------------

WHAT_EXISTS = """\
Heatwright takes your own boards from solder paste to good joints with the heat you have.

The loop:  describe -> measure -> plan -> run -> judge -> refine
Works now: {commands}

The next step: heatwright {next_command}
All commands:  heatwright --help
"""
INTERRUPTED = "Interrupted."
UNEXPECTED = """\
This should not have happened: {error}
Set HEATWRIGHT_TRACEBACK=1 and run it again for the details."""

# Records --------------------------------------------------------------------------------------

RECORD_OF_ANOTHER_VERSION = "this record has another version"
RECORD_VERSION = "version {version}"
RECORD_VERSION_CURE = "read it with the Heatwright that wrote it, or a newer one"
RECORD_NO_HEADER = "no header; {damaged} damaged lines"
RECORD_NO_SAMPLE = "no sample; {damaged} damaged lines"
NOT_A_RECORD = "this is not a run's record, or nothing of it is left"
RECORD_LINES = 'lines such as ["h",1,{...}] and ["s",...], each with its CRC-32'
NAME_A_RECORD = "name a run's folder or the record.txt in it"
NO_RECORD_IN_FOLDER = "this folder holds no {record}"
RUN_FOLDER = "a run's folder, as heatwright run makes it"
NAME_ONE_RUN = "name the folder of one run, or its record.txt"
EMPTY_FOLDER = "an empty folder"
NO_SUCH_RECORD = "there is no such record"
NOT_A_FILE = "something that is not a file"
NOTHING_OF_THIS_NAME = "nothing of this name"
A_RECORD = "a run's folder or its record.txt"
NO_SUCH_RECORD_CURE = "look at the path that heatwright run printed at its end"
NO_RUN_FOLDER = "the run's folder can't be made"
WRITABLE_FOLDER = "a folder that may be written to"
OTHER_OUT = "choose another folder with --out"
NO_NEW_RECORD = "the record can't be made"
NEW_RECORD_EXPECTED = "a new file in a folder that may be written to"
RECORDING_STOPPED = (
    "Recording stopped: {path}: {reason}. The run goes on; what was written before is kept."
)

# Records: the archive -------------------------------------------------------------------------

NO_ARCHIVE = "there is no archive of runs here"
NO_ARCHIVE_EXPECTED = "a folder with a folder a run in it, as heatwright run makes it"
NO_ARCHIVE_CURE = "Go to the folder you ran in, or name the archive with --archive."
RUN_UNKNOWN = "no run is called {word}"
RUN_SEVERAL = "several runs begin with {word}"
RUN_UNKNOWN_CURE = "Copy the id from: heatwright runs list"
RUN_ELSEWHERE = "this run lies outside the archive: it stays where it is"
RUN_BEING_WRITTEN = "this run is still being recorded"
RUN_BEING_WRITTEN_CURE = "Wait for its end, then move it."
RUN_IN_THE_WAY = "a run of this id is there already"
RUN_NOT_MOVED = "the run can't be moved"
NO_VERDICT_YET = "not judged"
COMPARED_ABOVE = "{seconds} above liquidus"
COMPARE_COUNT = "Name two to {most} runs."
PICTURE_AT = "The picture: {picture}"
RUNS_COUNT = "{count} runs."
RUN_MOVED = "Now in {folder}"
TRASH_COUNT = "{count} runs in the trash."
TRASH_AT = "The trash is {folder}; nothing in it is deleted for you."
NOT_IMPORTED = "Nothing was imported."
IMPORTED = "Imported: {folder}"
IMPORT_ASK = "Import it like this?"
IMPORT_NEEDS_YES = "nobody is here to ask: add --yes to import, or --preview to look only"
EXPORTED = "Exported: {file}"
EXPORT_EXISTS = "this file exists already"
EXPORT_EXISTS_CURE = "Choose another name with --out, or move the old file away."

# Records: CSV of other programs ---------------------------------------------------------------

CSV_CLOSED = "the CSV can't be read"
CSV_LARGE = "this file is too large for a record of one run"
CSV_EMPTY = "this file holds nothing"
CSV_NO_ROWS = "this can't be read as rows of text"
CSV_EXPECTED = "a text file, one row a reading, columns set apart by comma, semicolon or tab"
CSV_CURE = "Export the run from the other program as CSV and name that file."
CSV_NO_COLUMN = "no column can be told to be the {field}"
CSV_COLUMN_EXPECTED = "headers such as time_s, sensor_c, board_c, duty, target_c, door"
CSV_COLUMN_CURE = "Say which column it is, by its header or its number: {option} NAME"
CSV_NOT_A_PLACE = "where the sensor sat is not said in a word that is known here, once for all rows"
CSV_NOT_A_PLACE_CURE = "Correct this column, or leave it out and say it with --placing."
CSV_SEVERAL = "several columns could be the {field}"
CSV_NO_SUCH_COLUMN = "there is no such column"
CSV_NO_SUCH_COLUMN_CURE = "Copy the header as it stands in the file, or give its number, from 1."
CSV_UNITS_DIFFER = "two units for one column"
CSV_UNITS_DIFFER_CURE = "Leave the unit's option away where the header says it."
CSV_NOT_A_VALUE = "cells that can't be read"
CSV_VALUES = {
    "": "a number; an empty cell where there is none",
    "time": "seconds, H:MM:SS, or a date with a time as 2026-03-04T12:30:15, the same all the way",
    "door": "0 or 1, shut or open",
}
CSV_NOT_A_VALUE_CURE = "Mend or remove these rows, or leave the column out of the file."
# What is wrong, what would be right, how to mend it.
CSV_NONSENSE = {
    "CSV_SHORT": (
        "too few rows for a record",
        "two rows or more below the header",
        "Look into the file: is this the whole export?",
    ),
    "CSV_SWAPPED": (
        "these two columns look swapped",
        "time that rises, temperatures in degrees, duty 0 to 1",
        "Check the header, or name each column with its option.",
    ),
    "CSV_NO_TIME": (
        "rows without a time",
        "a time in every row",
        "Remove these rows.",
    ),
    "CSV_BACKWARDS": (
        "time goes backwards",
        "times that rise from row to row",
        "Two runs in one file: cut it in two. Newest row first: sort it by time.",
    ),
    "CSV_TWICE": (
        "rows with the same time",
        "each time once",
        "Keep one row of each time, or export finer times (fractions of a second).",
    ),
    "CSV_LONG": (
        "this is far longer than a run",
        "six hours at most",
        "Milliseconds or minutes? Say so with --time-unit. Otherwise cut out the one run.",
    ),
    "CSV_DUTY_HIGH": (
        "duty is above 1",
        "0 to 1",
        "In percent? Add {percent}. Of 255 or 10000? Divide by that.",
    ),
    "CSV_DUTY_LOW": (
        "duty is below 0",
        "0 to 1",
        "Is this the heater's power? A controller's raw output may go below; cut it off at 0.",
    ),
    "CSV_NO_HEAT": (
        "a temperature column with no temperature in it",
        "degrees Celsius, Fahrenheit or kelvin",
        "Leave the column out, or name the right one.",
    ),
    "CSV_OTHER_UNIT": (
        "this looks like another unit than °C",
        "degrees Celsius, or the unit said",
        "If it is so, add --unit {unit}. If these are degrees Celsius after all: --unit C",
    ),
    "CSV_HEAT_RANGE": (
        "temperatures that no run has",
        "-60 to 600 °C",
        "Check the unit (--unit C, F or K) and remove readings of a broken sensor.",
    ),
}
CSV_TIME_FALLS = "time that does not rise, and temperatures that do all the way"
CSV_DUTY_IS_HOT = "duty above 1, and temperatures between 0 and 1"

IMPORT_NOT_KEPT = "the imported run can't be kept"
IMPORT_NOT_KEPT_CURE = "Nothing was left behind. Check the folder and the space on the disk."
PREVIEW_HEAD = (
    "{path}: {rows} rows over {length}, set apart by {separator}, decimal {decimal}, {started}"
)
PREVIEW_NO_START = "no date"
PREVIEW_UNUSED = "  not used: {names}"
PREVIEW_WAS = " (was {unit})"
PREVIEW_MISSING = ", {count} missing"
PREVIEW_STEPS = "  a row every {usual} s ({low} to {high} s)"
PREVIEW_GAP = "  a gap of {length} from {at} on: a verdict over it will be unknown"

# Replay ---------------------------------------------------------------------------------------

REPLAY_BAD_PLAN = "this is not a plan that the core would take"
REPLAY_NO_PLAN = "there is no plan to replay"
REPLAY_NO_PLAN_EXPECTED = "plan.json beside the record, or a plan file"
REPLAY_NO_PLAN_CURE = "An imported run has none; name a run that heatwright run recorded."
REPLAY_NOT_EACH_TICK = "this record does not hold every tick"
REPLAY_NOT_EACH_TICK_CURE = (
    "A controller's own log and an import are thinner; replay what heatwright run recorded."
)
REPLAY_SAME = (
    "The same, bit for bit: {ticks} commands and all events of the core came out again. Samples "
    "after heat had ended: {silent}, none of them heated."
)
REPLAY_DIFFERS = "Not the same: first at {at}, {field}: recorded {recorded}, replayed {replayed}."
REPLAY_DAMAGED = (
    "Of the record {damaged} lines are damaged and {missing} ticks missing: from there on the core "
    "was not told the same."
)
REPLAY_VERSIONS = "Recorded by Heatwright {then}, replayed with {now}."
REPLAY_TRACE = "Trace {recorded}, replayed {replayed}"
OTHER_SAME = "On these readings plan {name} would have commanded the very same."
OTHER_PARTS = "On these readings plan {name} parts from the record at {at}: {what}"
OTHER_HEAT = (
    "Heat until {end}: recorded {recorded} at full power, this plan {other}; highest {highest}."
)
OTHER_TRIP = "It would have stopped for safety at {at}: {trip}."
OTHER_BOARD = (
    "On the fitted source, nominal, simulated: {name}: the board peaks at {peak}, {above} above "
    "{liquidus}."
)
OTHER_REFUSED = "on the fitted source this plan could not have been started"
OTHER_NO_SOURCE = "No source.toml in the run's folder: what the board would have seen is not known."
OTHER_TITLE = "Plan {name} on the readings of {record}"

# Report ---------------------------------------------------------------------------------------

REPORT_WRITTEN = "The report: {file}"
REPORT_HINT = "Point at the curve to read it; draw a box to look closer, double-click to go back."
REPORT_AS_RUN = "as at the run"
REPORT_CHANGED = "changed since the run"
REPORT_NOT_IN_RECORD = "the record does not name its hash"
REPORT_MEASURED = "Measured"
REPORT_NOTES = "Notes"
REPORT_EVENTS = "What happened"
REPORT_HASHES = "SHA-256"
REPORT_NO_CLAIM = (
    "A verdict on the curve as far as it was measured, not on the joints: look at every one before "
    "you power the board. No conformity to any standard is claimed."
)
NOT_KNOWN = "not known"
PHOTO_REFUSED = "this photograph can't be shown"
PHOTO_EXPECTED = "JPEG, PNG, WebP or GIF, up to 20 MB"
PHOTO_CURE = "Save it as JPEG, smaller if need be, and name that file."

# Documents ------------------------------------------------------------------------------------

UNKNOWN_KEY = "unknown key"
NO_UNIT = "a key without its unit"
OTHER_UNIT = "a key with another unit"
# What a key may hold.
NOUN_ONE_OF = "one of {choices}"
EACH_OF_TWO = "[low, high], each {number}"
A_DATE = "a date such as 2026-03-14, without quotes"
NOUN_ABOVE = "{noun} above {low:g}, up to {high:g}"
NOUN_FROM_TO = "{noun} from {low:g} to {high:g}"
NOT_EMPTY = "{noun}, not empty"
NOUNS = {
    "number": "a number",
    "integer": "a whole number",
    "string": "text in quotes",
    "boolean": "true or false",
    "array": "a list in [ ]",
    "object": "a table",
}
MISSING_KEY = "a key is missing"
MISSING_TABLE = "a table is missing"
OUT_OF_RANGE = "out of range"
WRONG_VALUE = "the wrong kind of value"
NOT_A_CHOICE = "not one of the choices"
WRITE_UNIT = "Every key carries its unit. Write {lines}."
CONVERTED = "The unit here is {unit}: write {key} = {value}."
DID_YOU_MEAN = "Did you mean {name}?"
IN_TABLE = "{key} belongs in the table [{table}]."
AT_TOP = "{key} belongs at the top of the file, above the first [table]."
SEE_SCHEMA = "All keys and what they mean: heatwright schema {kind}"
ADD_KEY = "Add {key}: {meaning}."
ADD_TABLE = "Add [{key}]: {meaning}."
MEANING = "What it means: {meaning}."
BOTH_ENDS = "Write both ends: {key} = [low, high]."
NUMBER_ALONE = "Write the number alone, the unit is in the key: {key} = {value}"
LOOKS_LIKE = "{value} looks like {fits}."
OTHER_UNIT_IS = "{other} (that is {right} {unit})"
WRITE_LIST = "Write a list: {key} = [{value}]"
CHECK_SHEET = "Compare with the data sheet."

LOW_ABOVE_HIGH = "the low end lies above the high end"
SWAP_TO = "Swap them: [{low:g}, {high:g}]."
SOLIDUS_HIGH = "solidus lies above liquidus"
PEAK_LOW = "the paste would not melt: peak is not above liquidus"
SOAK_HIGH = "the paste would melt during soak"
MELTS_ELSEWHERE = "{alloy} melts at another temperature"
NOT_AN_ALLOY = "not an alloy that can be read"
ALLOY_FORM = "a designation such as Sn63Pb37 or SAC305; shares in percent, 100 in all"
ALLOY_CURE = "Copy the alloy from the label or the data sheet."
ORIGIN_OF_NOTHING = "an origin for a number that does not exist"
ORIGIN_EXPECTED = "the key of a number in this document"
ORIGIN_CURE = "Name the key without its table, as peak_c."
NO_VOLUME = "the size of the body is not known"
NO_VOLUME_EXPECTED = "length_mm and width_mm, or volume_mm3"
NO_VOLUME_CURE = "Add the body's length_mm and width_mm: its heat limit depends on its volume."
VOLUME_LARGE = "the volume is larger than the body"
WIDTH_ABOVE_LENGTH = "wider than long"
SWAP_THEM = "Swap the two."
STENCIL_THICKNESS = "a stencil without its thickness"
STENCIL_CURE = "Add thickness_mm; most stencils are 0.10, 0.12 or 0.15 mm."
REF_TWICE = "the same name stands for two parts"
REF_ONCE = "each name once"
REF_CURE = "Remove it from one of the placements."
STAGE_ORDER = "{name} stands after {after}"
STAGE_ORDER_CURE = "Put the stages in this order; each at most once, any may be left out."
RATE_OR_TIME = "a stage needs either its rate or its time"
RATE_OR_TIME_CURE = "Add one of the two; the other follows from the temperatures."
ONE_OF_TWO = "Keep one of the two; the other follows from the temperatures."
UP_FALLS = "{name} falls"
DOWN_RISES = "{name} does not fall"
DIRECTION_CURE = "Temperatures rise up to reflow and fall in ramp_down."

SYNTAX = "this line is not TOML"
SYNTAX_EXPECTED = "key = value"
SYNTAX_CURE = "Numbers bare, text in quotes, lists in [ ], one key a line."
SYNTAX_JSON = "This looks like JSON; documents are TOML: key = value, one a line."
SYNTAX_QUOTES = 'Use plain quotes: "text".'
SYNTAX_COMMA = "Use a decimal point, not a comma: 0.5"
SYNTAX_UNIT = "Write the number alone; the unit is in the key: peak_c = [235, 250]"
SYNTAX_RANGE = "Write a range as [low, high]: peak_c = [235, 250]"
SYNTAX_NOT_CLOSED = "The list is not closed: add the missing ] at its end."
SYNTAX_COLON = "Use = between key and value, not a colon."
SYNTAX_BOOL = "Write true or false, in small letters."
SYNTAX_BARE_TEXT = 'Put text in quotes: alloy = "SAC305"'
SYNTAX_EMPTY = "Write a value after =, or remove the line."
TWICE = "a key or table stands twice"
ONCE = "each key once"
TWICE_CURE = "Remove one of the two."
NOT_UTF8 = "the file is not UTF-8 text"
NOT_UTF8_CURE = "Save it again with the encoding UTF-8."
NO_FILE = "there is no such file"
NO_FILE_CURE = "Check the path; a shipped document needs its name only, as sac305."
CANDIDATE_WAITS = (
    "It was measured and is not kept yet: look at its picture, then keep it by heatwright measure "
    "--kind KIND --out {path} --accept."
)
IS_FOLDER = "this is a folder, not a document"
IS_FOLDER_CURE = "Name the .toml file inside it."
FILE_CLOSED = "the file can't be read ({reason})"
FILE_CLOSED_CURE = "Check who may read it."
FILE_LARGE = "the file is too large for a document"
FILE_LARGE_CURE = "Documents are a few kilobytes of text."
OTHER_KIND = "this is a {other}, not a {asked}"
OTHER_KIND_FOUND = "the key {key}, which belongs to a {other}"
OTHER_KIND_CURE = "Give the {asked} file here. What a {asked} holds: heatwright schema {asked}"
NO_SUCH_NAME = "no {kind} of this name is shipped"
NO_SUCH_NAME_CURE = "A file of your own needs its path, as ./my-{kind}.toml."
NOT_WRITTEN = "the document can't be written ({reason})"
OLD_AS_IT_WAS = "The old file is as it was."
NOT_WRITTEN_CURE = "Check the folder and the space on the disk."
NO_REGULAR_FILE = "no regular file lies there"
CUT_SHORT = "how sure the model is does not stand here: was the file cut short?"
NOT_THERE = "not there"
CUT_SHORT_CURE = (
    "Copy the file anew, or take these tables from the shipped source of its kind: without them every "
    "number would be taken for certain."
)
STRUCTURE_ELSE = "a {kind} has the structure {structure}"
STRUCTURE_CURE = 'Write structure = "{structure}", or correct kind.'
SHARES_ABOVE_ONE = "shares of what the sensor feels add up to more than one ({keys})"
SHARES_CURE = "Lower one of them; what is left over is air."
POWER_FAR = "the model's power is far from the type plate's"
POWER_CURE = "Compare both with the type plate."
CORRELATED_UNKNOWN = "a correlation of a parameter that is not uncertain"
CORRELATED_CURE = "Give its standard deviation in [model.sd], or remove it here."
NOT_TRIANGLE = "not the lower triangle of a correlation matrix"
ROWS = "{rows} rows"
NOT_TRIANGLE_CURE = "Row 1 holds one number, row 2 two, and so on; each -1 to 1, the last 1."
NO_FOLDER = "the folder can't be made ({reason})"
NO_FOLDER_CURE = "Name a folder that you may write to."
WROTE = "Wrote {path}"
SCHEMA_OVERVIEW = """\
The documents, all TOML with units in their keys:
{documents}

One of them in full: heatwright schema paste
All as files, for your editor: heatwright schema --out schemas"""

# Describing -----------------------------------------------------------------------------------

YES_OR_NO = "yes or no"
ANY_OF = "none, or any of: {choices}; commas between"
ONE_OF = "one of: {choices}"
LOW_TO_HIGH = "low to high, each"
NOT_IN_RANGE = "That is out of range. Right would be {expected}."
NOT_READ = '"{text}" can\'t be read here. Right would be {expected}.'
DEFAULT_IS = "; Enter takes {default}"
MAY_BE_EMPTY = "; Enter leaves it open"
ANSWER_NEEDED = "This can't be left open. Right would be {expected}."
CLASHES = "{what}: {found}; expected {expected}. {cure}"
NOT_KEY_ANSWER = "a line that is not key = answer"
DRAFT_HEAD = "# Answers for heatwright describe; a line each, key = answer."
DEFAULT_OF_ALLOY = "default for {alloy}, common practice of the trade; not from this paste's sheet"
DEFAULT_OF_PACKAGE = "usual for {package}, from memory; not from this part's sheet"
DEFAULT_OF_TRADE = "common practice of the trade; not from this part's sheet"
DEFAULT_OF_BOARD = "usual for boards made to order; nobody looked"
DEFAULT_OF_KIND = "usual for this kind of source; not from its type plate"
MODEL_OF_KIND = "The model is of its kind, never measured. Measure it before you trust a plan."
NO_ALLOY_MELTS_THERE = (
    "No alloy known here melts at {at} °C. Labels say {known}; for another alloy type its "
    "designation, as Sn96.5Ag3.5."
)
NO_WINDOWS = (
    "No windows are known here for {alloy}; take them from its data sheet: "
    "heatwright describe paste"
)
NOT_A_MELTING_POINT = '"{text}" is neither a melting point nor an alloy.'
NO_PACKAGE = 'No outline is known for "{package}". Known: {known}.'
NO_PACKAGE_CURE = (
    "Write the nearest of them, or describe the part: heatwright describe part, and name its file."
)
NO_PARTS_COLUMNS = "the first line must name the columns"
PARTS_CSV = "First line: ref,package or ref,package,side; then one line a part, as U1,QFN-24,top"
NO_REF = "a line without a name on the board"
NO_SIDE = "not a side of a board"
NOT_A_SIZE = (
    '"{text}" is no size. Type length x width x thickness in mm, as 70 x 45 x 1.6; each side '
    "0 to 600, thickness 0.1 to 6.4."
)
ASK_ALLOY = "Melting point on the paste's label, or its alloy:"
ASK_ALLOY_EXPECTED = "138, 179, 183, 217 or 227 °C, or a designation such as SAC305"
ASK_PASTE_NAME = "What do you call this paste?"
ASK_SOLIDUS = "Solidus: begins to melt at, °C:"
ASK_LIQUIDUS = "Liquidus: wholly molten at, °C:"
ASK_WINDOW = {
    "soak_c": "Soak (preheat) temperature, from and to, °C:",
    "soak_s": "Soak (preheat) time, between these two temperatures, s:",
    "above_liquidus_s": "Time above liquidus (TAL), s:",
    "peak_c": "Peak temperature, °C:",
    "up_c_per_s": "Heating rate (ramp-up), °C/s:",
    "down_c_per_s": "Cooling rate (ramp-down), °C/s, without a minus sign:",
}
ASK_DOWN_LIMIT = "Cooling never faster than, °C/s:"
ASK_TO_PEAK = "Time from 25 °C to peak, s:"
ASK_POWDER = "Powder (particle) type, 3 to 6 on most labels:"
ASK_STORAGE = "Storage temperature on the label, °C:"
ASK_EXPIRES = "Use before (expiry date):"
ASK_OPENED = "Day it was first opened:"
ASK_PACKAGE = "Package, as on the part's sheet (QFN-24, SOIC-8, 0603, connector, ...):"
ASK_PART_NAME = "What do you call this part?"
ASK_THICK = "Package body: height (thickness), mm:"
ASK_LONG = "Package body: length, mm:"
ASK_WIDE = "Package body: width, mm:"
ASK_PART_PEAK = (
    "Peak package body temperature on its sheet, °C (where it is silent J-STD-020D counts):"
)
ASK_NEAR_PEAK = "Time within 5 °C of that peak (tp), s:"
ASK_MOISTURE = "Moisture sensitivity level (MSL) on the bag:"
ASK_FLOOR_LIFE = "Floor life on the bag's label, hours (open: by the level, J-STD-033):"
ASK_BAG = "When was the dry bag opened?"
ASK_FRAGILE = "What heat spoils first:"
ASK_LEAD = "Are its leads or balls finished with tin-lead?"
ASK_PASSES = "Most reflow passes that it may see:"
ASK_MASS = "Mass, mg:"
ASK_PADS = "All its solder pads together, mm²:"
ASK_APERTURE_WIDTH = "Stencil: width of its narrowest opening, mm:"
ASK_APERTURE_LENGTH = "Stencil: length of that opening, mm:"
ASK_COVER = "Stencil: share of the centre pad that is printed, %:"
ASK_PAD_WINDOWS = "Stencil: number of openings (windows) over the centre pad:"
ASK_BOARD_NAME = "What do you call this board?"
ASK_SIZE = "Board size and thickness, mm:"
ASK_SIZE_EXPECTED = "length x width x thickness, as 70 x 45 x 1.6; without thickness 1.6"
ASK_LAYERS = "Copper layers:"
ASK_COPPER = "Thickness of each copper layer, µm (1 oz is 35):"
ASK_COPPER_SHARE = "Share of each layer that is copper, %:"
ASK_FINISH = "Surface finish of the pads:"
ASK_PRINTING = "How does the paste get on the pads?"
ASK_STENCIL = "Thickness of the stencil, mm:"
ASK_PASSES_DONE = "Reflow passes that this board has already seen:"
ASK_TOUCH_UP = "Alloy of the wire for touching up:"
ASK_PARTS = "Which parts worry you?"
ASK_PARTS_EXPECTED = "name, package and side, as U1 QFN-24, J1 connector bottom; or none"
ASK_KIND = "What kind of heat source?"
ASK_SOURCE_NAME = "What do you call it?"
ASK_POWER = "Type plate: power at nominal voltage, W:"
ASK_MAINS = "Type plate: voltage, V:"
ASK_MAX = "Highest temperature it is made for, °C:"
ASK_CUT_OUT = "Has it a thermal cut-out of its own, in series with the heater?"
ASK_RACK = "Which rack, and how high?"
ASK_BOARD_PLACE = "Where does the board lie?"
ASK_MOVES = "Does the board move when the door opens?"
ASK_SENSOR = "Sensor and front end (as K, MAX31855):"
ASK_PLACING = "Where does the bead sit?"
ASK_MOUNT = "How is the sensor fixed, and where?"
DESCRIBE_OPENING = "Enter takes what is offered and marks it assumed; Ctrl-C keeps your answers.\n"
THREE_OPENING = (
    "Three answers suffice to begin; all else is filled in and marked assumed.\n"
    "More later: heatwright describe paste, part, board, source.\n"
)
PARTS_OF_BOARD = "parts belong to a board"
GO_ON = "{path} holds {count} earlier answers. Go on with them?"
KEPT_ANSWERS = "\nYour answers are kept in {path}. Go on with: heatwright describe {again}"
OVERWRITE = "{path} is there already. Write over it?"
IS_THERE = "the file is there already, and is kept as it was"
IS_THERE_CURE = "Choose another with --out, or add --overwrite."
LEFT_ALONE = "{path} is there already and was left as it is."
ASSUMED_IN = "Assumed: {keys}. The sheet always wins: put its numbers in {path}."
NEXT_STEP = "Next: heatwright setup-check --paste {paste} --board {board}"

# Checking documents and print -----------------------------------------------------------------

LEAD_MEETS_BISMUTH = (
    "{what} brings lead to {paste}, which has bismuth: tin, lead and bismuth together melt at "
    "95-98 °C, so joints may let go in use"
)
LEAD_REFUSED = (
    "Not done. Use a paste without bismuth, or lead-free parts, finish and wire. If you accept "
    "such joints, write accept_low_melting = true in the board's file; every verdict repeats it."
)
LEAD_ACCEPTED = "accepted in the board's file (accept_low_melting = true)."
LEAD_OF_PART, LEAD_OF_FINISH, LEAD_OF_WIRE = "{name}", "the board's finish", "the touch-up wire"
FINISH_UNKNOWN = (
    "The board's finish is not known. {paste} has bismuth: make sure that the finish holds no lead "
    "(the order's papers say so)."
)
BAKE = (
    "Bake it by the bag's label or J-STD-033 before it sees heat, not in ordinary plastic tape or "
    "reels, and not with Heatwright, which runs no bakes"
)
LIFE_OVER = (
    "{name}: out of its dry bag for {out}, {life} allowed (moisture level {level}). A damp part "
    "cracks in the heat. " + BAKE + "."
)
LIFE_LEFT = "{name}: {left} of its {life} out of the dry bag are left (moisture level {level})."
LIFE_AHEAD = (
    "{name}: its bag is to be opened at {at}, which has not come yet. Correct bag_opened_at."
)
LEVEL_6 = (
    "{name}: moisture level 6, so it is baked before use whatever happened, then soldered within "
    "the time on its label. " + BAKE + "."
)
BAG_NOT_NOTED = (
    "{name}: moisture level {level} allows {life} out of the dry bag, and nobody noted when it was "
    "opened. Add bag_opened_at; if it lay open longer, bake it by its label or J-STD-033."
)
PASSES_OVER = (
    "{name}: this is pass {now} for it, and it may see {most}. Hand-solder it, or leave it off."
)
PASSES_LAST = (
    "{name}: this is pass {now} of {most}, its last. What fails now is touched up by hand."
)
HEAVY = (
    "{name}: {load} mg on each mm² of pad, over {limit:g} (a rule of the trade): upside down it "
    "falls off when its solder melts. Solder its side last, or glue it."
)
SIDE_FIRST = (
    "Two sides: first the {first} side, whose parts are lighter for their pads; then the {last} "
    "side. Each part of the {first} side sees both passes."
)
SIDE_UNKNOWN = (
    "Two sides: the one with the lighter parts first. Mass and pad area of {names} are not noted, "
    "so which that is can't be told here."
)
AREA_RATIO = (
    "{name}: area ratio of its smallest opening is {found:.2f}, under {limit:g} (IPC-7525, from "
    "memory): paste stays in the stencil. {cure}"
)
ASPECT_RATIO = (
    "{name}: aspect ratio of its smallest opening is {found:.2f}, under {limit:g} (IPC-7525, from "
    "memory): paste stays in the stencil. {cure}"
)
STENCIL_THINNER = "A stencil of {thickness:.2f} mm or thinner would do, or a wider opening."
GRAINS = (
    "{name}: its smallest opening is {width:g} mm wide, and five of the largest grains of type "
    "{powder} need {need:g} mm. Use {finer}."
)
FINER_POWDER = "a finer powder (type {powder})"
WIDER_OPENING = "a wider opening"
POWDER_UNKNOWN = (
    "{name}: its smallest opening of {width:g} mm needs powder of type {powder} or finer; the "
    "paste's type is not noted."
)
COVER_HIGH = (
    "{name}: {found:g} % of its centre pad is printed, over {high:g}: so much paste lifts a "
    "leadless part off its outer pads. Print windows that cover {low:g} to {high:g} %."
)
COVER_LOW = (
    "{name}: {found:g} % of its centre pad is printed, under {low:g}: it may stay unsoldered. "
    "Print windows that cover {low:g} to {high:g} %."
)
ONE_WINDOW = (
    "{name}: its centre pad is one single opening. Divide it into windows: gas gets out, and the "
    "squeegee does not scoop it empty."
)
COVER_UNKNOWN = (
    "{name}: how much of its centre pad is printed is not noted. {low:g} to {high:g} %, in "
    "windows; more floats a leadless part."
)
SYRINGE = (
    "{name}: by syringe a row of fine pads gets one thin bead along it, and the centre pad a few "
    "dots, half of it at most; too much bridges, or floats the part."
)
PASTE_EXPIRED = "{paste}: use before {on} is over. Old paste prints badly, balls and grapes."
BEYOND_6 = "7"
LEVEL_ON_LABEL = "as on its label"
SAYS = {"refuse": "NOT DONE", "warn": "look", "note": "note"}
CHECKED_CLEAN = "Nothing in the documents stands against this run."

# The checklist --------------------------------------------------------------------------------

CHECKLIST_TITLE = "Before the run: {board}, {paste}"
CHECKLIST_HEADS = {
    "paste": "Paste",
    "print": "Print",
    "place": "Parts",
    "oven": "Heat source",
    "hand": "At hand",
    "documents": "Open points from the documents",
}
CHECKLIST = {
    "paste": (
        "{paste} warmed sealed to room temperature, as long as it takes; never by heat",
        "Stirred slowly until it is smooth; no crust, no dry lumps",
    ),
    "print_stencil": (
        "Stencil flat on the board ({stencil}), every opening over its pad",
        "Print looked at with a lens: every pad covered, edges upright",
        "Smeared or bridged: wipe off, clean with alcohol, let dry, print again",
        "Centre pads in windows, 50 to 80 % covered",
    ),
    "print_syringe": (
        "One thin bead along each row of fine pads, a dot on each larger pad",
        "Centre pads: a few dots, half covered at most",
        "Too much: take it off with a dry toothpick; smeared: wipe, dry, begin again",
    ),
    "witness": (
        "Witness dot: a dot of paste on a bare pad near {largest}, in sight through the door",
    ),
    "place": (
        "Parts set straight down, pressed lightly: paste not squeezed out between pads",
        "Polarity and pin 1 of each part looked at",
    ),
    "fragile": (
        "{name}: no hotter than {peak:g} °C, at most {near:g} s within 5 °C of that ({source})",
    ),
    "vented_microphone": ("{name}: port free of paste, flux and tape",),
    "oven": (
        "Rack, sensor and board where the source file has them: {places}",
        "Bead of the thermocouple fixed where it belongs, its wires clear of the heater",
        "Board level, nothing else in there, nothing that burns near it",
        "Oven cold enough to begin",
    ),
    "hand": (
        "Lamp: solder can be seen to melt through the door",
        "Tool to lift the board, and a bare metal rest for it",
        "Fan and open window: fumes go out",
        "Hand near the mains switch from first heat to the end",
        "Nobody moves the board until its solder is dull and firm",
    ),
}
A_BOARD = "a board"
PLACES = "rack {rack}; board {board}; sensor {sensor}"
PLACES_UNKNOWN = "no source file given"
LARGEST_UNKNOWN = "the largest part"
STENCIL_OF = "{thickness:g} mm"
STENCIL_UNKNOWN = "thickness not noted"
CHECKLIST_FOOT = (
    "Wanted: peak {low:g} to {high:g} °C on the board, above {above:g} °C for {from_s:g} to "
    "{to_s:g} s."
)

# Judging --------------------------------------------------------------------------------------

LABELS = {
    "peak": "the peak",
    "time_above_liquidus": "the time above liquidus",
    "soak": "the soak",
    "heating_rate": "the steepest heating",
    "cooling_rate": "the steepest cooling",
    "time_to_peak": "the time from 25 °C to the peak",
    "part_time_above_liquidus": "the time above liquidus, for the parts,",
    "part_heating_rate": "the steepest heating above liquidus, for the parts,",
    "part_cooling_rate": "the steepest cooling above liquidus, for the parts,",
    "large_part_peak": "the peak at the largest part",
    "small_part_peak": "the peak at a small part",
    "sensor_peak": "the sensor's highest, coasting",
    "part_peak": "{part}: the peak",
    "part_near_peak": "{part}: the time within 5 °C of its limit",
    "part_heating": "{part}: the steepest heating",
    "part_cooling": "{part}: the steepest cooling",
    "part_time_to_peak": "{part}: the time from 25 °C to the peak",
}
MELTED_EVERYWHERE, MELTED_MEASURED = "Melted everywhere", "Melted, but not surely everywhere"
PART_SAFE = "{names} safe"
PART_NEAR = "{name} {by} from its limit"
PART_OVER = "{name} {by} over its limit"
SAID_OF_PARTS = "{said}{but}."
PASS_DONE = (
    "This was pass {done} for this board. Before it goes in again, write passes_done = {done} in its "
    "file."
)
ASSUMED_NUMBERS = "Assumed, from no data sheet: {said}."
MELTED = "Melted: the board peaked at {peak} and stayed {above} above {liquidus}"
VERDICT_PASS = "{melted}; every window of {paste} holds."
VERDICT_LIKELY = (
    "{melted}; every window of {paste} holds as measured, but {label} lies closer to its end than "
    "the sensor can tell."
)
VERDICT_WARN = "{melted}, but {problem}."
VERDICT_FAIL = "Outside what {paste} and the parts allow: {problem}."
VERDICT_UNMELTED = (
    "The paste never melted: the board peaked at {peak}, {short} short of the {liquidus} at which "
    "{paste} is molten."
)
# By where the board's temperature comes from.
VERDICT_UNFINISHED = {
    "measured": (
        "The record ends before the board was through: its last reading is {last}, its highest "
        "{peak}."
    ),
    "estimated": (
        "The record ends before the board was through: it is estimated to have been at {last} "
        "then, at its highest {peak}."
    ),
}
TOO_HIGH = "{label} was {value}, {by} over the {bound} allowed"
TOO_LOW = "{label} was {value}, {by} under the {bound} needed"
# What lies outside each window (common practice of the trade).
CONSEQUENCES = {
    ("peak", True): "Unmelted or cold joints: lumpy, separate grains still to be seen.",
    ("peak", False): "Look for charring, blisters in the board, dewetting, melted connectors.",
    ("time_above_liquidus", True): "Cold joints: lumpy, separate grains still to be seen.",
    ("time_above_liquidus", False): "Joints grow brittle and dewet; plastic softens.",
    ("soak", True): "Parts differ in temperature: look for tombstones, cold large parts, spatter.",
    ("soak", False): "The flux is used up: look for poor wetting, graping, solder balls.",
    ("heating_rate", True): "A slow start uses up the flux: look for poor wetting and graping.",
    ("heating_rate", False): "Paste slumps and spits: look for bridges, tombstones, solder balls, "
    "cracked parts.",
    ("cooling_rate", True): "Coarser grain in the joints.",
    ("cooling_rate", False): "Look for cracked parts.",
    ("time_to_peak", False): "The flux is used up before the solder melts: look for poor wetting.",
    ("part_time_above_liquidus", False): "Longer than parts are qualified for: plastic and "
    "electrolytic parts suffer first.",
    ("part_heating_rate", False): "Faster than parts are qualified for: look for cracked parts.",
    ("part_cooling_rate", False): "Faster than parts are qualified for: look for cracked parts.",
    ("part_peak", False): "Hotter than it is made for: look at it closely, test it first.",
    ("part_near_peak", False): "Too long near its limit: look at it closely, test it first.",
    ("part_heating", False): "Faster than it is made for: look for cracks.",
    ("part_cooling", False): "Faster than it is made for: look for cracks.",
    ("part_time_to_peak", False): "Slower than it is qualified for; a stronger source would help.",
}
# What to do otherwise next time: said of runs that went their whole way only.
NEXT_TIME = {
    ("time_above_liquidus", False): "Open the door earlier, or wider, at the peak.",
    ("cooling_rate", True): "Open the door wider at the peak.",
    ("cooling_rate", False): "Open the door less at the peak.",
    ("part_cooling", False): "Open the door less.",
}
CUT_BY = {
    "safety": "The run was stopped for safety: its curve is no measure of the profile, and nothing "
    "about plan or door is to be learnt from it.",
    "stop": "The run was stopped before its end: its curve is no measure of the profile.",
}
BOARD_NOT_KNOWN = {
    "air": "Nobody knows how hot the board was: the sensor was not on it, and air and board "
    "differ by tens of degrees.",
    "silent": "Nobody knows how hot the board was: its sensor gave no good reading.",
    "unseen": "Nobody knows how hot the board was: nothing measured it, and no melt was marked.",
    "gap": "Nobody knows how hot the board was: its sensor was silent for {for_s} from {at_s} on.",
    "doubted": "Nobody knows how hot the board was: the run was stopped on readings that may not have "
    "been the board's.",
    "moved": "Nobody knows how hot the board was: the sensor was not where the source file has it.",
    "model": "Nobody knows how hot the board was: the source file's model can't follow this run.",
    "vague": "How hot the board was is hardly known: its peak lay between {low} and {high}.",
}
BOARD_ADVICE = {
    "air": (
        "Look at the joints: bright, smooth and wetted is molten; grey and grainy is not.",
        "Next time put a bead on the board or on a scrap board of the same size "
        "(simulated: --sensor board_sensor).",
    ),
    "silent": ("Check the thermocouple and its plug; then run again on a scrap board.",),
    "unseen": (
        "Look at the joints: bright, smooth and wetted is molten; grey and grainy is not.",
        "Next time press at the instant you see solder run together, or put a bead on the board.",
    ),
    "gap": (
        "Check the thermocouple and its plug; then run again on a scrap board.",
        "Readings typed in by hand guide the hand; they lie too far apart for a verdict.",
    ),
    "doubted": (
        "Look at the joints: bright, smooth and wetted is molten; grey and grainy is not.",
        "Check the bead and its wire; then run again on a scrap board.",
    ),
    "moved": (
        "Look at the joints: bright, smooth and wetted is molten; grey and grainy is not.",
        "Put the sensor back where the source file has it, or measure the source anew.",
    ),
    "model": ("Measure the source anew, with the board and the sensor where they are now.",),
    "vague": (
        "Look at the joints: bright, smooth and wetted is molten; grey and grainy is not.",
        "Press the melt mark at the instant you see solder run together, or measure the source: "
        "either makes this far narrower.",
    ),
}
JUDGED_FROM = {
    "measured": "Judged from one bead, ±{tolerance}; rates over {window}. Other places on the "
    "board differ: look at every joint before you power it.",
    "estimated": "Judged from an estimate on the source's model, ±{tolerance} at the peak; rates "
    "over {window}. Look at every joint before you power it.",
}
HEAT_IN_FIGURES = (
    "Informative: heating factor {factor} K s (an optimum near 510 was published for µBGA joints); "
    "the layer between solder and copper grew {growth} times that of a minute at 230 °C."
)
DAMAGED_LINES = "Damaged lines of the record, left out: {count}."
PEAK_MOLTEN = "board peak {peak}\n{above} above {liquidus}"
BOARD_LINE = "board ({origin})"
UNSEEN_BOARD = "board (simulated; nobody saw this)"
PEAK_SHORT = "board peak {peak}\n{short} short of melting"
DOOR_OPENED, DOOR_SHUT = "door opened", "door shut"
WINDOWS_FROM = "Windows of {names}: {source}"
SAFETY_STOP = "stopped for safety: {what}"
PASTE_IN_FOLDER = "{paste} beside the record, or --paste"
PASTE_IN_FOLDER_CURE = "say which paste was used, for example --paste sac305"
NO_PASTE_IN_FOLDER = "the record's folder holds no paste.toml"

# Measuring ------------------------------------------------------------------------------------

TABLE_SHORT = "too few rows with a time and a duty to learn from"
COLUMNS_CURE = (
    "The first line names the columns: time_s, duty (or knob), sensor_c; board_c and door may be "
    "added."
)
SWAPPED = "two columns are swapped"
SWAPPED_CURE = "It looks as if {one} and {other} were swapped: rename the columns."
ROWS_LEFT_OUT = "Rows without a time or a duty were left out."
NO_READINGS = "a sensor without readings"
TIME_UNIT = "readings are too far apart to learn from"
TIME_UNIT_CURE = "If the times are milliseconds, divide them by 1000."
CHANNELS = {"sensor": "the sensor", "board_sensor": "the bead on the board"}
FROM_TO = "{name} from {start:.0f} to {peak:.0f}"
FAHRENHEIT = "these temperatures look like Fahrenheit"
FAHRENHEIT_CURE = "Convert them: °C = (°F - 32) / 1.8."
KELVIN = "these temperatures look like kelvin"
KELVIN_CURE = (
    "Convert them: °C = K - 273.15. If they are °C after all, the source was hot at the start: let it "
    "cool, and record again."
)
TOO_HOT_TO_BE = "no bead here gets so hot"
NOT_A_TEMPERATURE = "this column holds no temperatures"
TIME_STANDS = "the time stands still"
CLOCK_JUMPS = "the clock jumped more than once: nobody knows how long anything took"
CLOCK_MENDED = "The clock was set by {moved:+.0f} s at {at:.0f} s; the jump was taken out."
GAP = "from {at:.0f} s on nothing was recorded for {length:.0f} s"
GAP_EARLY = "a gap, and too little before it to learn from"
GAP_CUT = "Used up to a gap only: {gap}."
SHORT_GAP = (
    "A short gap without readings, {total:.0f} s: nothing was learnt from it; heat and door are taken "
    "to have stayed as they were before it."
)
SHORT_GAPS = (
    "{count} short gaps without readings, {total:.0f} s in all: nothing was learnt from them; heat and "
    "door are taken to have stayed as they were before each."
)
READINGS_LOST = (
    "{count} of {of} readings of {name} are missing, or are no number: they count as not taken."
)
RECORD_AGAIN = "Record again, with the logger's power and cable secured."
SATURATED = "the sensor stands at the end of its range"
SATURATED_CURE = "Use a sensor or a converter that reaches the source's temperatures."
SATURATED_CUT = "{name} stood at the end of its range ({top:.0f} °C); those readings were left out."
TRIED = "{length:.0f} s, highest duty {duty:.2f}, rise {rise:.0f} K"
NOTHING_TRIED = "nothing was tried in this record, so there is nothing to learn from it"
NOTHING_TRIED_CURE = "Heat at full power, then heat off, then open the door: see docs/measuring.md."
FALLS = "{name} falls by {fall:.0f} K while heated"
LEADS_REVERSED = "the thermocouple's leads are reversed"
LEADS_CURE = "Swap its two leads at the converter."
SENSOR_GOOD = "{point}: reads {reading:.1f} °C, true {true:.1f}: good."
SENSOR_OFF = (
    "{point}: reads {reading:.1f} °C, true {true:.1f}: off by {off:+.1f} K, more than {most:.1f}."
)
SENSOR_TYPE = (
    "That is what a type {other} thermocouple reads on a type {own} converter: use type {own}."
)
SENSOR_LEADS = "It reads colder than the room in what is hot: its leads are reversed. Swap them."
SENSOR_OFFSET = "Off by the same everywhere: the converter sits warm or its cold junction is off."
SENSOR_FAHRENHEIT = "Both are right in Fahrenheit: have the converter or logger give °C."
SENSOR_BOTH = (
    "Off at both, and not by the same: check the type, the leads, and that both readings were taken "
    "after a minute's stirring."
)
SENSOR_SLOPE = "Off in proportion: check the type, and for a second junction along the leads."
SENSORS_AGREE = "The two sensors agree: they differ by {off:+.1f} K."
SENSORS_DIFFER = (
    "The two sensors differ by {off:+.1f} K, more than {most:.1f}: check both in ice water."
)
JUNCTION_DRIFTS = (
    "The converter's cold junction rose by {rise:.0f} K in this run: move it away from the heat, or "
    "shield it; its error grows as it warms."
)
BEAD_GROUNDED = (
    "The readings jump by {jump:.1f} K from one to the next while heat is on: a bead that touches "
    "earthed metal does that. Insulate the bead."
)
NO_FIT = (
    "No {kind} behaves like this: the best fit misses the readings it was not shown by {rms:.1f} K "
    "(fit {fit:.0f} %), worst {worst:.0f} K at {at:.0f} s. {cure} No file was changed."
)
NOT_THE_PLATE = (
    "What this record shows would be a source of {found:.0f} W, and its type plate says {plate:.0f} W. "
    "Check --kind, where the sensor sat, and that duty is the share of full power. Where the plate says "
    "something else, write it down first (heatwright describe source --out FILE.toml) and measure with "
    "--out FILE.toml. No file was changed."
)
NO_FIT_CURE = (
    "Check --kind, the columns and their units, where the sensor sat, and that the door stands in "
    "the record if it was opened."
)
NO_MARK = "no mark was made afterwards that could be taken back"
NO_MARK_CURE = "A mark pressed during a run was taken back then, with u, or stands."
MARKS_CLOSED = "the file of marks can't be read or written"
ALLOY_NOT_KNOWN = "which alloy melted is not known"
KEPT_BACK = "kept back for the score"
NOT_STRONG = "Heat never went over 60 %: how strong the source is stays a guess."
NOT_COASTED = "Heat was never off while it was hot, door shut: what is stored and lost is a guess."
NOT_OPENED = "The door was never opened while it was hot: cooling is a guess."
NOT_ON_BOARD = (
    "Nobody read the board: how far it is from the sensor is the kind's guess. Fix a thermocouple "
    "on a scrap board, or mark the melt in a run: heatwright mark."
)
NOT_HOT = "It never got hotter than {highest:.0f} °C: near the melting point the model is a guess."
ON_OTHER_KIND = "this simulated source is of another kind"
ON_OTHER_KIND_CURE = "Measure it as what it is: --kind {kind}"
OTHER_SOURCE_KIND = "this file is of another kind of heat source"
OTHER_SOURCE_KIND_CURE = "Name another file with --out, or its own kind with --kind."
PLACINGS = {
    "scrap_board": "Sensor on a scrap board: reads the board to within the wire's 2.5 K and how "
    "alike the two boards are.",
    "on_board": "Sensor on the board: reads it to within the wire's 2.5 K.",
    "touching": "Sensor only touching the board: some 10 K between board and air.",
    "in_sand": "Sensor in the sand: the board in it follows behind.",
    "air": "Sensor in the air: until marks are learnt, board peaks miss by 13 to 54 K in simulation "
    "(19 runs of 20 by less).",
    "not_known": "Where the sensor sat is not known: what it reads may not be the board.",
}
NO_DOOR_SWITCH = (
    "There is no switch at the door: it is taken to have been opened 3 s after you were asked to."
)
SET_UP_MOVED = "{run}: {key} was {had!r}, the file says {says!r}. The model holds for one set-up: measure again."
WHICH_KIND = "what kind of heat source it is is not known"
NOTHING_TO_MEASURE = "nothing to measure"
NOTHING_TO_MEASURE_CURE = "Name records, or guide a run with --on sim:toaster or a port."
MEASURED = (
    "On stretches that it was not shown the model is off by {rms_c:.1f} K (RMS), fit "
    "{fit_percent:.1f} %, worst {worst_k:+.1f} K at {worst_at_s:.0f} s."
)
CHECKED = (
    "{run}, {name}: off by {rms_c:.1f} K (RMS), fit {fit_percent:.1f} %, worst {worst_k:+.1f} K at "
    "{worst_at_s:.0f} s."
)
LEVELS = {
    "few": "The record supports the most important parameters; the rest stays as its kind has it.",
    "whole": "The record supports the whole model.",
    "loose": "It does not behave like its kind: its numbers were left free. Was --kind right?",
}
INTERVAL = "  {name:24} {low:10.4g} to {high:.4g} {unit}"
UNLEARN = (
    "{source} has learnt from marks of this run, and still knows what they said. To unlearn, copy an "
    "earlier generation back over it ({before}) and mark what still stands again."
)
CANDIDATE_GONE = (
    "{path} had learnt from it and was taken away: refit the source by the marks that still stand."
)
UNDONE = "Taken back: {seen} at {at:.0f} s. The source file stays as it is; refit it with a mark."
MARK_PEAK = "The board peaked at {peak:.0f} ±{band:.0f} °C (90 %), as far as the marks tell."
TOLD_BEFORE = (
    "The source has learnt from this run already: how far board and sensor differ in it was told then, "
    "and is not told again from what is left, its duty alone."
)
MARK_KNOWN_RUN = (
    "{record}: {source} has learnt from this run's sensor already; of its marks it had counted: "
    "{before}. None of that is counted again. Found new: {found}; what is told of the board here goes "
    "by that and by the power alone, without this run's sensor."
)
NO_MARKS_BEFORE = "none"
MARK_KNOWN_RUN_CURE = (
    "To weigh sensor and all marks together, measure anew from all that it learnt: heatwright measure "
    "{record} ... --kind {kind} --out {source}. Is a mark wrong, take the latest back: heatwright mark "
    "{record} --undo --source {source}."
)
DIFFERENCES = "Board against sensor over the run, with its 90 % band:"
DIFFERENCE = "  {at:5.0f} s  board {board:4.0f} °C, {off:+5.0f} K from the sensor, ±{band:.0f}"
MARK_CANDIDATE = (
    "A candidate, not yet in use: {path}. Keep it by the same command with --accept: the mark "
    "stands, and counts once."
)
NOTHING_NEW_LEARNT = "{path} stays as it is: this run has no mark that it has not learnt from."
OR = " or "
NO_SOURCE_LEARNT = "No source file was changed: give yours with --source."
FORCED_NOTE = "A mark of {run} was kept though it contradicts the model (--force)."
CONTRADICTS = "this mark lies {sds:.1f} standard deviations from what the model expects"
BOARD_EXPECTED = "a board at {expected:.0f} °C at {at:.0f} s, when {alloy} was seen"
MELTS_AT = "{low:g} to {high:g} °C"
CONTRADICTS_CURE = (
    "Was it the flux that turned glossy, or solder freezing? Was the alloy right, the set-up as the "
    "file says? If you are sure, say so (--force)."
)
SHIPPED_SOURCE = "this is the name of a shipped source, which nothing is written over"
SHIPPED_SOURCE_CURE = (
    "Learn a file of your own: heatwright measure RUN --kind {name} --out my-{name}.toml. It learns "
    "from the run's marks too; mark it without --source before, where it has none."
)
NOT_TOML = "a source file ends in .toml: any other name is taken for a shipped source's"
NOT_TOML_CURE = "Name it {path}"
SOURCE_OF_MARK = "which source the mark teaches is not known"
SOURCE_OF_MARK_CURE = "The run's folder holds no source.toml: give the file with --source."
NOT_IN_RUN = "this time lies outside the run"
WITHIN_RUN = "0 to {end:.0f} s"
WITHIN_CLOCK = "{begin:%H:%M:%S} to {end:%H:%M:%S}, by the clock of the computer that ran it"
NOT_A_TIME = "not a time"
TIME_FORM = "seconds, M:SS or H:MM:SS"
NOT_STARTED = "the record does not say when it began"
NOT_STARTED_CURE = "Give the time since the run began, without --video-time."
NOT_SAFE = (
    "Too little is known of this {kind} to melt {paste} by eye: when it melts, the hottest plausible "
    "board may be at {hottest:.0f} °C, over the {ceiling:.0f} °C at which heat must end. First measure "
    "it with a thermocouple on a scrap board, or use a paste that melts lower."
)
SEE_MELT = """See-it-melt run: put a witness dot of paste on a bare pad near the largest part, and
watch it. When grey grains run together into bright metal: m and Enter. Flux that turns wet and glossy
is not it. Confirm that you are there whenever asked: p and Enter."""
SEEN_TO_MELT = (
    "Melted: {after:.0f} s more, then heat ends. Mark once more when the last joint melts."
)
OPEN_NOW = "Heat is off: open the door now (on a hot plate or sand: lift the board)."
CEILING_REACHED = (
    "Heat is off: the board may be at {hottest:.0f} °C by now, melted or not. Open the door."
)
ALL_MELTED = "All of it melted."
PARTLY_MELTED = (
    "It melted, in part at least: do not move parts before they are cold. This counts as a pass "
    "through the oven."
)
NOT_MELTED_YET = (
    "Nobody marked a melt. Look at the joints: if they are grey and grainy, it did not melt; put fresh "
    "flux on, then go straight to the peak with a short soak."
)
MELTED_UNMARKED = (
    "Nobody marked a melt, yet the bead on the board read {peak:.0f} °C, and the paste melts at "
    "{liquidus:.0f} °C: it did melt. Look at the joints; grey and grainy ones need fresh flux."
)
FLUX_SPENT = (
    "Nobody marked a melt, and it was above 150 °C for more than 5 minutes. Look at the joints: if they "
    "are grey and grainy, it did not melt, and the flux is used up; clean the paste off and print again."
)
GUIDED = """Measuring run: strong heat, then part heat twice, heat off, then open the door when told.
Put in a scrap board of the same thickness, where boards lie, with the thermocouple fixed to it;
where that stays elsewhere, a dot of paste on the board instead: mark the instant it melts (m).
Put nothing in that matters. Stay with it, the mains switch at hand."""
GUIDED_RECORDED = "Recorded: {folder}"
GUIDED_LEFT = (
    "Nothing was learnt yet. To learn from what was recorded: heatwright measure {folder} --kind {kind}"
    " --out {out}"
)
GUIDED_TRIPPED = "{trip} Nothing was learnt. What was recorded: {folder}"
PICTURE = "Measured against predicted: {path}"
NO_CANDIDATE = "no candidate waits here to be kept"
NO_CANDIDATE_CURE = (
    "Measure first (heatwright measure --on PORT, or with records), with the same --out; what was "
    "accepted already is in the source file itself."
)
CANDIDATE_KEPT = "A candidate, not yet in use: {path}. Look at the picture; keep it with --accept."
SOURCE_KEPT = "Kept: {path}"

# What was seen --------------------------------------------------------------------------------

JOINT_LOOKS = {
    "good": "Wetted up the lead or pad, smooth or slightly dull; a dull or slightly grainy surface "
    "alone is normal with lead-free, and no side fillet on a leadless part is no fault by itself.",
    "unmelted": "Grey paste as printed: separate grains, nothing has flowed.",
    "cold": "Lumpy, separate grains still to be seen in it; flowed only in part.",
    "bridge": "Solder joins two neighbours that should be apart.",
    "open": "Lead or pad and solder do not touch, or touch without joining.",
    "non_wetting": "Solder lies on pad or lead as a bead, its edge turned in, bare metal beside.",
    "dewetting": "Solder had spread, then drew back into beads; between them metal thinly tinned.",
    "insufficient": "Wetted, but so little solder that the fillet is thin or partly missing.",
    "tombstone": "A small part stands on one end, the other in the air.",
    "shifted": "The part lies off its pads, turned or slid.",
    "floating": "The part rides high or tilted on the solder under its middle.",
    "solder_ball": "Loose balls of solder on the board or beside parts.",
    "graping": "A bunch of molten grains that did not run together, mostly on tiny deposits.",
    "charred": "Board or part brown, blistered or with a burnt smell.",
    "melted_plastic": "Plastic sagged, warped or shiny where it was dull.",
    "cracked": "A crack in the body of a part, or a popped corner.",
    "wrong_part": "Another part than the layout's, or the right one turned round.",
    "not_visible": "Under the body, out of sight: probe it.",
}
JOINT_STATES_HEAD = "What a joint may be, and how it looks:"
JOINT_FORM = "a joint is noted as NAME=STATE"
JOINT_EXPECTED = "as U1=bridge; states: {states}"
JOINT_UNKNOWN_STATE = "not a state of a joint"
JOINT_UNKNOWN_REF = "{ref} is not on this board ({known}); noted all the same."
NOTED_HEAD = "Seen:"
NOTED = "  {ref}: {state}. {looks}"
NOTES_BROKEN = "the notes of this run can't be read"
DOOR_WAS_EARLY = "the door was opened at {at}, the peak was at {peak}."
TEST_NOTED = "  Test: {text}"
CAUSES_HEAD = "Causes of {state} at {refs}, likeliest first, and what to change next time:"
CAUSE_LINE = "  {number}. {cause}{evidence}\n     {change}"
FOR_THAT, AGAINST_THAT = " For it: {text}", " Against it: {text}"
SAME_AGAIN = (
    "{ref} was {state} in {count} runs whose peaks lay between {low} and {high}: heat is not it. "
    "Look at paste and stencil opening."
)
SAME_AGAIN_SHORT = "the same in {count} runs under different heat."
CAUSES = {
    "peak_low": ("The peak was too low.", "Raise the peak within the paste's window."),
    "above_short": (
        "Too little time above liquidus.",
        "Hold longer at the peak; open the door later.",
    ),
    "peak_high": ("The peak was too high.", "Lower the peak within the paste's window."),
    "above_long": ("Too long above liquidus.", "Open the door earlier and wider at the peak."),
    "soak_short": ("The soak was too short: parts were unequally hot.", "Soak longer."),
    "soak_long": ("The soak used up the flux.", "Shorten the soak, or ramp straight to the peak."),
    "heating_fast": ("Heated too fast: paste slumped or spat.", "Heat more slowly below 150 °C."),
    "slow_start": ("So slow to the peak that the flux was used up.", "Start hotter or stronger."),
    "cooling_fast": ("Cooled too fast.", "Open the door less, or later."),
    "part_hot": (
        "The part was beyond its own limit.",
        "Lower the peak, or fit it by hand.",
    ),
    "print_smeared": (
        "The print was smeared.",
        "Look at each print; wipe, clean, dry and print again when smeared.",
    ),
    "too_much_paste": (
        "Too much paste.",
        "A thinner stencil or smaller openings; less from the syringe.",
    ),
    "too_little_paste": (
        "Too little paste came out of the opening.",
        "Wipe the stencil's underside; a thinner stencil or wider opening; check area ratio.",
    ),
    "part_pressed": ("The part was pressed into the paste.", "Set it down lightly."),
    "paste_old": ("Old, dry or badly stored paste.", "Fresh paste, warmed sealed; stir it."),
    "copper_pour": (
        "One pad on a copper pour stayed colder than its neighbour.",
        "Thermal spokes on that pad; a longer soak.",
    ),
    "centre_pad_over": (
        "The centre pad was over-filled and lifts the part.",
        "Print it in windows, 50 to 80 % covered.",
    ),
    "damp_part": (
        "A damp part: steam cracked it.",
        "Keep the bag shut; bake by its label or J-STD-033 when floor life is over.",
    ),
    "moved": ("Moved while molten.", "Do not touch or carry the board until the solder is firm."),
    "door_early": ("The door was opened early.", "Open it at the peak, not before."),
    "sensor_moved": (
        "The sensor had moved, so the curve is not the board's.",
        "Fix the bead, and look at it before each run.",
    ),
    "cold_spot": (
        "That corner of the source is colder.",
        "Turn the board, or lay it where the heat is even; put the bead there once.",
    ),
    "dirty_pads": (
        "Pads or leads were oxidised or dirty.",
        "Clean the pads; boards and parts from a closed bag; more active flux.",
    ),
    "misplaced": ("The part was set down off its pads or turned.", "Check placing with a lens."),
}
TOUCH_UP_HEAD = "To touch up, with {iron}:"
TOUCH_UP = {
    "unmelted": "{ref}: more flux, then the whole board once more straight to the peak with a "
    "short soak (it counts as a pass), or hot air on that part.",
    "cold": "{ref}: flux, then the iron on pad and lead until it flows.",
    "bridge": "{ref}: flux along the row, drag a clean tip along it, take the rest with wick.",
    "open": "{ref}: flux, iron on pad and lead, a little wire.",
    "non_wetting": "{ref}: take the solder off with wick, clean pad and lead, flux, solder anew.",
    "dewetting": "{ref}: take the solder off with wick, clean, flux, solder anew.",
    "insufficient": "{ref}: flux, a little wire.",
    "tombstone": "{ref}: flux; hold it down with tweezers, one end with the iron, then the other.",
    "shifted": "{ref}: flux, hot air until it floats into place, or lift it off and set it anew.",
    "floating": "{ref}: flux, hot air until it settles, press lightly with tweezers; else lift it "
    "off and take solder from the centre pad.",
    "solder_ball": "{ref}: pick the balls off with tweezers or a brush; wash only what may be.",
    "graping": "{ref}: flux, then the iron or hot air until it runs together.",
    "charred": "{ref}: change the part; a charred board is not to be trusted.",
    "melted_plastic": "{ref}: change the part by hand.",
    "cracked": "{ref}: change the part.",
    "wrong_part": "{ref}: lift it off with hot air, clean the pads, set the right one.",
}
IRON = {
    "lead": "an iron at 315 to 350 °C and tin-lead or the paste's own wire",
    "lead_free": "an iron at 340 to 380 °C and lead-free wire",
    "bismuth": "a clean tip at 200 to 260 °C and bismuth wire, never leaded: a tip that has seen "
    "lead is cleaned first",
}
IRON_SOURCE = "(common practice of the trade; two or three seconds a joint)"
PROBE_HEAD = "Joints out of sight, to probe with the power off:"
PROBE_SHORTS = "{ref}: no short between neighbours: pins {pairs}; nor from each to the centre pad"
PROBE_DIODE = (
    "{ref}: diode check from ground to each pin: about 0.3 to 0.8 V; nothing at all is an open "
    "joint (or a pin without a diode), near 0 V a short (or a ground pin)"
)
PROBE_ALL_PAIRS, PROBE_SOME_PAIRS = "1-2, 2-3 and so on to {last}-1", "next to each other"
POWER_HEAD = "Before first power:"
BEFORE_POWER = (
    "Each supply rail to ground: not shorted (more than some tens of ohms once capacitors are "
    "charged)",
    "Polarity of capacitors, diodes, battery connector and pin 1 of each chip{polar}",
    "Laboratory supply with a current limit a little above what you expect; no battery yet",
    "Watch current and feel for heat in the first seconds",
)

# Planning -------------------------------------------------------------------------------------

OUT_OF_REACH = (
    "This source can't melt {paste}: the board gets to {highest_c:.0f} °C at most, and needs "
    "{peak_c:.0f} °C. A smaller board, a shelf nearer to the heat or a stronger source would help."
)
SENSOR_TOO_HOT = (
    "On this source the sensor would read {found_c:.0f} °C at its highest, which may come long after "
    "heat has ended. The controller stops at {limit_c:.0f} °C, and {room_k:.0f} K below it are kept "
    "free for a source that varies. Put the sensor where it is cooler, or on the board."
)
PLAN_NOT_TAKEN = (
    "The course that was found makes no plan that a controller takes: {why}. A stronger source, a "
    "lighter board or a quicker profile makes it shorter."
)

ENSEMBLE_WORKS = "Works in {works} of {sources} simulated ovens like yours"
ENSEMBLE_MISSES = "; the {count} misses: {causes}."
ENSEMBLE_MISS = "; the one miss: {causes}."
ENSEMBLE_ANY_PART = "a part"
ENSEMBLE_SOFT = "Windows that only cost quality were missed in so many of them: {names}."
ENSEMBLE_TRIP = "stopped for safety ({name})"
ENSEMBLE_MAINS = {-1: " with mains low", 0: "", 1: " with mains high"}
ENSEMBLE_CAUSES = {
    "peak low": "peak too low",
    "peak high": "peak too high",
    "time_above_liquidus low": "molten for too short",
    "large_part_peak low": "cold joint at the large part",
    "small_part_peak high": "small part too hot",
    "sensor_peak high": "sensor too hot while coasting",
    "part_peak high": "a part over its limit",
    "part_near_peak high": "a part near its limit for too long",
    "part_time_above_liquidus high": "molten for longer than parts survive",
    "part_heating_rate high": "heated too fast above liquidus",
    "part_cooling_rate high": "cooled too fast above liquidus",
}
ENSEMBLE_PROGRESS = "Tried in {done} of {of} simulated ovens"
PLAN_CUT = "{done} trials are kept in {path}: the same command goes on from there."
PLAN_MISSES = "{label} would be {value}, {by} {side}"
UNDER, OVER = "too low", "too high"
WHOLE_RUN_OF_PLAN = "a whole run that was made with this very plan"
NOTHING_TO_REFINE_CURE = (
    "Name a run that was made with this plan and went to its end; each run's folder keeps its plan, "
    "as plan.json."
)
PLAN_TO_REFINE = "a plan as heatwright plan or refine wrote it, such as plan.json"
PLAN_TO_REFINE_CURE = "Check the path; a source file or a record is no plan."
NOTHING_TO_REFINE = "none of these records can teach this plan anything"
REFINE_NEEDS_SOURCE = "the source of this run is not known"
PLAN_NO_TRAJECTORY = "this plan has no trajectory to refine"
NO_BEAD_NO_MARK = "nobody knows how hot the board was in these runs"
NO_BEAD_NO_MARK_CURE = (
    "Put a bead on the board, or mark the melt: heatwright mark RUN --at M:SS; then refine again."
)
UNFIT = {
    "other_plan": "it was run with another plan",
    "tripped": "it was stopped for safety",
    "stopped": "it was stopped or cut short",
    "unmelted": "its heating was given up",
    "short": "it ends before the board was past its peak",
}
LEARNT = (
    "From soak to after the peak the board was off its course by {rms:.1f} K (RMS); on the model "
    "{expected:.1f} K of that is left."
)
LEARNT_DUTY = "Power along the plan moved by up to {change:.0f} % of full, to what the run needed."
LEARNT_SENSOR = "The sensor is expected where it really was: moved by up to {change:.0f} K."
LEARNT_BOUNDED = "Some of it was more than one run may change: refine once more after the next."
REFITTED = "Melt marks learnt: {marks}. The source was fitted anew, and the plan made anew on it."
MARKS_KNOWN = "The source knows these runs' marks already: the plan was made anew on it as it is."
PEAKED = "By its marks the board of {run} got to about {peak:.0f} °C."
MOVED = "  {name}: {share:+.0f} %"
REPLANNED = (
    "The board's planned peak: {before:.0f} °C before, {after:.0f} °C now, as the file sees it."
)
REFINED_AT = "Generation {number}: {path}. {before} stays as it was and can be run again."
REFINED_PICTURE = "What changed, and the runs that taught it: {path}"
LESSON_LABELS = {
    "board": "board, as wanted",
    "board_before": "board, as wanted before",
    "board_now": "board, as wanted now",
    "sensor_before": "sensor's course before",
    "sensor_now": "sensor's course now",
    "run_board": "bead on the board, in the run",
    "run_sensor": "sensor, in the run",
    "melt": "solder seen to melt",
    "off": "Off course, K",
    "off_board": "board, off its course in the run",
    "off_sensor": "sensor, off its course in the run",
    "moved": "sensor's course, moved by",
    "run_power": "power, in the run",
    "power_before": "plan's power before",
    "power_now": "plan's power now",
    "time": "Time, s (the plan's clock: it stands while the plan waits)",
}
SOURCE_AT = (
    "The source learnt too: {path}. Run and refine the new plan with --source {path}, so that it "
    "goes on from there."
)
LEFT_OUT = "Not learnt from {name}: {why}."
REFINED_ALREADY = (
    "Nothing new: generation {number} is this very plan, {path}. Run it, and refine it by that run."
)
NO_PLAN_THERE = "what lies there is no plan, and is not written over"
PLAN_EARLIER = "The plan that lay there before is {path} now and can be run again."
PLAN_MEASURE = (
    "This source is known by its kind only: measure it (heatwright measure){bead} before boards "
    "that matter."
)
PLAN_MARK = (
    "How far the board is from the sensor is known too roughly yet: mark the melt in a run or two "
    "(heatwright mark), or put a bead on the board (--sensor board_sensor), before boards that matter."
)
PLAN_OR_BEAD = ", or put a bead on the board (--sensor board_sensor),"
GENERATION_THERE = "this file exists: every generation is kept"
ANOTHER_OUT = "Choose another name with --out."
NO_DASK = "a cluster needs the package distributed"
NO_DASK_CURE = "pip install 'heatwright[cluster]'"
NO_CLUSTER = "no Dask scheduler answers there"
WITHIN = " (within its window)"
REMEDIES = {
    "open_door_wider": "Open the door wider at the peak, half as far again: {effect}.",
    "lower_peak": "Stay near the lowest peak that the paste allows: {effect}.",
    "lighter_load": "A board a third lighter in heat, or fewer at a time: {effect}.",
    "two_stage": "Two stages: heat the source to 100 °C empty, then lay the board in: {effect}.",
    "insulation": "Insulate the shell and close its leaks, 40 % less lost: {effect}.",
    "fan": "A fan that moves the air in there: {effect}.",
    "another_alloy": "A low-melting paste (Sn42Bi58), where its brittle joints will do: {effect}.",
}
PLAN_FEASIBLE = "Feasible on {source} with {paste}: peak {peak}, {above} above liquidus{door}."
PLAN_INFEASIBLE = "Not feasible on {source} with {paste}: {why}"
PLAN_WINDOW = "  {met} {label:50} {value:>10}   window {window:>16}   margin {margin}"
PLAN_NO_VALUE = "none"
PLAN_SOFT = (
    "Missed, though joints come out: {names}. It is what this source does at its best; the limits "
    "stand as they are."
)
PLAN_ADVICE = "What would help, each planned anew:"
PLAN_ASKED = (
    "The profile as it was asked for, on its own clock: this source gets the board to {peak}, "
    "{above} above liquidus; asked for {asked}. The plan is the nearest that it can follow."
)
PLAN_START = "Starts with the sensor at {low:.0f} to {high:.0f} °C{rest}."
PLAN_REST = ", {minutes:.0f} min or more after the last heat"
SOURCE_THINGS = {"oven": "oven", "plate": "plate", "bath": "sand", "jet": "hot air"}
PLAN_READY = "Now: {thing} {now:.0f} °C; ready."
PLAN_WAIT = (
    "Now: {thing} {now:.0f} °C; ready in about {minutes} min. Or make a plan for it as it is: "
    "heatwright plan --start now --reads {now:.0f}."
)
PLAN_NEVER = (
    "Now: {thing} {now:.0f} °C; it will not get cool enough in a room of {room:.0f} °C. Plan with "
    "--ambient {room:.0f}."
)
PLAN_BOARD = (
    "Your board takes {mine:.1f} J/K with its parts, the one that the source was learnt with "
    "{theirs:.1f} J/K: planned for yours. A plan made for one is not for the other."
)
PLAN_OTHER_SENSOR = "this plan was made for a sensor in another place"
PLAN_SENSOR_AT = {
    "sensor": "the control sensor where the source has it",
    "board_sensor": "the control sensor on the board",
}
PLAN_OTHER_SENSOR_FOUND = "{place}, which would read up to {off:.0f} K off the plan's course"
PLAN_OTHER_SENSOR_CURES = {
    "sensor": (
        "Plan again for the sensor that you have: heatwright plan --sensor sensor. Or, where it does "
        "sit on the board, run with --sensor board_sensor."
    ),
    "board_sensor": (
        "Plan again for the sensor that you have: heatwright plan --sensor board_sensor. Or, where "
        "it does sit where the source has it, run with --sensor sensor."
    ),
}
PLAN_OTHER_BOARD = (
    "This plan seems made for another board. Yours takes {mine:.1f} J/K with its parts, the one "
    "that the source was learnt with {theirs:.1f} J/K: by the source file the plan's power takes "
    "yours to {peak:.0f} °C, where it promises {planned:.0f} °C. Unless it was refined with this "
    "very board, make it anew: heatwright plan --board."
)
PLAN_MARGINS = (
    "From {at}: gain margin {gain:.1f}, phase margin {phase:.0f}°, Ms {ms:.2f} (worst source "
    "{worst:.2f})"
)
PLAN_SLOW_LOOP = (
    "The loop is slow to correct: the sensor lags by {lag:.0f} s. A finer bead, better fixed, would "
    "let it be quicker."
)
PLAN_BURST = (
    "The heater is fired in whole mains cycles of a {window:.2g} s window: that alone costs "
    "{degrees:.0f}° of phase margin."
)
PLAN_RINGS = "Margins are thin (Ms {ms:.2f}): it may ring on a source that differs from its file."
PLAN_WRITTEN = "Plan: {path}"
PLAN_NOT_WRITTEN = "No plan was written: no limit is bent."
PLAN_PICTURE = "Predicted against asked: {path}"
NEEDS_READING = "what the source reads now is not known"
NEEDS_READING_CURE = (
    "Name the run before with --after RUN, or what the sensor reads with --reads C; no run of this "
    "source lies in runs/."
)
MELTS_EVERYWHERE = "the last joint must be wholly molten too"
NOT_TRIPPED = "the controller's limit of the sensor, and room for a source that varies"
SURVIVES = "the lowest limit of any part on the board"

# Running --------------------------------------------------------------------------------------

NO_SUCH_FAULT = "there is no fault of this name"
FAULT_OF_CHIP = (
    "{name} can only be had on the virtual controller: here the core runs without a chip, a link "
    "or a supply that could fail. The fault campaign (heatwright faults) has it too"
)
FAULT_OF_LOOP = (
    "{name} can only be had where the plant is simulated in the same program: the virtual "
    "controller has the chip's own faults"
)
FAULT_ON_REAL = (
    "no virtual controller is at this port, so what answers there is taken for real: nothing is "
    "broken on it"
)
FAULT_ON_SIMULATED = "--on sim:NAME or plant:MODULE:FACTORY"
FAULT_ON_VIRTUAL = "--on the port that python -m heatsim.virtual FOLDER prints"
FAULT_NEEDS_RUN = "before arming there is nothing yet that this fault could hit"
FAULT_FROM_0 = "0 or more seconds after heating begins"
FAULT_NEVER = "{fault} never struck: the run ended after {end:.0f} s."
FAULT_NO_TIME = "no time for this fault"
FAULT_UNTIMED = "no @SECONDS after the name"
FAULT_FORM = "NAME@SECONDS, such as relay-shorted@200; below 0: before arming"
CAUTIONS = """\
Before heat: mains wiring by someone licensed; earth, fuse and residual-current device in place;
a thermal cut-out of its own in series with the heater; no food in this oven ever again; fresh
air; nothing that burns near it. Stay with it, the mains switch at hand: a solid-state relay that
fails usually fails ON, and no software can then turn the heat off.
Stay within reach of the plug until it is below 60 °C. Fire: door shut, plug out, no water."""
FIRST_RUN = (
    "Hardly a run stands in this controller's log. Before its first: heatwright cold-check --port "
    "{port} passed in every step; a scrap board instead of yours, with a bead on it; your hand near "
    "the plug until it is below 60 °C. Fire: door shut, plug out, no water."
)
UNKNOWN_SOURCE_WARNING = (
    "Nobody has measured this source. The limits are loose, what the board goes through is not "
    "known, and the verdict will say so."
)
SOURCE_NOT_KNOWN = "no source file, so nobody knows what this source does to a board"
SOURCE_NOT_KNOWN_CURE = (
    "Give the file of the measured source; to run the plain profile all the same, add "
    "--unknown-source."
)
PLAN_OR_PROFILE = "a plan is made from a profile already: both can't be followed"
KEEP_ONE = "Keep one of --plan and --profile."
PLAN_CLOSED = "the plan can't be read"
PLAN_BROKEN = "this is not a plan that a controller would take"
PLAN_BROKEN_CURE = "Make it anew from its profile: heatwright run --profile FILE --source FILE"
NO_OWN_PROFILE = "no profile is shipped for {paste}"
NO_OWN_PROFILE_CURE = "Give one with --profile FILE, made from the paste's data sheet."
REAL_SPEED = "real heat goes at the speed of the wall's clock"
REAL_SPEED_CURE = "Leave --speed away: it is for what is simulated."
NO_WARM_PLUGIN = "a plant of one's own always starts at room temperature"
LEFT = "What was recorded so far: {folder}"
STOPPING = "Stopping: heat is off. Recording until it has cooled; Ctrl-C again leaves at once."
STAGE_NAMES = {
    "preheat": "preheat",
    "soak": "soak",
    "ramp_up": "ramp up",
    "reflow": "reflow",
    "ramp_down": "ramp down",
}
# Where heat ends by readings: as soon as the plan allows, and at the latest.
LEFT_BETWEEN = "{least} to {most}"
LIVE_LINE = "{at}  {stage:9}  target {target}  sensor {sensor}  power {power}  {left} left"
RUN_EVENTS = {
    "mark": "Melt marked.",
    "unmark": "Melt mark taken back.",
    "not_melted": "No melt was marked in time: heat is off.",
    "stop": "Stopped: heat is off.",
    "door": "The door moved.",
    "arm": "Armed.",
}
OPEN_THE_DOOR = "Open the door now (on a hot plate or sand: lift the board)."
RUN_NOTES = {
    "wait_mark": "Melted? m and Enter: melted. n and Enter: not yet, and it holds 90 s at most.",
    "wait_press": (
        "Is anybody there? Press the start button at the controller, or p and Enter here. Without "
        "an answer heat ends."
    ),
    "wait_above": "Waiting for the temperature.",
    "no_reading": "The sensor gives no sound reading.",
    "not_confirmed": "Nobody answered: heat is off, and there is no reflow.",
    "door_open": "The door is open: heat waits ten seconds for it to be shut.",
    "door_left_open": "The door was left open: heat is off for good.",
    "pull_plug": "PULL THE PLUG: heat goes on with everything switched off. Keep the door shut.",
}
RUN_TRIPPED = "Stopped for safety: {name}. Heat is off."
TRIP_LINE = "Stopped for safety after {at}: {name}{numbers}."
TRIP_NUMBERS = "; seen {seen}, limit {limit}"
PLAN_GIVEN = "Plan {name}, as given."
PLAN_UNKNOWN_SOURCE = (
    "Profile {name} as it stands: no source file is at hand, so the sensor follows the line and "
    "the board may not."
)
PLAN_MADE = "Plan {name}: on the nominal source the board peaks at {peak}, {above} molten{door}."
PLAN_DOOR = "; open the door at {at}, when told"
PLAN_LIFT = "; lift the board off at {at}, when told"
PLAN_ENDS = {
    "hot-plate": PLAN_LIFT, "sand": PLAN_LIFT, "hot-air": "; take the gun away at {at}, when told"
}  # fmt: skip
# Beside the line in a plan's picture, by what the heat source is.
DRAWN_CUES = {
    "oven": "open the door",
    "plate": "lift the board",
    "bath": "lift the board",
    "jet": "take the gun away",
}
PLAN_OUTSIDE = "  Even so this source misses a window: {label} would be {value}."
RUN_KEPT = "All of it, with the picture: {folder}"

# Controllers ----------------------------------------------------------------------------------

ON_NOTHING = "this names nothing that a run could go to"
ON_NO_SIMULATED = "there is no simulated source of this name"
ON_SIMULATED = "{names} or sim:FILE.toml"
ON_EXPECTED = (
    "{simulated} (simulated); plant:MODULE:FACTORY (simulated, your own); or a serial port: {ports}"
)
ON_PORTS = "such as /dev/ttyACM0; none is on USB now"
NO_SUCH_PORT = "there is no such port"
NO_PORTS = "no USB serial port at all"
NO_PORT_CURE = (
    "Plug the controller in with a cable that carries data (many only charge), wait five seconds "
    "and name one of the ports found. On Windows a port may need its maker's driver."
)
BOOT_LOADER_CURE = (
    "A chip waits in its boot loader (BOOTSEL): it has no MicroPython yet. Copy the official .uf2 "
    "image for it onto the disk that appeared, wait for the port, then flash."
)
PORT_FORBIDDEN = "you may not open this port"
PORT_OWNER = "it belongs to the group {group}"
PERMISSION_CURE = """sudo usermod -aG {group} $USER   then log out and in again.
  Or let whoever sits at this computer: in /etc/udev/rules.d/60-controller.rules write
  SUBSYSTEM=="tty", ATTRS{{idVendor}}=="2e8a|303a", TAG+="uaccess"
  then: sudo udevadm control --reload; unplug the controller and plug it in again."""
PERMISSION_CURE_ELSEWHERE = "Open it from an account that may use serial ports."
PORT_BUSY = "another program has this port open"
PORT_BUSY_CURE = (
    "Close serial monitors, editors and other runs that use it. On Linux a modem service may "
    "probe new ports for half a minute: wait, then try again."
)
NOT_A_PORT = "this can't be used as a serial port"
NOT_A_PORT_CURE = (
    "Name the controller's port, as /dev/ttyACM0. All that are here: heatwright controller list"
)
NO_ANSWER = "no controller answers at this port"
NO_ANSWER_EXPECTED = "Heatwright's firmware, running"
NO_ANSWER_CURE = (
    "If this is the right port, put the firmware on it: heatwright flash --port {port}. If it was "
    "flashed already, unplug it, wait five seconds and plug it in again."
)
NOT_BEGUN_STOPPED = "Stopped before it began: nothing was heated."
NOT_BEGUN_WINDOW = (
    "Nothing was heated: while outputs were checked and the countdown ran, the sensor left the "
    "window of {low:.0f} to {high:.0f} °C from which this plan may start. Let the source rest, or "
    "plan for it as it is now: heatwright plan --start now."
)
LOST_IN_RUN = "the controller fell silent in the middle of the run: HEAT MAY BE ON"
LOST_IN_RUN_EXPECTED = "a line every quarter of a second"
LOST_IN_RUN_CURE = (
    "Pull the oven's plug now, keep the door shut, and stay until it is below 60 °C. What was "
    "recorded is kept in {folder}. Then look at the cable and the controller's own supply."
)
VERSIONS_DIFFER = "the controller's firmware is not this program's"
VERSIONS = "core {core}, protocol {protocol}"
VERSIONS_CURE = "Put this program's own firmware on it: heatwright flash --port {port}"

# Flashing -------------------------------------------------------------------------------------

NO_PROMPT = "the chip at this port shows no MicroPython prompt"
NO_PROMPT_CURE = (
    "Put MicroPython on it first. RP2040/RP2350: hold BOOTSEL while plugging it in and copy the "
    "official .uf2 image onto the disk that appears. ESP32: write the official image with "
    "esptool; its USB bridge may need its maker's driver."
)
PROMPT_FAILED = "talking to the chip's prompt failed"
PROMPT_FAILED_CURE = (
    "Run flash again: it goes on where it stopped. If that does not help, unplug the controller, "
    "wait five seconds, plug it in and flash again."
)
AT_WORK = "the controller is at work"
AT_WORK_CURE = "Let the run end, or stop it, and flash again."
TO_SERVICE = "Into the service boot: no heater pin is an output there."
MPY_FOUND = "MicroPython {release}, .mpy version {version}"
MPY_EXPECTED = ".mpy version {version}, as {release} and later read it"
MPY_DIFFERS = "the chip's MicroPython can't read these files"
MPY_CURE = "Put the current official MicroPython image on the chip, then flash again."
HIDDEN_MODULES = "files on the chip hide its own modules"
HIDDEN_MODULES_CURE = "Remove them: mpremote connect {port} fs rm {files}"
NOTHING_TO_COPY = "Every file is there already: nothing to copy."
COPYING = "Copying {count} files, {size:.0f} kB. A cut does no harm: flash again and it goes on."
COPY_WRONG = "files on the chip are not what was sent"
COPY_WRONG_CURE = (
    "Flash again. If it stays so, the chip's file system is worn or full: erase it with the "
    "official image for that, put MicroPython on it anew, and flash."
)
STAYED_IN_SERVICE = "the controller stays in service: its files don't match their manifest"
OTHER_CHIP = "the chip at this port is another one; nothing was copied"
OTHER_CHIP_CURE = "leave --chip out: the chip itself says what it is; or choose the other port"
PIN_REFUSED = "this chip can't have this wiring"
PIN_CURE = (
    "Correct the wiring file, give it with --wiring, and flash again. Until then it has no heat."
)
PIN_EXPECTED = 'a pin number, 0 to 48, or "none" for what is not fitted'
WIRING_UNREADABLE = "the wiring file can't be read"
BAD_CONFIG = "the controller would not take this setting"
FLASHED = "Firmware {firmware} on {chip}: {copied} files copied, {kept} kept; it answers, {state}."
NO_OUTPUTS_YET = (
    "It reads and can't heat: outputs = none. Once it is wired: heatwright flash --port {port} "
    "--outputs ssr, then heatwright cold-check --port {port}."
)
FLASHED_NEXT = "Next, with the mains unplugged: heatwright cold-check --port {port}"

# Fault campaign -------------------------------------------------------------------------------

CAMPAIGN_ON = "the campaign breaks simulated sources only"
CAMPAIGN_BY_HAND = "this source is driven by hand: no controller switches it, so none can fail"
CAMPAIGN_POWERED = "a source that a controller switches: {names}, or a file of their kinds"
CAMPAIGN_RUNS = "Breaking things"
CAMPAIGN_CUT = "Ends as soon as what is being worked on is done; nothing is kept (--keep would)."
CAMPAIGN_CUT_KEPT = (
    "Ends as soon as what is being worked on is done. What is finished is kept in {folder}: the same "
    "command goes on from there."
)
CAMPAIGN_CUT_NOTHING = "Ends as soon as what is being worked on is done. Nothing is finished yet: {folder} holds no results."
CAMPAIGN_HEADS = (
    "fault", "seen", "median s", "p95 s", "max s", "hottest board °C", "hottest unseen °C",
)  # fmt: skip
CAMPAIGN_FAULT_HEADS = ("fault", "what happens")
CAMPAIGN_SOURCE = "source, sensor"
CAMPAIGN_PLACES = {"sensor": "in its own place", "board_sensor": "on the board"}
CAMPAIGN_FALSE = "Runs without a fault: {runs}; stopped all the same: {tripped}{by}."
CAMPAIGN_FALSE_BY = " (by {rules})"
CAMPAIGN_SPREAD = (
    "Simulated sources within {spread:.0%} of the model that the plan was made from; draws of each "
    "source and placing of the sensor: {seeds}; mains within 10 %, sensor noise, cold junction "
    "within 2 K."
)
CAMPAIGN_PAGE_HEAD = """# What is seen when something breaks

Made by `heatwright faults --page`: every number here was measured in simulation, with the very
files that the controller runs. No heater was harmed, and none was proved: a simulated oven is not
yours. See [safety.md](safety.md) for what software can't do."""
CAMPAIGN_PAGE_COLUMNS = """Seen: the controller stopped by itself, or would not begin, of all cases (before arming and at the
moments of the run from its start to after the door's cue, the sensor in its own place and on the
board). Seconds: from the fault to the heater off for good. Hottest unseen: the board's highest
temperature where nothing was noticed and the run went on.{plain} Two welded relays are followed to
400 °C.

One case in ten is struck after the door's cue, when the heat is off and the rules that a late door
would trip are at rest: most faults stay unseen there. Not to be seen, since nothing comes of them:
garbage on the link, and a safety relay that welds while the solid-state relay works. Four hide
themselves in many cases: a relay that conducts one half-wave (the loop takes that heat back), a fan
that stands still and a bead in the air (where either changes little of what is read), and wire of
the wrong type (it reads what a sound source reads on weak mains).

No current sensor is fitted in these runs: with one, a weld shows in the first off-slot, and a
safety relay that does not open shows at the next arming."""
CAMPAIGN_PAGE_CHIP = """Faults of sensor, outputs and plant ran in the fast loop: control core and state machine, without
the rest of the firmware. On the virtual controller ran {names}:
the whole firmware under MicroPython, far slower and so with one draw, {cases} cases on {settings} of
the {all} pairs of source and placing."""
CAMPAIGN_PAGE_NO_CHIP = """Faults of sensor, outputs and plant ran in the fast loop: control core and state machine, without
the rest of the firmware. {names} were left out: they need the virtual controller, whose MicroPython
comes with `make setup-dev`."""
CAMPAIGN_PAGE_FRESH = """Fresh runs are armed 10 to 60 s after the board was laid down, up to 8 K warm from the run before;
the door is opened 0 to 15 s after its cue, or in one of ten never."""
CAMPAIGN_PAGE_WELDS = """\
## A welded relay, with a safety relay in series and without

With one, the controller opens it. Without one (or with both welded) no rule can help: only a
thermal cut-out of its own in series saves the house, or a hand at the plug. `heatwright faults
--cut-out` gives the cut-out's rating and place. Seconds to 300 °C of the board: the soonest of all
cases, from the fault, at full power."""
CAMPAIGN_WELD_HEADS = (
    "source", "seen, with", "p95 s to off", "hottest board °C", "seconds to 300 °C, without",
)  # fmt: skip
CAMPAIGN_PAGE_LOW = """\
## A welded relay, since it could show

While nearly full power is asked for, a weld changes nothing. Seconds from when the commanded duty,
as a mean over 30 s, was 0.6 or less:"""
CAMPAIGN_LOW_HEADS = ("source", "struck", "cases", "median s", "p95 s", "max s")
CAMPAIGN_LOW_PARTS = ("at any moment", "before the door's cue", "after it")
CAMPAIGN_PLAIN = " The runs without a fault peaked at {low:.0f} to {high:.0f} °C."
CAMPAIGN_PAGE_FAULTS = "## The faults"
CAMPAIGN_PAGE_SOURCES = "## Source by source"
CAMPAIGN_BY_SOURCE = ("relay-shorted", "relay-open", "both-welded", "sensor-detached-air")
CAMPAIGN_BOTH = (
    "With both relays welded no rule can help: the board was at 300 °C {seconds:.0f} s after the "
    "fault, at the soonest. Only a thermal cut-out of its own in series, or a hand at the plug, "
    "ends that. A welded solid-state relay with no safety relay in series is the same case."
)
CAMPAIGN_BOTH_COOL = "With both relays welded no rule can help; see the table for the board."

# Cold check -----------------------------------------------------------------------------------

COLD_CAUTIONS = """\
COLD CHECK. This converts an appliance: its approval is gone, and nothing here replaces it. No
conformity to any safety standard is claimed.
- Mains wiring only by someone licensed to do it, to local code: protective earth on all metal,
  isolation between mains and logic, a fuse, a residual-current device, a switch at hand.
- A thermal cut-out of its own stands in series with the heater: a solid-state relay usually fails
  ON, and no software can open it.
- A solid-state relay that is off still leaks: its output is live until the plug is out.
- The bead has glass-fibre leads, is insulated from earthed metal, and is fixed so that it can't
  fall. Never food in this oven again.
- Once it heats: stay within reach of the plug until it is below 60 °C. Fire: door shut, plug out,
  no water.
The mains plug is OUT now and stays out until you are asked to put it in.
Is all of this so?"""
CHECK_LEFT = "Left: nothing was switched on."
CHECK_DONE = (
    "All steps passed. First run: a scrap board, with a bead on it; stay within reach of the plug "
    "until it is below 60 °C. Fire: door shut, plug out, no water. Next: heatwright measure --help"
)
STEP_PASSED = "  ok  {text}"
STEP_FAILED = "Failed: {step}: {seen}\n  {advice}"
NOT_IDLE_ADVICE = (
    "It must be at rest first. Tripped: look at the oven, then heatwright controller clear. In "
    "service: flash it again."
)
NO_OUTPUTS_ADVICE = (
    "This controller only reads. To heat: heatwright flash --port {port} --outputs ssr"
)
SENSOR_OK = "the sensor reads {found_c:.1f} °C"
SENSOR_ADVICE = {
    "sensor_open": "The thermocouple is open: seat both leads in their clamps; measure it with a "
    "meter, a few ohms.",
    "sensor_short_to_ground": "A lead or the bead touches earthed metal. Insulate the bead (glass "
    "fibre, polyimide tape up to 260 °C) or use an insulated-junction probe.",
    "sensor_short_to_supply": "A thermocouple lead touches the supply: check the converter's wiring.",
    "sensor_dead_bus": "No converter answers: check its supply, SCK, MISO and CS, and that the "
    "sensor named when flashing is the one fitted.",
    "sensor_frozen": "The converter gives no new values: check its supply and CS line.",
    "sensor_cold_junction": "The converter's own temperature is implausible: it sits too near the "
    "heat, or another converter is fitted than was flashed.",
}
SENSOR_ELSE = "Check the sensor's wiring and that the converter fitted is the one flashed."
NOT_A_ROOM_ADVICE = (
    "A cold oven in a workshop reads 5 to 40 °C. Let it cool down; else the thermocouple's type or "
    "the converter is not the one flashed."
)
JUNCTION_SEEN = "bead {found_c:.1f} °C, cold junction {junction_c:.1f} °C"
JUNCTION_ADVICE = (
    "Cold, both are in the same room and agree within 8 K. Let all of it cool; move the converter "
    "away from what warms it; use thermocouple wire right up to its clamps."
)
WARM_BEAD = "Hold the bead between two fingers for ten seconds now."
HAND_SEEN = "it moved by {change_k:+.1f} K"
HAND_OK = "warmed by hand, it rose by {change_k:.1f} K"
HAND_ADVICE = (
    "Is this the bead that is wired? Warm it longer, with a warm spoon if fingers are cold."
)
REVERSED_ADVICE = "Warmth makes it fall: the leads are reversed. Swap them at the clamps."
BOILING = (
    "Mains plug out. Take the bead off its place and hold it in boiling water, in the midst of it and "
    "not at the pot's wall, until told. It shows whether wire and converter are of one type. Is the "
    "water boiling, the bead in it? (No: this step is left out.)"
)
NOT_BOILED = (
    "boiling water: left out. Do it before the first run with a board: wire of the wrong type reads "
    "too little, and the board gets far too hot"
)
BOILING_OK = "boiling water reads {found_c:.1f} °C. Dry the bead, fix it in its place, let it cool"
BOILING_ADVICE = (
    "Boiling water reads 95 to 101 °C; above 1500 m less, by 1 K every 300 m. Far below: the wire or "
    "an extension of it is not of the type flashed, or the bead is not in the water. Far above: "
    "another converter than the one flashed."
)
PRESS_STOP = "Press the stop button now, and let it go."
STOP_OK = "the stop button stops and lets go"
STOP_STUCK = "it stays pressed"
STOP_STUCK_ADVICE = (
    "The stop circuit is closed while nobody presses (normally closed, to ground). Check for a "
    "broken wire, a normally open button, or one that latches: turn it back."
)
STOP_ADVICE = "Wire it normally closed from the stop pin to ground; heat is refused without it."
PLEASE = {
    "press_start": "Press the start button now.",
    "move_door": "Open the door now (or shut it).",
}
NOT_FITTED = "{what}: not fitted"
SEEN = "{what}: seen"
NOT_SEEN = "nothing was seen"
CONTACT_ADVICE = (
    "Check its two wires, the pin named when flashing, and with a meter that it switches."
)
WATCH_METER = (
    "Mains plug out. A meter (volts, DC) on the SSR's control input, then on the relay's: watch both "
    "while the controller restarts twice."
)
METER_LOW = "Did both stay below 0.5 V all the time?"
METER_OK = "both outputs stay low through a restart"
NOT_LOW = "an output was driven or floated"
METER_ADVICE = (
    "Fit a pull-down of at most 8.2 kilohm from each output pin to ground; check that both inputs "
    "are active-high and that their pins are those flashed."
)
WATCH_OUTPUT = {
    "relay": "Mains plug out. Listen for the safety relay: it closes once, for a second and a half.",
    "ssr": "Mains plug out. Watch the solid-state relay's lamp: it lights once, for a second and a half.",
}
OUTPUT_SEEN = {
    "relay": "Did the safety relay click twice, and the SSR's lamp stay dark?",
    "ssr": "Did the SSR's lamp light once, and the safety relay stay silent?",
}
OUTPUT_ADVICE = {
    "relay": "Check its coil supply, driver transistor and pin. If the other one moved, the two are "
    "swapped: correct the wiring file and flash.",
    "ssr": "Check its control wires' polarity and pin. If the other one moved, the two are swapped: "
    "correct the wiring file and flash.",
}
OUTPUT_OK = "{what}: switches alone"
NO_RELAY_ADVICE = (
    "An SSR that fails usually fails ON: without a safety relay in series nothing could open the "
    "circuit. Fit one, name its pin, flash, and check again."
)
READY_FOR_MAINS = """\
First heat: a tenth of the power for 20 seconds, ended at +15 K or 60 °C. The oven is empty and cold,
the bead in its place. The appliance's own thermostat is at its limit and its own timer is running,
or both are bridged: in series they would keep it cold. Somebody stays at the switch.
Is the mains plug in, and may it heat now?"""
REFUSED_ADVICE = "The controller would not start. Do what it says, then check again."
HEATING = "Heating: {seconds:.0f} seconds at a tenth of the power."
TRIPPED_ADVICE = (
    "Stopped for safety; heat is off. Find out why before anything else: heatwright controller log, "
    "then heatwright controller clear."
)
NO_HEAT_ADVICE = (
    "The heater or another sensor got warm, or nothing did. Look: thermostat knob at its limit and "
    "own timer running? Thermal cut-out tripped? Plug in? SSR and relay in series with this heater, "
    "bead in this oven? Sand and stoves answer slowly: put the bead onto the heated metal for this."
)
HEAT_OK = "a tenth of the power warmed it by {change_k:.1f} K"
ANSWERS_UNREADABLE = "the file of answers can't be read"
ANSWERS_WRONG = "the file of answers holds something else"

# Controller -----------------------------------------------------------------------------------

NO_CONTROLLERS = "No serial port that may be a controller. Is the cable one that carries data?"
PORT_LINE = "{port}  {what}"
PORT_IN_USE = "in use by another program, or not allowed"
PORT_SILENT = "no answer: not flashed yet, or something else"
HELLO_LINE = "{port}  firmware {firmware}, core {core}, protocol {protocol} on {chip}; {state}"
LOG_TROUBLE = "It keeps no log: {trouble}"
NO_HARD_TIMER = (
    "No timer of the chip opens the outputs by itself; the watchdog bounds a hang at 2 s."
)
PLANS_NONE = "No plan is kept on it."
PLAN_LINE = "{id}  {name} ({size} bytes)"
PLAN_REMOVED = "Removed {id}."
LOGS_NONE = "No run is kept on it."
NO_KEPT_PLAN = "no such plan is kept on it"
NO_KEPT_RUN = "no such run is in its log"
NOTHING_KEPT = "none is kept"
SEE_KEPT = "heatwright controller {command} --port {port} lists them"
LOG_LINE = "run {number}  {size} bytes"
LOG_KEPT = "Wrote {path}: {size} bytes of the controller's own log, one line a second."
NOTHING_TO_CLEAR = "There is nothing to clear: {state}."
ABOUT_TO_CLEAR = (
    "Stopped for safety: {trip} (seen {seen}, expected {expected}). Look at the oven first: is it "
    "off and cold, are the wires whole, is the relay open? Clear it?"
)
CLEARED = "Cleared: idle."

# Hardware in the loop -------------------------------------------------------------------------

HIL_CAUTION = (
    "Hardware in the loop: no heater pin is an output in this boot. The oven stays unplugged all "
    "the same; its sensor is read, and 60 °C or any current ends the test."
)
HIL_STARTING = "Into the HIL boot."
HIL_CASES = {
    "reading": "the injected reading arrives",
    "unknown_plan": "a plan that it does not have is refused",
    "open_not_armed": "an open sensor can't be armed",
    "starts_and_stops": "a run starts after its countdown and stops",
    "open_trips": "an open sensor trips",
    "hot_trips": "overheating trips",
}
HIL_READING = "told {told} mC, reported {seen}"
HIL_ARMED_NO_PLAN = "armed a plan that it does not have"
HIL_ARMED_BLIND = "armed without a reading"
HIL_NO_DUTY = "running without a duty"
HIL_STILL_ON = "after stop: duty {duty}, relay {relay}"
HIL_AFTER_STOP = "after stop: {state}"
HIL_AT = "at {value} mC: {state}"
HIL_AFTER_COUNTDOWN = "after the countdown: {state}"
HIL_NO_TRIP = "no trip: {state}"
HIL_OTHER_TRIP = "tripped for {seen}, expected {name}"
HIL_NOT_CLEARED = "not cleared: {state}"
HIL_NO_CASE = "no case has this in its name"
HIL_CASE = "  {mark}  {name}{why}"
HIL_DONE = "{count} cases passed. Back in a normal boot: {state}."
HIL_FAILED = (
    "Failed: {name}. The rest was not tried, and the controller is as it was then: look at it, then "
    "reset it."
)

# Independent cut-out --------------------------------------------------------------------------

CUT_OUT_PLACES = {
    "air": "in the oven's air, near the board",
    "inner_wall": "screwed to the inner wall",
    "outer_wall": "screwed to the outer shell",
    "scrap_board": "screwed to a scrap of board beside yours",
    "link_on_scrap_board": "a one-shot link under a wire loop on a scrap of board beside yours",
}
# What the nodes of other structures are.
CUT_OUT_PLACES_OF = {
    "plate": {"inner_wall": "screwed to the plate itself, beside the board"},
    "bath": {"inner_wall": "in the sand", "outer_wall": "screwed to the pan"},
}
CUT_OUT_HEAD = "{source}: in series with both relays, for a board that stays below 300 °C:"
CUT_OUT_LINE = "  {rating:.0f} °C {place} (plain runs stay below {low:.0f} °C, a weld must end by {high:.0f} °C)"
CUT_OUT_NONE = (
    "{source}: no thermal cut-out can do it, at none of these places: {places}.\n"
    "  This source heats the board faster than anything beside it: what opens in time would open in "
    "plain runs too. What does help: two relays of different make in series, as wired here; half "
    "of the heating tubes taken out of use, so that a weld is slow; a hand at the plug, always."
)
CUT_OUT_NOTE = (
    "Simulated on this source's model and sources like it, mains at 90 to 110 %, relays welded in "
    "every minute of a run. Ratings are taken to {tolerance:.0f} K. Test yours before you trust it."
)

# Wiring drawing -------------------------------------------------------------------------------

DRAWN_CHIP = "controller ({chip})"
DRAWN_PULL_DOWN = "≤ 8.2 kΩ"
DRAWN = {
    "sensor": ("sensor converter", "3.3 V; glass-fibre leads, bead off earthed metal"),
    "STOP_PIN": ("stop button", "normally closed, to ground"),
    "START_PIN": ("start button", "normally open, to ground"),
    "DOOR_SWITCH_PIN": ("door switch", "closed to ground while the door is shut"),
    "CURRENT_PIN": ("heater current sensor", "isolated; 0 to 3.3 V"),
    "SSR_PIN": ("solid-state relay, control input", "active high; driver if it draws over 8 mA"),
    "RELAY_PIN": ("safety relay, coil driver", "active high; transistor and flyback diode"),
    "FAN_PIN": ("fan, driver", "active high"),
    "DOOR_PIN": ("door lamp or servo", "says: open the door"),
    "BUZZER_PIN": ("buzzer", "active high"),
    "buttons": ("panel's three buttons", "normally open, to ground"),
    "panel": ("panel, SSD1306", "I²C, 3.3 V, short wires"),
}
DRAWN_ISOLATION = (
    "Isolation between mains and logic: nothing but relay contacts and the SSR's output crosses "
    "this line. No low-voltage ground on earthed metal unless the supply is made for it."
)
DRAWN_CHAIN = (
    "plug, switch\nwithin reach",
    "residual-current\ndevice, fuse",
    "thermal cut-out\nof its own",
    "safety relay\ncontact",
    "solid-state relay\noutput",
    "heater",
)
DRAWN_MAINS = (
    "In series, by someone licensed, to local code, protective earth on all metal. This row names "
    "parts; it is no wiring instruction. The SSR's output is live until the plug is out."
)

# Page -----------------------------------------------------------------------------------------

PAGE_KINDS = {
    "measured": "Board, measured, ±{band} °C",
    "estimated": "Board, estimated, ±{band} °C",
    "unknown": "Sensor; the board's own temperature is not known",
    "last": "Last reading, {ago} ago; nothing measures now",
    "never": "The sensor gives no reading",
}
# Beside the stage while its clock stands for the temperature: nothing is to be done.
PAGE_STAGE_WAITS = "{stage}, waits for the temperature"
PAGE_NOTES = {
    "wait_mark": "Melted? Say so below. Without an answer it holds 90 s at most.",
    "wait_press": (
        "Is anybody there? Press the start button at the controller, or the button below. Without "
        "an answer it does not go on to reflow."
    ),
    "host_lost": "The laptop was silent: heat is off.",
    "stopped": "Stopped: heat is off. Keep the door as it is until it has cooled.",
    "finished": "Heat is off. Wait until it is below 50 °C.",
}
# The first mark, then any later one.
PAGE_MARKED = ("Melt marked: the first joint.", "Melt marked: the last joint.")
# Said aloud, and at the top of every page: with a number, and where nothing measures now.
PAGE_SPOKEN = (
    "{stage}, {number} degrees, {left} left.",
    "{stage}, no sound reading, {left} left.",
)
PAGE_SHORT = ("{number} °C, {stage}, {left} left", "no sound reading, {stage}, {left} left")
PAGE_REST = {
    "hot": "Still hot: leave the board where it is until it is below 50 °C.",
    "blind": (
        "Nothing measures it now, so take it for hot. Look at the sensor's wire and plug. Until it "
        "reads again leave the board where it is, for two hours at least."
    ),
    "safe": "Below 50 °C: safe to pick up.",
    "sensor_only": (
        "The sensor is below 50 °C. Nobody knows what the board has: hold a hand near it first."
    ),
}
PAGE_CLEAR_AT_BUTTON = (
    "Look at the source first. Then press the start button at the controller: one press ends its "
    "noise, the next clears the stop."
)
PAGE_START_WINDOW = "It may start while the sensor reads {low:.0f} to {high:.0f} °C."
PAGE_PROCESS_GONE = "the program that does the run has ended"
PAGE_PROCESS_GONE_CURE = (
    "If something was hot: look at it, and pull the plug if it heats. Then choose again."
)
PAGE_HOST = "This page answers to its own address only."
PAGE_TOKEN = "Open the address with its token, as it was printed where the page was started."
PAGE_ORIGIN = "This came from another page, so nothing was done."
PAGE_NOT_FROM_FAR = (
    "Real heat is started at this computer or at the controller, not from another device: start "
    "the page without --lan."
)
PAGE_PRESS_BUTTON = "Now press the start button at the controller, within a minute."
PAGE_NOT_PRESSED = "The button was not pressed within a minute: nothing was armed."
PAGE_STOPPED_EARLY = "It was stopped before heat had begun: there is nothing to judge."
PAGE_PORT_TAKEN = "the page can't be opened at this port"
PAGE_PORT_CURE = "Is a page open already? Else choose another number with --http-port."
PAGE_BAD_NAME = "this name can't be a file's"
PAGE_NAME_FORM = "small letters, digits and -, 40 at most"
PAGE_NAME_TAKEN = "there is one of this name already"
PAGE_NO_PART = "there is no such part"
PAGE_NO_PART_CURE = "Name a shipped part, or a file of yours, as part-my-part.toml; make one under Documents, Parts."
PAGE_NAME_TAKEN_CURE = "Choose another name: nothing is ever written over by a copy."
PAGE_IS_SHIPPED = "This one is shipped and stays as it is: make a copy, and change that."
PAGE_FILE_CHANGED = "the file has changed since this form was opened"
PAGE_FILE_CHANGED_CURE = (
    "What you typed is still here. Look at the file in another tab; save again to write over it."
)
PAGE_NAME_SHIPPED_CURE = "Shipped sources stay as they are: give yours a name of its own."
PAGE_OTHER_KIND_CURE = "Choose another name, or the kind that the file has."
PAGE_NO_CANDIDATE = "Nothing of this name waits to be kept."
PAGE_HOTTEST = "The board may be at {hottest:.0f} °C by now: so hot is the hottest of its kind."
# What an eye sees of a dot of paste, from cold to molten.
PAGE_DOT = (
    "dull and grey",
    "wet and glossy: that is flux, not solder",
    "grains begin to run together",
    "bright metal: molten",
)
PAGE_COACH_TYPED = "Type what your meter reads every 20 to 30 seconds: a sound reminds you."
PAGE_COACH_WHERE = "which file or port the readings come from is not known"
PAGE_COACH_WHERE_CURE = "Fill in the file (it ends in .csv) or the port, or choose another way."
PAGE_REHEARSAL_ENDED = "The rehearsal was ended. What was recorded until then is kept."
PAGE_NO_READING = "nothing to check yet"
PAGE_NO_READING_CURE = (
    "Fill in what the sensor reads in ice water or in boiling water, or two sensors side by side."
)
PAGE_NO_NUMBER = "this is not a reading"
PAGE_NUMBER_FROM = "a number from {low:g} to {high:g} {unit}"
PAGE_NO_PAGE = "There is no page at this address."
PAGE_NO_DOCUMENT = "There is no such document."
PAGE_NO_RUN = "There is no such run."
PAGE_NO_LESSON = "Nothing is waiting to be kept: let it be worked out again from the run."
PAGE_AT = "The page: {address}"
PAGE_OPEN_TO_ALL = (
    "Everybody on this network who has this address can look. STOP needs no token. The connection "
    "is not encrypted."
)
PAGE_ENDS = "Ctrl-C ends it; a run that is on is then stopped."
# Everything on the page itself.
PAGE: dict[str, Any] = {
    "name": "Heatwright",
    "skip": "To the content",
    "nav": "Pages",
    "stop": "STOP",
    "stop_key": "Escape",
    "unheard": (
        "STOP was not heard yet, and is asked for again. Do not wait for it: press the stop button "
        "at the controller, or pull the plug."
    ),
    "pages": (
        ("/", "Bench"),
        ("/runs", "Runs"),
        ("/documents", "Documents"),
        ("/source", "Know your source"),
        ("/coach", "Coach"),
        ("/about", "About"),
    ),
    "phases": {
        "choose": "No run",
        "planning": "Planning",
        "ready": "Ready to start",
        "running": "Running",
        "learning": "Learning",
        "over": "Run is over",
        "failed": "It can't be done",
    },
    "foot": (
        "Stay with the heat, the plug within reach. No conformity to any standard is claimed."
    ),
    "choose": "What do you want to solder?",
    "choose_text": "Choose, and see what would happen before anything gets hot.",
    "kinds": {
        "board": "Board",
        "paste": "Paste",
        "source": "Heat source",
        "profile": "Profile",
        "part": "Part",
    },
    "none_of": {
        "board": "not described",
        "source": "nobody has measured it",
        "profile": "the paste's own",
    },
    "on": "Run it on",
    "sensor_at": "Control sensor",
    "beads": {"sensor": "where the source has it", "board_sensor": "on the board"},
    "make_plan": "Make the plan",
    "no_heat_yet": "Nothing heats yet.",
    "what_is_here": "What else is here",
    "here": (
        ("/runs", "Runs", "Every run, its curve and its verdict; lay some over each other."),
        ("/documents", "Documents", "Pastes, parts, boards, sources, profiles: read and change."),
        ("/source", "Know your source", "One measuring run, and a plan fits your own oven."),
        ("/coach", "Coach", "Sand, hot plate or hot air by hand: told in time what to do."),
    ),
    "planning": "Making the plan",
    "planning_text": "The best course through the paste's limits is being worked out.",
    "leave": "Give it up",
    "look_again": "Look again",
    "ready": "This is what would happen",
    "ready_time": "About {minutes} min of heat, then {cooling} min of cooling.",
    "not_known": "Nobody has measured this source: what the board goes through is not known.",
    "misses": "{count} of its limits would not be met: see the table.",
    "meets": "All limits are met on a source like this.",
    "arm_head": "Start in two steps",
    "simulated": "This source is simulated: nothing gets hot.",
    "arm": "1. Arm",
    "arm_text": "I have gone through the list on this page and stay here.",
    "start": "2. Start {minutes} min of heat",
    "start_text": "Within a minute, or arm again.",
    "start_first": "Arm first.",
    "sound": "Try the sound",
    "sound_text": (
        "A browser may sound only after a tap. Your phone may sleep: set its screen to stay on."
    ),
    "choose_again": "Choose again",
    "predicted": "The predicted curve",
    "chart_planned": "Curve of target and predicted board over time",
    "chart_live": "Curve of target, sensor, board and power over time",
    "windows": "What the plan can meet and what it can't",
    "part_windows": "The limits of every part",
    "window_heads": ("met", "what", "predicted", "limit"),
    "met": {"yes": "✓ met", "no": "✗ not met"},
    "checklist": "Before heat",
    "now": "Now",
    "facts": (
        ("stage", "Stage"),
        ("target", "Target"),
        ("sensor", "Sensor"),
        ("power", "Heater power"),
        ("left", "Time left"),
        ("above", "Time above {above} °C"),
    ),
    "melted": {"first": "First joint melted", "last": "Last joint melted"},
    "unmark": "Take the mark back",
    "not_melted": "Not melted yet",
    "am_here": "I am here",
    "play": "This source is simulated: try something",
    "speed": "Speed",
    "speeds": (1, 5, 20, 60),
    "times": "× {speed}",
    "set": "Set",
    "break_it": "Break it",
    "break_now": "Break it now",
    "breakable": (
        ("door-open", "open the door"),
        ("sensor-detached-air", "the bead comes off"),
        ("sensor-open", "break the sensor's wire"),
        ("relay-shorted", "weld the solid-state relay"),
        ("both-welded", "weld both relays"),
        ("fan-stopped", "stop the fan"),
        ("mains-sag", "let the mains sag for a minute"),
    ),
    "happened": "What happened",
    "over": "The run is over",
    "judging": "The run is over; it is being judged.",
    "cooling": "How hot it still is",
    "rest_wait": "Looking at the sensor.",
    "tripped": "The controller stands in a safety stop: {trip}.",
    "clear_text": (
        "It takes no run until this is cleared. Find out why it stopped, and that nothing heats by "
        "itself, before you clear it."
    ),
    "clear_stop": "I have looked: clear the stop",
    "look_at_run": "Look at the run: joints, causes, report",
    "next_run": "The next run",
    "failed": "It can't be done like this",
    "found": "Found:",
    "expected": "Right would be:",
    "refused": "Not done",
    "back": "Back to the bench",
    "verdicts": {
        "pass": "pass",
        "likely_pass": "likely pass",
        "warn": "warn",
        "fail": "fail",
        "unknown": "unknown",
    },
    "verdict": "Verdict",
    "no_verdict": "not judged",
    "runs": "Runs",
    "any": "any",
    "since": "From day",
    "until": "To day",
    "filter": "Show these",
    "run_heads": ("overlay", "started", "plan", "board", "paste", "source", "verdict", "peak"),
    "to_bench": "To the bench",
    "show_all": "show all",
    "none_fits": "No run fits that.",
    "by_its_sensor": "{run}, by its sensor: the board is not known",
    "lay_over": "Lay the marked ones over each other",
    "lay_over_text": "Mark two or more, six at most.",
    "overlaid": "Curves of the board over time, of {names}",
    "overlay": "Laid over each other",
    "overlay_this": "Lay {run} over the others",
    "no_runs": "No run yet. Make a plan on the bench: a simulated source needs no hardware.",
    "curve": "Curve",
    "measured": "Measured",
    "measure_heads": ("what", "value", "limit", "verdict"),
    "joints": "Joints",
    "joints_text": "Look at every joint with a lens, and note what is not good.",
    "ref": "Which",
    "looks": "How it looks",
    "note_joint": "Note it",
    "why": "Why",
    "touch_up": "To touch up",
    "probes": "To probe, power off",
    "before_power": "Before first power",
    "not_noted": "not noted",
    "board_side": {"top": "Top side", "bottom": "Bottom side"},
    "board_drawn": "Parts stand side by side: no document names their places.",
    "marks": "Melt marks",
    "marks_text": (
        "When did you see the solder melt? Grey grains run together into bright metal. From a video "
        "it can be told afterwards."
    ),
    "marked_at": "Minutes and seconds since the run began",
    "marked_seen": "What was seen then",
    "seen": {
        "first_melt": "the first joint melted",
        "last_melt": "the last joint melted",
        "not_melted": "nothing had melted yet",
    },
    "mark_sure": "I am sure, though the model says otherwise",
    "add_mark": "Add the mark",
    "improve": "Use this run to improve the next",
    "improve_text": (
        "A bead on the board, or a melt mark, tells how hot the board really was. From that the "
        "plan's next generation is made; the old one stays."
    ),
    "improve_show": "Show what would change",
    "improve_hint": "Some seconds; nothing is kept yet.",
    "improve_shown": "This is what the run teaches. Nothing is kept yet.",
    "would_change": "What would change",
    "improve_keep": "Keep it, and plan the next run with it",
    "improve_kept": "It lies beside the run's own plan, which stays as it is.",
    "improve_leave": "Leave it as it was",
    "lesson_curves": (
        ("board, planned before", "board, planned now"),
        ("power, planned before", "power, planned now"),
    ),
    "jumps": (
        ("#joints", "Joints"),
        ("#marks", "Melt marks"),
        ("#improve", "Improve the next run"),
    ),
    "plan": "Plan",
    "plan_anew": "make a new one",
    "given_plan": "This plan was made better by runs; its limits were not worked out anew.",
    "report": "The report, one page to keep",
    "documents": "Documents",
    "documents_text": (
        "Plain text files, each number with its unit. Those that are shipped stay as they are: a copy "
        "is yours to change."
    ),
    "own_folder": "Your own are kept in {folder}.",
    "shelves": {
        "paste": "Pastes",
        "board": "Boards",
        "part": "Parts",
        "source": "Heat sources",
        "profile": "Profiles",
    },
    "new_one": {
        "paste": "A new paste",
        "board": "A new board",
        "part": "A new part",
        "source": "Measure a source",
        "profile": "A new profile",
    },
    "new_text": "Fill in what you know. What is not needed may stay empty.",
    "file_name": "Name of the file",
    "name_form": "Small letters, digits and -, 40 at most.",
    "own": "yours",
    "shipped": "shipped",
    "shipped_text": "This one is shipped and stays as it is. Make a copy of your own to change it.",
    "duplicate": "Make a copy",
    "copy_name": "Name of the copy",
    "back_to": "Back to {what}",
    "as_text": "look at the file's text",
    "as_form": "look at it field by field",
    "text": "Text of the file; it is checked as you type",
    "save": "Save",
    "save_text": "It is checked as you type, and kept only when nothing is wrong.",
    "save_new": "It becomes a file of your own.",
    "saved": "Saved.",
    "kept": "Kept: plans can use it from now on.",
    "plan_with_it": "To the bench",
    "fit_head": "Measured against predicted",
    "needed": "(needed)",
    "fill_in": "This is needed.",
    "not_said": "not said",
    "yes": "yes",
    "no": "no",
    "low_end": "from",
    "high_end": "to",
    "from_to": "{low} to {high}",
    "range": "{low} to {high}",
    "commas": "several with commas between",
    "moment": "2026-03-14 or 2026-03-14T09:30",
    "known_from": "known from: {status}",
    "row": "No. {number}",
    "which_key": "Of which key",
    "add_row": "Add one",
    "remove_row": "Remove",
    "raise_row": "Move up",
    "wrong_count": "To put right before it can be saved: {count}",
    "sketch": "Curve of this profile: {peak} °C at its highest, {minutes} minutes long",
    "not_here": "record {hash}…, not among the runs here",
    "never_learnt": "never: these are numbers of its kind",
    "history": "Measurements and marks",
    "history_learnt": "learnt on",
    "history_generation": "generation",
    "history_record": "learnt from the record",
    "history_marks": "marks of the record",
    "learn": "Know your source",
    "learn_text": "Four steps, once for each set-up: rack, sensor and board in their places.",
    "next_step": "next",
    "busy": "A run is under way.",
    "look_there": "Look at it",
    "step_sensor": "1. Check the sensor",
    "step_sensor_text": "Fill in what you tried; one of the ways is enough to begin with.",
    "sensor_ways": (
        "Warm the bead with two fingers: the number must rise. If it falls, the leads are swapped.",
        "Ice water: crushed ice, just covered with water, stirred. The bead in the middle.",
        "Boiling water: a rolling boil, the bead off the bottom. It boils cooler high above the sea.",
        "Two sensors, their beads tied together, both numbers read at the same time.",
        "A bead on earthed metal picks up hum: put a sliver of mica or polyimide tape under it.",
    ),
    "sensor_fields": {
        "ice": "In ice water it reads",
        "boiling": "In boiling water it reads",
        "altitude": "Height above the sea",
        "pressure": "Or, better, the air pressure here",
        "one": "Side by side: one reads",
        "other": "The other reads",
    },
    "check_sensor": "What does that say?",
    "step_measure": "2. Measuring run",
    "step_measure_text": (
        "A scrap board in its place, the bead fixed to it for good, nothing else inside. The run "
        "heats, rests and cools by itself; you open the door when told."
    ),
    "source_kind": "What it is",
    "source_name": "Your name for it",
    "prepare_measure": "Prepare the measuring run",
    "step_keep": "3. Keep what was learnt",
    "step_keep_text": (
        "Look at measured against predicted. Where the lines lie together the source is known. "
        "Until it is kept, plans go on with what they had."
    ),
    "step_keep_now": "Does the picture look right?",
    "none_waits": "Nothing waits to be kept.",
    "keep": "Keep it as {name}",
    "keep_later": "Not now: it waits",
    "fit_picture": "Measured and predicted temperatures of {name} over time, and their difference",
    "step_melt": "4. See it melt",
    "step_melt_text": (
        "Your eyes are the best thermometer: solder melts at a temperature that is known."
    ),
    "melt_ways": (
        "With a source you have kept: mark the melt in any run on the bench. Each run asks at its "
        "peak until three are marked.",
        "With a source nobody has measured, and no sensor on a board: the run below heats until "
        "you see the solder melt, under a ceiling that keeps the board whole.",
    ),
    "prepare_melt": "Prepare a see-it-melt run",
    "preparing": "Preparing the run",
    "preparing_text": "What this kind of source can do is being looked at.",
    "measuring": "Measuring run: {name}",
    "see_melt": "See it melt: {name}",
    "measure_time": "{minutes} to {longest} min, by how fast it heats. Then cooling.",
    "melt_time": (
        "It ends when you have seen the melt. At the latest after {minutes} min heat is off."
    ),
    "what_to_do": "What you do",
    "measure_steps": (
        "Put the scrap board where boards lie, the bead fixed to it. Shut the door.",
        "Start. It heats fully, then twice with part heat, each time until it is hot enough.",
        "Stay with it, the mains switch at hand.",
        "When told: open the door, and leave it open until the run ends.",
    ),
    "measure_now": "Stay with it. Leave the door shut until you are told to open it.",
    "melt_steps": (
        "Put a dab of paste on a bare pad near the largest part, where you can see it.",
        "Start. From about 150 °C you are asked every half minute whether you are there: press.",
        "Grey grains run together into bright metal: press First joint melted (or m). Flux that "
        "turns wet and glossy, at 100 to 160 °C, is not it; nor is freezing.",
        "Heat ends soon after. Press once more when the last joint melts, then open the door.",
    ),
    "melt_now": (
        "Watch the dab of paste. Press when grey grains run together into bright metal; wet, glossy "
        "flux is not it."
    ),
    "dot": "The simulated dot of paste is now",
    "learning": "Learning from the run",
    "learning_text": (
        "Heat is off. The model is fitted to what was recorded; the run is kept whatever comes of it."
    ),
    "leave_learning": "Do not learn from it",
    "learnt": "{name}: this is what was learnt",
    "to_know": "What to know about it",
    "look_at_record": "Look at the run itself",
    "coach": "Coach",
    "coach_text": (
        "For a pan of sand, a hot plate or a hot-air gun: your hand turns the heat, and you are told "
        "in time what to do. Rehearse it first."
    ),
    "bead_at": "Thermocouple",
    "readings_come": "How the coach gets its readings",
    "ways": {
        "practice": "Rehearse: the source and the person are simulated",
        "typed": "I read a meter, and type the number every 20 to 30 seconds",
        "none": "Nothing measures: a plan by the clock",
        "other": "From a CSV file that a logger writes, or a controller that only reads",
    },
    "where": "File or port",
    "knobs": {
        "levels": "knob from 0 to 9",
        "degrees": "knob in degrees",
        "low_medium_high": "low, medium, high",
        "distance": "its distance, by hand",
    },
    "knob_text": "The knob is the one in the source's file: copy a source there to change it.",
    "cautions_first": "Cautions first",
    "no_heat_ever": "The coach never turns anything on or off.",
    "coached": "Coach: {source}, {paste}",
    "practice_text": "A rehearsal: nothing gets hot, and a simulated person follows the advice.",
    "read_first": "Read this first",
    "to_expect": "What to expect, and how to set it up",
    "begin_text": "When all is so and everything is within reach: begin. The board is cold now.",
    "have_read": "I have read it: begin",
    "coach_listens": "Wait. It listens first.",
    "coach_time": "Time",
    "coach_board": "Board, estimated",
    "coach_bead": "The bead reads",
    "verdict_by_bead": (
        "The coach steers by the board as it estimates it, for a bead also feels some of the air "
        "beside it. The verdict goes by what the bead reads."
    ),
    "your_hand": "Your hand",
    "reading": "What the meter reads now",
    "read_it": "Enter",
    "reading_form": "A board's temperature in °C, such as 187 or 187.5",
    "it_melts": "It melts",
    "coach_chart": "Curve of the board over time, with the limits of the paste",
    "was_said": "What was said",
    "coach_again": "Once more",
    "own_sources": "Your sources",
    "about": "About",
    "about_text": (
        "From paste to good joints, with the heat you have. This page asks nothing of the network: "
        "all of it comes from this computer."
    ),
    "keys_head": "Keys",
    "key_list": (
        ("Escape", "STOP: heat off, from any page"),
        ("m", "the solder melted (while a run goes on, outside a text field)"),
    ),
    "sleep": "Phones and sound",
    "sleep_text": (
        "A phone that sleeps shows nothing and makes no sound. The run goes on without it; the "
        "controller looks after itself. Set the screen to stay on, and try the sound first."
    ),
    "chart_by": "The chart is drawn by uPlot, under the MIT licence",
    "script": {
        "old_link": "No news for {seconds} s: the number is old. The run goes on without this page.",
        "old_reading": "The reading is {seconds} s old.",
        "no_reading": "The sensor gives no sound reading: no number here is measured now.",
        "gone": "The page has lost its link; trying again. The run goes on without it.",
        "target": "target",
        "sensor": "sensor",
        "board": "board",
        "planned": "board, predicted",
        "power": "power",
        "time": "time, s",
        "melts": "melts",
        "ceiling": "part limit",
        "checked": "Nothing wrong.",
        "coach_listens": "Wait. It listens first.",
        "reading_form": "A board's temperature in °C, such as 187 or 187.5",
        "coach_board": "board, estimated",
        "coach_bead": "what the bead reads",
        "peak_here": "the peak belongs here",
        "wrong_count": "To put right before it can be saved: {count}",
        "found": "Found:",
        "expected": "Right would be:",
        "stop": "STOP",
        "judging": "The run is over; it is being judged.",
        "tripped": "The controller stands in a safety stop: {trip}.",
        "cleared": "The controller is ready for another run.",
        "stopping": "Stopping",
        "door_title": "OPEN THE DOOR",
    },
}
# What a command calls an option is a field here.
PAGE_OPTIONS = {
    "--on": PAGE["on"],
    "--source": PAGE["kinds"]["source"],
    "--profile": PAGE["kinds"]["profile"],
    "--paste": PAGE["kinds"]["paste"],
    "--plan": PAGE["plan"],
    "--joint": PAGE["joints"],
    "--at": PAGE["marked_at"],
}
# Sentences that speak of options, as the page says them.
PAGE_INSTEAD = {
    "--source FILE": "a heat source that was measured",
    SOURCE_NOT_KNOWN_CURE: (
        "Choose its heat source. Nobody has measured it yet? Begin with: Know your source."
    ),
    NO_OWN_PROFILE_CURE: "Choose a profile, made from the paste's data sheet.",
    PLAN_BROKEN_CURE: "Choose no plan: then one is made anew.",
    **dict.fromkeys(
        PLAN_OTHER_SENSOR_CURES.values(),
        "Choose no plan: then one is made anew. Or choose where the control sensor really sits.",
    ),
    NO_BEAD_NO_MARK_CURE: "Next time put a bead on the board; or say above when the solder melted.",
    CONTRADICTS_CURE: (
        "Was it the flux that turned glossy, or solder freezing? Was the alloy right, the set-up as "
        "the file says? If you are sure, tick that below."
    ),
    SOURCE_OF_MARK_CURE: "This run was made with no heat source chosen: mark one that was.",
}

# Demo -----------------------------------------------------------------------------------------

DEMO_BEGIN = (
    "A small workshop solders a bat-call logger, 70 x 45 mm, lead-free, in a weak toaster. "
    "The same simulated oven and the same sensor in its air, used in two ways:"
)
DEMO_LEFT = "1 of 3: the line of the paste's data sheet, fed to that sensor."
DEMO_MEASURE = (
    "2 of 3: a measuring run, a scrap board with a dot of paste in the oven. Somebody watches the "
    "dot and marks the instant it melts: one mark."
)
DEMO_RIGHT = "3 of 3: the curve that this very oven can follow, by what that run taught."
DEMO_LEFT_TITLE = "The data-sheet line"
DEMO_RIGHT_TITLE = "The same oven, measured, one melt marked, planned for"
DEMO_UNMELTED = "{sensor}, the board peaks at {peak}, the paste never melted."
DEMO_MELTED = "{sensor}; the board, which nobody saw, peaks at {peak}."
DEMO_SENSOR_RIGHT = "The sensor looks right"
DEMO_SENSOR_BEHIND = "The sensor gets to {sensor} of {target}"
DEMO_PICTURE = "The picture: {picture}"
DEMO_PAGE = "Watch one, stop it, break it, in a browser: heatwright demo"
DEMO_NEXT = "Three to try:"
DEMO_COMMANDS = (
    (
        "the same oven, another day",
        "heatwright run --on sim:toaster --source toaster --sensor board_sensor --seed 7",
    ),
    (
        "an over-powered drawer, leaded paste",
        "heatwright run --on sim:drawer --source drawer --sensor board_sensor --paste sn63pb37",
    ),
    ("judge the last run again", "heatwright judge {record}"),
)

# Trips ----------------------------------------------------------------------------------------

PULL_THE_PLUG = (
    "Keep the door shut and pull the plug: heat may go on that no command can end. Then look for a "
    "relay that is welded shut."
)
SHUT_DOOR_LOOKS_SAME = " Where no door switch is fitted, a door shut on hot walls looks the same."
LOOK_AT_WIRES = "Look at the thermocouple: its wire, its clamps, its connector."
# What a trip means and what to do, by its name in the core.
TRIP_ADVICE = {
    "sensor_open": "The thermocouple's wire is broken or loose. " + LOOK_AT_WIRES,
    "sensor_short_to_ground": "The thermocouple touches earthed metal: insulate its bead.",
    "sensor_short_to_supply": "The thermocouple touches the electronics' supply. " + LOOK_AT_WIRES,
    "sensor_out_of_range": "The converter reads beyond its range. " + LOOK_AT_WIRES,
    "sensor_dead_bus": "The converter does not answer: look at its supply and its four wires.",
    "sensor_frozen": "The converter has stopped converting: look at its supply.",
    "sensor_cold_junction": "The converter's own temperature is beyond its range: cool the case.",
    "sensor_stale": "No new reading came in time: look at the converter and its wires.",
    "sensor_range": "No source here can be at that temperature. " + LOOK_AT_WIRES,
    "over_temperature": PULL_THE_PLUG,
    "over_plan_ceiling": (
        "Hotter than this plan can make it: a bead that slipped towards the heater, or too much "
        "power. Put the bead where it was when the source was measured."
    ),
    "board_too_hot": "The bead on the board passed its limit: let it cool, then look for parts and "
    "laminate that took harm, and for a bead that slipped nearer to the heater.",
    "run_too_long": "The run took longer than its plan allows: look for a heater grown weak, answer "
    "its waits sooner, or measure the source anew.",
    "tick_lease": "The controller was held up: take other work off it, and look at its log.",
    "clock_jump": "The controller's clock leapt: look at its supply.",
    "plan_corrupt": "The plan changed in the controller's memory: restart it, send the plan again.",
    "sensor_reversed": "It reads lower the hotter it gets: swap the thermocouple's two leads.",
    "sensor_wrong_type": (
        "It shows a fixed share (percent) of the rise it should: another type of thermocouple, or "
        "the converter set to another. Both must be type K."
    ),
    "sensor_stuck": "The same word for ten seconds while the heater changed: restart the converter.",
    "sensor_rate": "Faster than any source can heat or cool: the bead has come off, or its leads touch.",
    "sensors_disagree": "The two beads differ by more than any oven makes them: one has come off.",
    "cold_junction_range": "The electronics are too hot or too cold to trust: move their case away.",
    "no_response": (
        "Heat is on and nothing gets warm. The appliance's own thermostat at its highest? Its own "
        "timer running? In series they keep it cold. Plug in? Cut-out tripped? Relays wired?"
    ),
    "fall_under_heat": "It falls under more than half power: the bead has come off, or the door is "
    "open. Fix the bead where it was.",
    "rise_without_heat": PULL_THE_PLUG + SHUT_DOOR_LOOKS_SAME,
    "not_cooling": "Heat is off and it does not cool as it should: a relay may be welded shut. Pull "
    "the plug now, and leave the door as it is." + SHUT_DOOR_LOOKS_SAME,
    "not_as_expected": (
        "Above nought: heat that nobody commanded, so a relay may be welded; pull the plug and look. "
        "Below: heat is missing, the bead has moved, or its wire is not of the type that the "
        "converter reads. If the oven was changed, measure it anew."
    ),
    "current_in_off_slot": PULL_THE_PLUG,
    "no_current": "No current in the heater: plug, fuse, cut-out, relays, element.",
    "power_lost": "It restarted in the midst of a run, its supply gone or its program hung: look at "
    "the board before the next one.",
    "watchdog_resets": "It hung three times in a row: read its log, flash it again.",
    "current_while_off": PULL_THE_PLUG,
    "hot_after_off": PULL_THE_PLUG,
    "not_proven_off": "Twenty minutes in which it has not cooled by 5 K. " + PULL_THE_PLUG,
    "cutoff_open": "The second path to off was faster than any rule: no sound reading came in time.",
    "unexplained_rise": PULL_THE_PLUG,
    "output_welded": "One output alone let heat through: it is welded. Pull the plug and replace it. "
    "Only if the board was laid on a warm source just now: let it take on its warmth and arm again.",
}
RISE_IS_LOOSE = (
    "Without a model of this source a rise without heat is noticed only at {allowed_k:.0f} K."
)
WELD_NOTICED = (
    "A relay that welds shut should be noticed within about {seconds:.0f} s, from {duty:.0%} of "
    "full power; near full power only once the plan wants less, unless a current sensor is fitted."
)
DEAD_NOTICED = "A heater that gives no heat should be noticed within about {seconds:.0f} s."
DEAD_IS_LATE = "A heater that gives no heat is noticed only after up to {seconds:.0f} s."
WELD_UNSEEN = (
    "A relay that welds shut in this plan shows only once the plan wants less heat, unless a "
    "current sensor is fitted: stay at the plug."
)

# Coaching: what is said during a run, twelve words at most ----------------------------------------

COACH_KNOB = "Turn the knob to {place}."
COACH_KNOB_HOLD = "Hold. The knob stays at {place}."
COACH_OFF = "Turn the heat off."
COACH_OFF_HOLD = "Hold. The heat stays off."
COACH_GUN = "Nozzle {distance} mm above the board, always circling."
COACH_GUN_HOLD = "Hold {distance} mm, always circling."
COACH_GUN_NEAR = "Nozzle {distance} mm above the board, in small circles."
COACH_GUN_NEAR_HOLD = "Hold {distance} mm, in small circles."
COACH_GUN_AWAY = "Take the gun away from the board."
COACH_MELT = "Watch for the melt. Press when you see it."
COACH_NO_MELT = "Has it melted? Look close. Press when it does."
COACH_READY = "Get ready to lift the board straight up."
COACH_COUNTDOWN = "Lift the board off in {seconds}."
COACH_LIFT = "Lift the board off now."
COACH_TOO_HOT = "Too hot. Take the board off now."
COACH_HEAT_OFF = "Burner off now."
COACH_PLATE_OFF = "Plate off now."
COACH_LEVEL = "Hold the board level and still for 30 seconds."
COACH_DONE = "Done. Put the board down and let it cool."
COACH_NOT_REACHED = "It does not get there. Take the board off."
COACH_GUN_READY = "Get ready to pull the gun back."
COACH_GUN_COUNTDOWN = "Pull the gun back in {seconds}."
COACH_GUN_LIFT = "Pull the gun back to 200 mm now."
COACH_GUN_TOO_HOT = "Too hot. Pull the gun back now."
COACH_GUN_OFF = "Gun heat off. Keep blowing from 200 mm."
COACH_GUN_LEVEL = "Keep circling at 200 mm. Leave the board still."
COACH_GUN_DONE = "Done. Let the board cool where it is."
COACH_GUN_NOT_REACHED = "It does not get there. Pull the gun back."
COACH_UNPLUGGED = "Sensor lost. Check its plug, or take the board off."
COACH_STOPPED_GROWING = "No new readings. Look at the logger and its cable."
COACH_JUMPED = "The reading jumped. Is the bead still in place?"
COACH_READS_AIR = "It reads air. Move the bead out of the jet."
COACH_ASK = "Type the temperature, then Enter."
COACH_NOT_TYPED = "That is no temperature. Type °C, then Enter."
COACH_BLIND = "No readings while hot. Take the board off now."
COACH_GUN_BLIND = "No readings while hot. Take the gun away now."

# Coaching: around a run ---------------------------------------------------------------------------

COACH_NOT_BY_HAND = "the coach is for sources that a hand drives"
COACH_NOT_BY_HAND_CURE = "An oven with a controller is run with: heatwright run"
COACH_CSV_CURE = "Give the file a first line that names its columns, such as time_s,board_c."
COACH_OTHER_SOURCE = "this simulated source is of another kind than the one coached"
COACH_OTHER_SOURCE_CURE = "Leave out --sensor for a rehearsal, or name a simulated source alike."
COACH_HAS_OUTPUTS = "this controller is set up to heat something: the coach only listens"
COACH_HAS_OUTPUTS_CURE = (
    "Unplug the heater from it, then: heatwright flash --port {port} --outputs none"
)
COACH_NOT_KNOWN = "board not known"
COACH_STATUS = "{at}   {board}"
COACH_ESTIMATED = "board about {board_c:.0f} °C"
COACH_KEYS = "Enter: it melts.   u, Enter: not yet.   s, Enter: stop.   Ctrl-C: at once"
COACH_MARKED = "You marked the melt."
COACH_UNMARKED = "The mark is taken back."
COACH_NO_MARK = "No mark stands that could be taken back."
COACH_TYPE = "Readings are yours to type: the number, then Enter, every 20 to 30 seconds."
COACH_BEAD_OFF = (
    "The bead is not on the board: where it sits tells of the board only to some 25 °C. Watch the "
    "paste and press at the melt: from then on the board is known to 5 °C. Without that it is "
    "called off once it may be too hot, melted or not. Tape the bead to the board if you can."
)
COACH_NO_SENSOR = (
    "Nothing measures: this is a plan by the clock, made for a source like yours. Yours may be "
    "15 % weaker or stronger, which is tens of degrees. Watch the paste, not the clock: press Enter "
    "when it melts, and the rest goes by that. Stop at 90 s without a melt, and on browning, smoke or smell. Without a mark "
    "nobody can say what the board went through."
)
COACH_INTERRUPTED = (
    "The coach has stopped, the heat has not: turn it off by hand and take the board off."
)
COACH_LEARN = (
    "Next time it knows your source better: heatwright measure {folder} --kind {kind} --out {file} "
    "--accept, then --source {file}"
)
COACH_PAUSE = "Read this first. Enter when all is so, Ctrl-C to leave."
COACH_CAUTIONS_ALL = (
    "The coach drives nothing: only your hand turns the heat off. Stay with it.",
    "Flux fume harms lungs: open the window or draw it off. Board dry, isopropanol off the bench.",
    "Eye protection, gloves or tongs, a clear heat-proof place for the hot board.",
)
COACH_CAUTION_LEAD = "Leaded paste: not in a kitchen. Wash your hands; no food or drink near."
COACH_CAUTIONS = {
    "sand": (
        "Pan of bare steel or cast iron; never glass, never non-stick (its coating breaks down "
        "from about 260 °C). No pet birds near.",
        "Dry, washed sand, heated once empty outdoors: damp sand spits. Do not breathe its dust.",
        "Pan, sand and tools never for food again.",
        "Board on a thin metal sheet or wire cradle with a handle. Practise cold: straight up, "
        "held level for 30 s.",
        "Sand burns for more than an hour after the burner is off. Keep an open flame from flux "
        "vapour.",
    ),
    "hot-plate": (
        "The plate looks the same hot and cold, and burns for half an hour after it is off.",
        "Plate and tools never for food again; a non-stick coating breaks down from about 260 °C.",
        "Board on a thin metal sheet with a handle. Practise cold: straight up, held level for "
        "30 s.",
    ),
    "hot-air": (
        "Small and plastic parts overheat first: keep the nozzle circling, shield connectors, "
        "electrolytic capacitors and microphones with foil or polyimide tape.",
        "The nozzle is at 300 to 400 °C and stays so for minutes: rest it on its stand only.",
        "Heat-proof mat, nothing that burns within half a metre.",
    ),
}
COACH_BEFOREHAND = {
    "sand": (
        "Sand, what to expect for {name}: one temperature everywhere on the board, slow and sure.",
        "Fine dry sand 15 to 20 mm deep, levelled, cold at the start; the board lies pressed flat.",
        "The board lags the sand by about 27 °C, and climbs some 86 °C more after the burner is "
        "off: only lifting it stops that. It is lifted on temperature, near {aim}, not on time.",
        "Preheat at full heat; the knob goes down before the soak, {soak}, and up again after it.",
        "Cooling can't be steered, and weak mains or a thick pan miss 480 s to the peak.",
        "One side only; nothing may stick out below the board.",
    ),
    "hot-plate": (
        "Hot plate, what to expect for {name}: the board follows closely; it is lifted near {aim}.",
        "Start cold, board flat on the plate with full contact: a warped board heats unevenly.",
        "Preheat at full heat; the knob goes down before the soak, {soak}, and up again after it.",
        "Large parts run tens of degrees colder than the board: a melt at a small one says "
        "nothing of theirs. Watch the largest.",
        "Cooling can't be steered. One side only.",
    ),
    "hot-air": (
        "Hot air, what to expect for {name}: the board is heated from above, unevenly; the peak "
        "wanted is {aim}.",
        "Set the air to {air}. Usual are 300 to 350 °C for leaded, 350 to 400 °C for lead-free "
        "paste; the lowest flow that moves no part; nozzle 10 to 30 mm away, always circling, "
        "farther only to preheat.",
        "Whole area at 100 to 150 °C for 60 to 90 s; the melt comes 20 to 60 s later. "
        "Stop at 90 s unmelted, and on browning, smoke or smell. (Common practice, no one source.)",
        "Bead under tape beside the part, out of the jet, touching the board.",
        "A board that the gun leaves at once cools faster than the paste wants: the gun is pulled "
        "back first, then blows without heat.",
    ),
}
