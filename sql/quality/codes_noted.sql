-- question: Which codes of wounds should whoever makes the export look at?
-- grain:    one row per reading of a file that counts, note, column and code
-- key:      file_key, note, column_name, code
-- inputs:   store.codes_noted, records.receipts, policy.wound_codes
-- beware:   rows are counted as the file held them: a record that came again counts again
-- columns:
--   file_key      text       the reading of the file
--   source        text       who sent it
--   received_at   timestamp  when it first came in, in UTC
--   note          code inactive_code|code_disagrees  disagrees: the column's own word differs and stands
--   column_name   text       the column that holds the inactive code, or that the code disagrees with
--   code          text       the code as it is published
--   system        code icd10_cm|snomed_ct  whose code it is
--   stage         code injuries.stage      what it says of the stage
--   active_code   text       the code that replaced it, or itself
--   rows_noted    integer    accepted rows of the file with it
SELECT
    codes_noted.file_key,
    receipts.source,
    receipts.received_at,
    codes_noted.note,
    codes_noted.column_name,
    codes_noted.code,
    wound_codes.system,
    wound_codes.stage,
    wound_codes.active_code,
    codes_noted.rows_noted
FROM store.codes_noted
INNER JOIN records.receipts ON receipts.file_key = codes_noted.file_key
INNER JOIN policy.wound_codes ON wound_codes.code = codes_noted.code
WHERE receipts.standing = 'live'
