-- Take the rows of one table of the contracts that the file brings again out of it.
DELETE FROM {table} AS stored
WHERE EXISTS (
    FROM known WHERE known.contract_id = stored.contract_id AND known.letting_date = stored.letting_date
);
