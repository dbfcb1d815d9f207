-- One row per letting with an engineer's estimate: lines of the award, those the estimate prices, USD.
-- An estimate known by its total alone has no lines.
-- columns: contract_id, letting_date, base_lines, priced_lines, estimate_usd
-- parameters: none
WITH by_line AS (
    SELECT
        contract_id, letting_date,
        count(*) AS base_lines,
        count(estimate.unit_price) AS priced_lines,
        coalesce(sum(estimate.extension), 0)::DOUBLE AS estimate_usd
    FROM contract_item AS item
    LEFT JOIN estimate_price AS estimate USING (contract_id, letting_date, schedule, line)
    WHERE NOT coalesce(item.alternate, false)
    GROUP BY contract_id, letting_date
    HAVING count(estimate.unit_price) > 0
),
by_total AS (
    SELECT
        contract_id, letting_date,
        0::BIGINT AS base_lines,
        0::BIGINT AS priced_lines,
        estimate_total::DOUBLE AS estimate_usd
    FROM contract
    ANTI JOIN by_line USING (contract_id, letting_date)
    WHERE estimate_total IS NOT NULL
),
either AS (
    FROM by_line
    UNION ALL BY NAME
    FROM by_total
)
SELECT contract_id, letting_date, base_lines, priced_lines, estimate_usd
FROM either
ORDER BY letting_date, contract_id;
