"""Every kind of problem an import can find, ordered file → headings → row → cell → suspicion.

A message is read by a vet: what is wrong, then what to do. Codes are stable; they are exported.
"""

from __future__ import annotations

from pipelines.imports.problems import Kind

# The whole file
EMPTY_FILE = Kind("empty_file", "The file is empty. Export it again.")
WORKBOOK = Kind(
    "spreadsheet_workbook",
    "This is a spreadsheet workbook, not a CSV file. Open it and use 'Save as… CSV UTF-8'.",
)
NOT_TEXT = Kind(
    "not_text", "This is not a text file ({what}). Export the table as CSV and import that file instead."
)
NUL_BYTES = Kind(
    "nul_bytes",
    "The file holds zero bytes (first on line {line}), so part of it is damaged. Export it again.",
)
BAD_ENCODING = Kind(
    "encoding_not_understood",
    "The text on line {line} is neither UTF-8, UTF-16 nor Windows-1252. Save the file as 'CSV UTF-8'.",
)
MIXED_ENCODING = Kind(
    "encoding_mixed",
    "The file mixes UTF-8 and another encoding (line {line}), so letters would be lost. "
    "Open it, correct the letters and save it as 'CSV UTF-8'.",
)
LONG_LINE = Kind(
    "line_too_long",
    "Line {line} has no end within {limit} million bytes, so this is no table. Export it again.",
)
NO_ROWS = Kind("no_rows", "There are headings but no rows below them. Export the file again with its rows.")
SEVERAL_TABLES = Kind(
    "several_tables",
    "A second table with other headings begins on line {line}. Put each table in a file of its own.",
)
DATES_MIXED = Kind(
    "dates_mixed",
    "Line {line} writes the month first, so earlier dates of this file may be the wrong way round. "
    "Write every date as 2026-08-14.",
)

# The headings
HEADINGS_NOT_FOUND = Kind(
    "headings_not_found",
    "No row of headings was recognised in the first lines (separated by comma, semicolon or tab). "
    "Begin with farm, scored_on, group, ewe, score, or map the headings of this file.",
)
ROWS_ABOVE_HEADINGS = Kind(
    "rows_above_headings",
    "This line stands above the headings but is as wide as a row. Put the headings on the first line.",
)
LINE_ABOVE_HEADINGS = Kind(
    "line_above_headings",
    "This line above the headings was skipped. Delete it if it is only a title.",
    "warning",
)
HEADING_REPEATED = Kind(
    "heading_repeated",
    "'{value}' and '{other}' both mean {column}. Keep one of them, or map the other to 'ignore'.",
)
HEADING_UNKNOWN = Kind(
    "heading_unknown",
    "The column '{value}' is not used. Map it to one of: {known}, or to 'ignore'.",
    "warning",
)
HEADING_OF_ONE_EWE = Kind(
    "heading_of_one_ewe",
    "The column '{value}' describes one ewe, but these rows count several; it is not used.",
    "warning",
)
HEADING_NOT_SCORE = Kind(
    "heading_not_a_score",
    "The column '{value}' is not known, and in a table with one column per score every column counts. "
    "Map it to a score or a column, or to 'ignore'.",
)
HEADING_DAMAGED = Kind(
    "heading_not_understood",
    "The heading '{value}' holds a stray mark or an invisible character. Type it again.",
)
ALIAS_UNKNOWN = Kind(
    "alias_unknown", "The heading '{value}' is mapped to '{column}', which is not one of: {known}."
)
COLUMN_MISSING = Kind(
    "column_missing",
    "There is no column for {column}. Add it{option}, or say which heading means it (on Files or by --map).",
)
LAYOUT_AMBIGUOUS = Kind(
    "layout_ambiguous",
    "The headings fit more than one layout ({value}). Keep either ewe and score, or score and count, "
    "or one column per score; map the others to 'ignore'.",
)
UNKNOWN_LAYOUT = Kind(
    "unknown_layout",
    "The headings are neither a score session (ewe and score; score and count; one column per score) "
    "nor a farm register (farm, name, system, ewes, weaned_on, rams_in). Add or map the missing column.",
)
OPTION_UNUSABLE = Kind("option_unusable", "The {option} given with the import cannot be used: {why}")

# A row
HEADINGS_AGAIN = Kind(
    "headings_again", "The headings are repeated here; the line was skipped. Nothing needs doing.", "warning"
)
RAGGED_ROW = Kind(
    "wrong_number_of_cells",
    "This row has {found} cells but there are {expected} headings. Look for a separator too many or too few, "
    "a decimal comma without quotation marks, or a line that is not a row.",
)
STRAY_QUOTE = Kind(
    "stray_quote",
    "A quotation mark in this row is not paired, or a cell runs over several lines. "
    "Remove the mark or the line break.",
)
BROKEN_ROW = Kind(
    "row_may_be_broken",
    "The line {side} this row is not a row; if a line break has split a cell, this row is wrong. Compare it "
    "with the original and delete the other line.",
    "warning",
)
TOTALS_ROW = Kind(
    "totals_row", "This is a totals row ('{value}'), not a record. Delete it; totals are worked out here."
)
NO_HEADING_CELL = Kind(
    "cell_without_heading",
    "'{value}' stands in a column without a heading. Give the column a heading or clear it.",
)
LAST_LINE_CUT = Kind(
    "last_line_unfinished",
    "The file ends in the middle of a line, so this row may be cut short. Compare it with the original.",
    "warning",
)

# A cell of text
FORMULA = Kind(
    "formula", "'{value}' is a spreadsheet formula. Replace it by its value (copy, then paste values only)."
)
SHEET_ERROR = Kind("spreadsheet_error", "'{value}' is a spreadsheet's error mark. Write the value itself.")
CONTROL_CHARACTER = Kind(
    "control_character", "The cell holds an invisible control character. Type the cell again."
)
LOST_CHARACTER = Kind(
    "lost_character", "A letter in '{value}' was lost (�) when the file was written. Type the cell again."
)
TOO_LONG = Kind("text_too_long", "The text is longer than {limit} characters. Shorten it.")
MISSING = Kind("{column}_missing", "The {column} is blank. Fill it in on every row.")
CONTRADICTS = Kind(
    "contradicts_option", "The row says '{value}' but {other} was given with the import. Correct one of them."
)
GROUP_RESERVED = Kind(
    "group_reserved",
    "The group name '{value}' is kept for the whole session. Give the group a name of its own.",
)
STAGE_UNKNOWN = Kind(
    "stage_unknown", "'{value}' is not a stage. Write weaning, pre-tupping, tupping, scanning or lambing."
)
SYSTEM_UNKNOWN = Kind("system_unknown", "'{value}' is not a system. Write hill, upland or lowland.")
GRAZING_UNKNOWN = Kind("grazing_unknown", "'{value}' is not grazing. Write best, ordinary, holding or hard.")

# A cell holding a score, a number
SCORE_OUT_OF_RANGE = Kind("score_out_of_range", "The score {value} is outside 1 to 5. Correct it on the row.")
SCORE_STEP = Kind(
    "score_not_a_step",
    "The score {value} is not a whole, half or quarter score. Write it as 2, 2.25, 2.5 or 2.75.",
)
SCORE_DATE = Kind(
    "score_turned_date", "A spreadsheet has turned this score into the date '{value}'. Type the score again."
)
SCORE_UNREADABLE = Kind(
    "score_not_understood", "'{value}' is not a score. Write it as 2.5, 2,5, 2½, 2 1/2, 2+ or 3-."
)
NUMBER_NEGATIVE = Kind("{column}_negative", "The {column} {value} is below zero. Correct it on the row.")
NUMBER_NOT_WHOLE = Kind(
    "{column}_not_whole",
    "'{value}' is not a whole number. Write the {column} in digits only, without separators.",
)
NUMBER_UNREADABLE = Kind(
    "{column}_not_understood", "'{value}' is not a number. Write the {column} in digits."
)
NUMBER_OUT_OF_RANGE = Kind(
    "{column}_out_of_range", "The {column} {value} is outside {low:g} to {high:g}. Correct it on the row."
)

# A cell holding a date
DATE_UNREADABLE = Kind(
    "date_not_understood", "'{value}' is not a date. Write it as 2026-08-14 or 14/08/2026."
)
DATE_IMPOSSIBLE = Kind(
    "date_impossible", "There is no day {value}. Write the date as 2026-08-14 or 14/08/2026."
)
DATE_MONTH_FIRST = Kind(
    "date_month_first", "'{value}' writes the month before the day. Write it as {iso} or day first."
)
DATE_SWAPPED = Kind(
    "day_month_swapped",
    "'{value}' can be read two ways, and other rows of this file write the month first. "
    "Write it as 2026-08-14.",
)
DATE_SHORT_YEAR = Kind(
    "date_year_two_digits", "The year of '{value}' is not written in full. Write it as 2026."
)
DATE_SERIAL = Kind(
    "date_serial_number",
    "'{value}' is a spreadsheet's day number. Format the column as a date and export again.",
)
DATE_FUTURE = Kind(
    "date_in_future", "The date {value} is after today ({today}). Correct the date of scoring."
)
DATE_IMPLAUSIBLE = Kind("date_implausible", "The year of {value} cannot be right. Correct the date.")

# A cell holding a ewe's identity
EWE_MISSING = Kind(
    "ewe_missing",
    "The ewe has no tag: she is counted, but cannot be followed. Add her tag if it is known.",
    "warning",
)
EWE_SCIENTIFIC = Kind(
    "ewe_scientific",
    "'{value}' is a tag that a spreadsheet has shortened; its digits are lost. Export from the reader again, "
    "or format the column as text before pasting.",
)
EWE_DIGITS_LOST = Kind(
    "ewe_digits_lost",
    "'{value}' has lost digits: an electronic tag has 15 (or 16 beginning with 0). "
    "Export from the reader again with the column as text.",
)
EWE_TURNED_DATE = Kind(
    "ewe_turned_date",
    "A spreadsheet has turned this tag into the date '{value}'. Type the tag again as text.",
)
EWE_TEST_CODE = Kind(
    "ewe_test_code",
    "'{value}' is a test transponder (it begins with 999), not an animal. Read the ewe's tag again.",
)
EWE_UNREADABLE = Kind(
    "ewe_not_understood", "'{value}' is not a tag. Write 826012345600001, UK 0 123456 00001 or the short tag."
)

# The register
FARM_SEASON_REPEATED = Kind(
    "farm_season_repeated",
    "Farm {value} already has season {season} on line {line}. Keep one row for each season.",
)
DATES_OUT_OF_ORDER = Kind(
    "dates_out_of_order", "Weaning is given after the rams went in ({value}). Correct one of the dates."
)
SEASON_DIFFERS = Kind(
    "season_differs",
    "Season {value} is not the year of rams_in ({year}). Seasons are named for it; correct one of them.",
    "warning",
)
REGISTER_BLANK = Kind(
    "{column}_missing",
    "The {column} is blank, so some figures cannot be worked out. Fill it in when known.",
    "warning",
)

# Suspicion: the row is accepted
EWE_TWICE = Kind(
    "ewe_twice",
    "Ewe {value} is already in this session on line {line}. She counts once, with this later line. "
    "Delete the wrong row, or note 'recalibration pair' if a second scorer scored her.",
    "warning",
)
TALLY_TWICE = Kind(
    "tally_twice",
    "Group {value} already has a count for score {score:g} on line {line}; both are counted. "
    "Delete one if it was entered twice.",
    "warning",
)
GROUP_TWICE = Kind(
    "group_twice",
    "Group {value} already has counts in this session on line {line}; both rows are counted. "
    "Delete one if it was entered twice.",
    "warning",
)
ALL_SAME_SCORE = Kind(
    "scores_all_same",
    "All {ewes} ewes of this session have score {value}. Check that they were scored.",
    "warning",
)
GROUP_SPELT_TWICE = Kind(
    "group_spelt_two_ways",
    "'{value}' and '{other}' are kept as two groups. Spell the group one way.",
    "warning",
)
NOTHING_COUNTED = Kind(
    "nothing_counted",
    "Every count of this row is zero or blank. Fill in the counts or delete the row.",
    "warning",
)
