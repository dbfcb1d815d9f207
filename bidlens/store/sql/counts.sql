-- One row: how much is on record. Structures are distinct bridges; priced ones have a contract.
-- columns: files, contracts, lettings, structures, priced_structures, first_letting, last_letting, rows_read, rows_kept,
--          rows_set_aside, findings, open_findings
-- parameters: none
SELECT
    (SELECT count(*) FROM import_batch) AS files,
    (SELECT count(DISTINCT contract_id) FROM contract) AS contracts,
    (SELECT count(*) FROM contract) AS lettings,
    (SELECT count(DISTINCT structure_id) FROM structure) AS structures,
    (SELECT count(DISTINCT structure_id) FROM linked_structure) AS priced_structures,
    (SELECT min(letting_date) FROM contract) AS first_letting,
    (SELECT max(letting_date) FROM contract) AS last_letting,
    (SELECT coalesce(sum(rows_read), 0)::BIGINT FROM import_batch) AS rows_read,
    (SELECT coalesce(sum(rows_kept), 0)::BIGINT FROM import_batch) AS rows_kept,
    (SELECT coalesce(sum(rows_set_aside), 0)::BIGINT FROM import_batch) AS rows_set_aside,
    (SELECT count(*) FROM finding) AS findings,
    (SELECT count(*) FROM finding_known WHERE accepted IS NULL) AS open_findings;
