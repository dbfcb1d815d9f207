-- The rows of one table that came with an import.
DELETE FROM {table}
WHERE batch_id = $batch_id;
