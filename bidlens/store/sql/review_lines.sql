-- One row per line of the base bid of each letting of the years given: low bidder, second bidder, estimate; USD, as corrected.
-- Of bidders tied the first by name stands first. low_total and second_total repeat on every line of a letting.
-- columns: contract_id, letting_date, schedule, line, item_code, description, pay_unit, quantity, work_category,
--          low_bidder, second_bidder, low_price, low_usd, second_price, second_usd, estimate_price, estimate_usd, low_total,
--          second_total, source_file, source_sheet, source_row
-- parameters: $first_year, $last_year
WITH placed AS (
    SELECT
        contract_id, letting_date, bidder, known_as, total_corrected,
        row_number() OVER (PARTITION BY contract_id, letting_date ORDER BY rank_corrected, known_as) AS place
    FROM bid
    JOIN bidder_known USING (contract_id, letting_date, bidder)
    WHERE status = 'responsive' AND rank_corrected IS NOT NULL AND year(letting_date) BETWEEN $first_year AND $last_year
),
first AS (
    SELECT placed.*, unit_price, extension, schedule, line, source_file, source_sheet, source_row
    FROM placed JOIN bid_price USING (contract_id, letting_date, bidder)
    WHERE place = 1
),
second AS (
    SELECT placed.*, unit_price, extension, schedule, line
    FROM placed JOIN bid_price USING (contract_id, letting_date, bidder)
    WHERE place = 2
)
SELECT
    contract_id, letting_date, schedule, line,
    item.item_code, item.description, item.pay_unit, item.quantity::DOUBLE AS quantity, item.work_category,
    first.known_as AS low_bidder,
    second.known_as AS second_bidder,
    first.unit_price::DOUBLE AS low_price,
    first.extension::DOUBLE AS low_usd,
    second.unit_price::DOUBLE AS second_price,
    second.extension::DOUBLE AS second_usd,
    estimate.unit_price::DOUBLE AS estimate_price,
    estimate.extension::DOUBLE AS estimate_usd,
    first.total_corrected::DOUBLE AS low_total,
    second.total_corrected::DOUBLE AS second_total,
    first.source_file, first.source_sheet, first.source_row
FROM item_known AS item
JOIN first USING (contract_id, letting_date, schedule, line)
LEFT JOIN second USING (contract_id, letting_date, schedule, line)
LEFT JOIN estimate_price AS estimate USING (contract_id, letting_date, schedule, line)
WHERE NOT coalesce(item.alternate, false)
ORDER BY letting_date, contract_id, schedule, line;
