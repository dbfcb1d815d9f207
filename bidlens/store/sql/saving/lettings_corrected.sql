-- Lettings of one import in which a price was typed by hand when the same file was imported before.
SELECT DISTINCT contract_id, letting_date
FROM correction
JOIN import_batch USING (sha256)
WHERE import_batch.batch_id = $batch_id
ORDER BY ALL;
