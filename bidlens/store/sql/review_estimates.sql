-- One row per letting with an engineer's estimate, up to a year: lines of the base bid, those the estimate prices, USD.
-- columns: contract_id, letting_date, base_lines, priced_lines, estimate_usd
-- parameters: $last_year
SELECT
    contract_id, letting_date,
    count(*) AS base_lines,
    count(estimate.unit_price) AS priced_lines,
    coalesce(sum(estimate.extension), 0)::DOUBLE AS estimate_usd
FROM contract_item AS item
LEFT JOIN estimate_price AS estimate USING (contract_id, letting_date, schedule, line)
WHERE year(letting_date) <= $last_year AND NOT coalesce(item.alternate, false)
GROUP BY contract_id, letting_date
HAVING count(estimate.unit_price) > 0
ORDER BY letting_date, contract_id;
