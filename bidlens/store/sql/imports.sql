-- One row per imported file, newest first. rows_read = rows_kept + rows_set_aside as the file came in; rows_replaced: rows
-- kept that have since given their place to another file's; rows_counting: those kept that still count;
-- contracts_replaced: lettings that went with them; replaced_by: the imports that took their place.
-- columns: batch_id, source_file, kind, layout, imported_at, rows_read, rows_kept, rows_set_aside, contracts,
--          findings, sha256, rows_replaced, rows_counting, contracts_replaced, replaced_by
-- parameters: none
WITH gone AS (
    SELECT DISTINCT
        earlier_batch AS batch_id, json_extract_string(cells, '$.source_sheet') AS source_sheet,
        json_extract_string(cells, '$.source_row')::INTEGER AS source_row
    FROM replaced_row
    WHERE table_name <> 'finding' AND json_extract_string(cells, '$.source_row') IS NOT NULL
),
holder AS (
    -- looked at for imports that lost rows alone: a row of the file may serve several contracts
    SELECT batch_id, source_sheet, source_row FROM contract SEMI JOIN gone USING (batch_id)
    UNION
    SELECT batch_id, source_sheet, source_row FROM contract_item SEMI JOIN gone USING (batch_id)
    UNION
    SELECT batch_id, source_sheet, source_row FROM bid SEMI JOIN gone USING (batch_id)
    UNION
    SELECT batch_id, source_sheet, source_row FROM bid_price SEMI JOIN gone USING (batch_id)
    UNION
    SELECT batch_id, source_sheet, source_row FROM estimate_price SEMI JOIN gone USING (batch_id)
),
replaced AS (
    SELECT batch_id, count(*) AS rows_replaced
    FROM gone
    WHERE NOT EXISTS (
        FROM holder
        WHERE holder.batch_id = gone.batch_id AND holder.source_row = gone.source_row
            AND holder.source_sheet IS NOT DISTINCT FROM gone.source_sheet
    )
    GROUP BY batch_id
),
given AS (
    SELECT
        earlier_batch AS batch_id, count(DISTINCT (contract_id, letting_date)) AS contracts_replaced,
        string_agg(DISTINCT replaced_row.batch_id::VARCHAR, ', ' ORDER BY replaced_row.batch_id::VARCHAR) AS replaced_by
    FROM replaced_row
    GROUP BY earlier_batch
)
SELECT
    batch_id, source_file, kind, layout, imported_at, rows_read, rows_kept, rows_set_aside, contracts,
    (SELECT count(*) FROM finding WHERE finding.batch_id = import_batch.batch_id) AS findings,
    sha256,
    coalesce(rows_replaced, 0)::INTEGER AS rows_replaced,
    (rows_kept - coalesce(rows_replaced, 0))::INTEGER AS rows_counting,
    coalesce(contracts_replaced, 0)::INTEGER AS contracts_replaced,
    coalesce(replaced_by, '') AS replaced_by
FROM import_batch
LEFT JOIN replaced USING (batch_id)
LEFT JOIN given USING (batch_id)
ORDER BY batch_id DESC;
