-- Staged rows whose contract, line, bid, proposal or series is not in the same batch. No row is a pass.
-- columns: child, parent, row_count, example
WITH orphan AS (
    SELECT 'contract_item' AS child, 'contract' AS parent, concat_ws(' ', contract_id, letting_date) AS example
    FROM staged_contract_item ANTI JOIN staged_contract USING (contract_id, letting_date)
    UNION ALL
    SELECT 'bid', 'contract', concat_ws(' ', contract_id, letting_date, bidder)
    FROM staged_bid ANTI JOIN staged_contract USING (contract_id, letting_date)
    UNION ALL
    SELECT 'bid_price', 'contract_item', concat_ws(' ', contract_id, letting_date, schedule, line)
    FROM staged_bid_price ANTI JOIN staged_contract_item USING (contract_id, letting_date, schedule, line)
    UNION ALL
    SELECT 'bid_price', 'bid', concat_ws(' ', contract_id, letting_date, bidder)
    FROM staged_bid_price ANTI JOIN staged_bid USING (contract_id, letting_date, bidder)
    UNION ALL
    SELECT 'estimate_price', 'contract_item', concat_ws(' ', contract_id, letting_date, schedule, line)
    FROM staged_estimate_price ANTI JOIN staged_contract_item USING (contract_id, letting_date, schedule, line)
    UNION ALL
    SELECT 'proposal_scope', 'proposal', concat_ws(' ', proposal_id, scope)
    FROM staged_proposal_scope ANTI JOIN staged_proposal USING (proposal_id)
    UNION ALL
    SELECT 'index_value', 'index_series', concat_ws(' ', series, release, quarter)
    FROM staged_index_value ANTI JOIN staged_index_series USING (series, release)
)
SELECT child, parent, count(*) AS row_count, min(example) AS example
FROM orphan
GROUP BY child, parent
ORDER BY child, parent;
