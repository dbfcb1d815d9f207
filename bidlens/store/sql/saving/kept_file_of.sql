-- The packed bytes of one import's file, with the fingerprint of the file that was read.
SELECT kept_file.source_file, file_bytes, packed, sha256
FROM kept_file
JOIN import_batch USING (batch_id)
WHERE batch_id = $batch_id;
