-- One row per pay item (code, description, pay unit) and the work category and rule it has, most dollars first.
-- lines: over all lettings; low_bid_usd: of low bids in lettings whose bids were not all rejected, USD.
-- columns: item_code, description, pay_unit, work_category, category_rule, lines, low_bid_usd
-- parameters: none
WITH low_price AS (
    SELECT contract_id, letting_date, schedule, line, extension
    FROM contract
    JOIN low_bid USING (contract_id, letting_date)
    JOIN bid_price USING (contract_id, letting_date)
    WHERE bid_price.bidder = low_bid.low_bidder AND contract.status <> 'rejected'
)
SELECT
    item_code, description, pay_unit, work_category, category_rule,
    count(*) AS lines,
    coalesce(sum(extension::DECIMAL(38, 2)), 0)::DOUBLE AS low_bid_usd
FROM contract_item
LEFT JOIN low_price USING (contract_id, letting_date, schedule, line)
GROUP BY item_code, description, pay_unit, work_category, category_rule
ORDER BY low_bid_usd DESC, description, item_code, pay_unit, work_category, category_rule;
