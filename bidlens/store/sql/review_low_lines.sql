-- One row per priced line of the low bid, base bid only, of lettings not rejected in the years given; USD.
-- columns: contract_id, letting_date, item_code, description, pay_unit, work_category, quantity, unit_price
-- parameters: $first_year, $last_year
SELECT
    contract_id, letting_date,
    item.item_code, item.description, item.pay_unit, item.work_category,
    item.quantity::DOUBLE AS quantity,
    price.unit_price::DOUBLE AS unit_price
FROM contract
JOIN low_bid USING (contract_id, letting_date)
JOIN bid_price AS price USING (contract_id, letting_date)
JOIN item_known AS item USING (contract_id, letting_date, schedule, line)
WHERE price.bidder = low_bid.low_bidder AND contract.status <> 'rejected' AND NOT coalesce(item.alternate, false)
    AND price.unit_price IS NOT NULL AND year(letting_date) BETWEEN $first_year AND $last_year
ORDER BY letting_date, contract_id, item.schedule, item.line;
