-- The rows of one table of the contracts on record that the file brings again, kept as text before they are taken out.
INSERT INTO replaced_row BY NAME
SELECT
    $table_name AS table_name, contract_id, letting_date::DATE AS letting_date, batch_id::INTEGER AS earlier_batch,
    to_json(cells)::VARCHAR AS cells, $batch_id::INTEGER AS batch_id
FROM (
    SELECT COLUMNS(*)::VARCHAR
    FROM {table} AS stored
    WHERE EXISTS (
        FROM known WHERE known.contract_id = stored.contract_id AND known.letting_date = stored.letting_date
    )
) AS cells;
