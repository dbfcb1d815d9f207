-- One row per pay item and year: quantity and dollars of low bids, base bid only, of lettings not rejected; USD.
-- columns: year, item_code, description, pay_unit, work_category, quantity, usd
-- parameters: $last_year
SELECT
    year(letting_date) AS year,
    item.item_code, item.description, item.pay_unit, item.work_category,
    sum(item.quantity::DOUBLE) AS quantity,
    sum(item.quantity::DOUBLE * price.unit_price::DOUBLE) AS usd
FROM contract
JOIN low_bid USING (contract_id, letting_date)
JOIN bid_price AS price USING (contract_id, letting_date)
JOIN item_known AS item USING (contract_id, letting_date, schedule, line)
WHERE price.bidder = low_bid.low_bidder AND contract.status <> 'rejected' AND NOT coalesce(item.alternate, false)
    AND price.unit_price > 0 AND item.quantity > 0 AND year(letting_date) <= $last_year
GROUP BY ALL
ORDER BY year, item.item_code, item.description, item.pay_unit, item.work_category;
