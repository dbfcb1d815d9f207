-- Keep the packed bytes of an imported file.
INSERT INTO kept_file (source_file, file_bytes, packed, batch_id)
VALUES ($source_file, $file_bytes, $packed::BLOB, $batch_id);
