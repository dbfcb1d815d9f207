-- One row per row of a file that was read and not taken as data, latest import first; accepted: why the engineer lets
-- it stay aside, else empty.
-- columns: batch_id, source_file, source_sheet, source_row, reason, text, accepted
-- parameters: none
SELECT
    batch_id, set_aside.source_file, set_aside.source_sheet, set_aside.source_row, set_aside.reason, set_aside.text,
    acceptance.reason AS accepted
FROM set_aside
JOIN import_batch USING (batch_id)
LEFT JOIN acceptance
    ON acceptance.sha256 = import_batch.sha256
    AND acceptance.source_sheet = coalesce(set_aside.source_sheet, '')
    AND acceptance.source_row = coalesce(set_aside.source_row, 0)
    AND acceptance.code = 'set_aside' AND acceptance.text = set_aside.text
ORDER BY batch_id DESC, set_aside.source_sheet NULLS FIRST, set_aside.source_row, set_aside.text;
