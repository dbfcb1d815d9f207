-- The rows of one table, under the number of their import.
INSERT INTO {table} BY NAME
SELECT * REPLACE ($batch_id::INTEGER AS batch_id) FROM to_store;
