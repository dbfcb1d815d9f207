-- The findings of the earlier import on the contracts that the file brings again, kept as text.
INSERT INTO replaced_row BY NAME
SELECT
    'finding' AS table_name, known.contract_id, known.letting_date, known.earlier_batch,
    to_json(cells)::VARCHAR AS cells, $batch_id::INTEGER AS batch_id
FROM (SELECT COLUMNS(*)::VARCHAR FROM finding) AS cells
JOIN known ON known.contract_id = cells.contract_id AND known.earlier_batch = cells.batch_id::INTEGER;
