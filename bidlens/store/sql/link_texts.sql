-- One row per text of a letting that may name a structure: columns of the contract table, schedule names, the contract's
-- description and item texts, those with a digit alone. schedule: the one it speaks of; empty: the whole contract.
-- columns: contract_id, letting_date, schedule, found_in, text
-- parameters: none
SELECT *
FROM (
    SELECT contract_id, letting_date, '' AS schedule, 'contract table' AS found_in,
        unnest(string_split(structures_named, '; ')) AS text
    FROM contract
    WHERE structures_named IS NOT NULL
    UNION ALL
    SELECT DISTINCT contract_id, letting_date, schedule, 'schedule name', schedule
    FROM contract_item
    UNION ALL
    SELECT contract_id, letting_date, '', 'contract description', description
    FROM contract
    UNION ALL
    SELECT DISTINCT contract_id, letting_date, schedule, 'item text', description
    FROM contract_item
)
WHERE text IS NOT NULL AND (regexp_matches(text, '[0-9]') OR found_in = 'schedule name')
ORDER BY letting_date, contract_id, found_in, schedule, text;
