-- Rows that an import replaced, of contracts in which it was itself replaced by a later one: they become the later one's.
UPDATE replaced_row
SET batch_id = later.batch_id
FROM (SELECT DISTINCT contract_id, letting_date, batch_id FROM replaced_row WHERE earlier_batch = $batch_id) AS later
WHERE replaced_row.batch_id = $batch_id AND replaced_row.contract_id = later.contract_id
    AND replaced_row.letting_date = later.letting_date;
