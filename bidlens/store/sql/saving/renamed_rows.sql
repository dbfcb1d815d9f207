-- Staged rows of one table, the contracts that are kept beside one on record under their new name.
SELECT staged.* REPLACE (coalesce(renamed.kept_as, staged.contract_id) AS contract_id)
FROM staged_{table} AS staged
LEFT JOIN renamed USING (contract_id, letting_date);
