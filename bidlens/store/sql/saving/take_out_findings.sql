-- Take out the findings of the earlier import on the contracts that the file brings again.
DELETE FROM finding AS stored
WHERE EXISTS (
    FROM known WHERE known.contract_id = stored.contract_id AND known.earlier_batch = stored.batch_id
);
