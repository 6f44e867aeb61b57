-- question: Is every row that was read either accepted or held?
-- inputs:   quality.files
SELECT files.file_id, files.rows_read, files.rows_accepted, files.rows_held
FROM quality.files
WHERE files.rows_read <> files.rows_accepted + files.rows_held
