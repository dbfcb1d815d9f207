-- One row per kind of thing one import brought: how many rows would go with it; a replaced contract would come back.
-- columns: what, how_many
-- parameters: $batch_id
SELECT what, how_many
FROM (
    VALUES
        (1, 'contract', (SELECT count(*) FROM contract WHERE batch_id = $batch_id)),
        (2, 'line', (SELECT count(*) FROM contract_item WHERE batch_id = $batch_id)),
        (3, 'bid', (SELECT count(*) FROM bid WHERE batch_id = $batch_id)),
        (4, 'bid price', (SELECT count(*) FROM bid_price WHERE batch_id = $batch_id)),
        (5, 'estimate price', (SELECT count(*) FROM estimate_price WHERE batch_id = $batch_id)),
        (6, 'structure', (SELECT count(DISTINCT structure_id) FROM structure WHERE batch_id = $batch_id)),
        (7, 'proposal', (SELECT count(*) FROM proposal WHERE batch_id = $batch_id)),
        (8, 'program bridge', (SELECT count(*) FROM program_bridge WHERE batch_id = $batch_id)),
        (9, 'index quarter', (SELECT count(*) FROM index_value WHERE batch_id = $batch_id)),
        (10, 'set-aside row', (SELECT count(*) FROM set_aside WHERE batch_id = $batch_id)),
        (11, 'finding', (SELECT count(*) FROM finding WHERE batch_id = $batch_id)),
        (12, 'kept file', (SELECT count(*) FROM kept_file WHERE batch_id = $batch_id)),
        (13, 'contract that comes back', (
            SELECT count(DISTINCT (contract_id, letting_date)) FROM replaced_row WHERE batch_id = $batch_id
        ))
) AS counted (place, what, how_many)
WHERE how_many > 0
ORDER BY place;
