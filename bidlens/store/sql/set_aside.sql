-- One row per row of a file that was read and not taken as data, latest import first.
-- columns: batch_id, source_file, source_sheet, source_row, reason, text
-- parameters: none
SELECT batch_id, source_file, source_sheet, source_row, reason, text
FROM set_aside
ORDER BY batch_id DESC, source_sheet NULLS FIRST, source_row, text;
