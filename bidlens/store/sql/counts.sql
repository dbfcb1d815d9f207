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
    (
        SELECT count(*)
        FROM finding
        JOIN import_batch USING (batch_id)
        LEFT JOIN acceptance
            ON acceptance.sha256 = import_batch.sha256
            AND acceptance.source_sheet = coalesce(finding.source_sheet, '')
            AND acceptance.source_row = coalesce(finding.source_row, 0)
            AND acceptance.code = finding.code AND acceptance.text = finding.text
        WHERE acceptance.reason IS NULL AND NOT (
            finding.code IN ('blank_unit_price', 'no_bid_on_item') AND EXISTS (
                SELECT 1
                FROM bid_price AS price
                WHERE price.batch_id = finding.batch_id AND price.contract_id = finding.contract_id
                    AND starts_with(finding.text, 'contract ' || price.contract_id || ': ' || price.bidder || ' ')
                HAVING count(price.by_hand) > 0 AND count(*) = count(price.unit_price)
            )
        )
    ) AS open_findings;
