-- One finding or row set aside that was looked at and accepted; replaces an earlier word on it.
INSERT OR REPLACE INTO acceptance BY NAME
SELECT
    sha256, $source_file AS source_file, $source_sheet AS source_sheet, $source_row AS source_row, $code AS code,
    $text AS text, $reason AS reason, $decided_at::TIMESTAMP AS decided_at
FROM import_batch
WHERE batch_id = $batch_id;
