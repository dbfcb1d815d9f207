-- One row per pay item and year: all responsive bids' unit prices, lines the award rests on, lettings not rejected; USD.
-- columns: year, item_code, description, pay_unit, bids, mean_price
-- parameters: $first_year, $last_year
SELECT
    year(letting_date) AS year,
    item.item_code, item.description, item.pay_unit,
    count(*) AS bids,
    avg(price.unit_price::DOUBLE) AS mean_price
FROM contract
JOIN item_known AS item USING (contract_id, letting_date)
JOIN bid_price AS price USING (contract_id, letting_date, schedule, line)
JOIN bid USING (contract_id, letting_date, bidder)
WHERE contract.status <> 'rejected' AND bid.status = 'responsive' AND NOT coalesce(item.alternate, false)
    AND price.unit_price > 0 AND year(letting_date) BETWEEN $first_year AND $last_year
GROUP BY ALL
ORDER BY year, item.item_code, item.description, item.pay_unit;
