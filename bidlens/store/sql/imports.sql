-- One row per imported file, newest first.
-- columns: batch_id, source_file, kind, layout, imported_at, rows_read, rows_kept, rows_set_aside, contracts,
--          findings, sha256
-- parameters: none
SELECT
    batch_id, source_file, kind, layout, imported_at, rows_read, rows_kept, rows_set_aside, contracts,
    (SELECT count(*) FROM finding WHERE finding.batch_id = import_batch.batch_id) AS findings,
    sha256
FROM import_batch
ORDER BY batch_id DESC;
