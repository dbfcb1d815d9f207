-- The history's row of one import.
INSERT INTO import_batch BY NAME
SELECT $batch_id AS batch_id, $sha256 AS sha256, $source_file AS source_file, $kind AS kind, $layout AS layout,
       $imported_at::TIMESTAMP AS imported_at, $rows_read AS rows_read, $rows_kept AS rows_kept,
       $rows_set_aside AS rows_set_aside, $contracts AS contracts;
