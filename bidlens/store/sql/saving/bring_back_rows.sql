-- The rows of one table that an import replaced, back into it. $columns: its columns, all as text, in JSON.
INSERT INTO {table} BY NAME
SELECT unnest(from_json(cells, $columns))
FROM replaced_row
WHERE batch_id = $batch_id AND table_name = $table_name;
