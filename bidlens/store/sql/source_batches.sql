-- One row per file of which lines of one letting are on record, with the import it came by.
-- columns: source_file, batch_id, file_kept
-- parameters: $contract_id, $letting_date
WITH line AS (
    SELECT source_file, batch_id FROM contract_item WHERE contract_id = $contract_id AND letting_date = $letting_date::DATE
    UNION
    SELECT source_file, batch_id FROM bid_price WHERE contract_id = $contract_id AND letting_date = $letting_date::DATE
)
SELECT line.source_file, line.batch_id, kept_file.batch_id IS NOT NULL AS file_kept
FROM line
LEFT JOIN kept_file USING (batch_id)
ORDER BY line.source_file, line.batch_id;
