-- One row per finding or row set aside that the engineer has accepted, latest first.
-- columns: source_file, source_sheet, source_row, code, text, reason, decided_at, sha256
-- parameters: none
SELECT source_file, source_sheet, source_row, code, text, reason, decided_at, sha256
FROM acceptance
ORDER BY decided_at DESC, source_file, source_row, code, text;
