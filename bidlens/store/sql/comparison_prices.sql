-- One row per line of one letting and bidder that entered it, and one per line the engineer's estimate holds; a line
-- nobody entered stands alone. is_estimate tells the estimate's rows, which have no bidder; USD, file order.
-- columns: schedule, line, item_code, description, pay_unit, quantity, work_category, alternate, is_estimate, bidder,
--          unit_price, extension_as_read, extension, by_hand, source_file, source_sheet, source_row
-- parameters: $contract_id, $letting_date
WITH item AS (
    SELECT *
    FROM contract_item
    WHERE contract_id = $contract_id AND letting_date = $letting_date::DATE
),
entered AS (
    SELECT schedule, line, false AS is_estimate, known_as AS bidder, unit_price, extension_as_read, extension, by_hand,
        price.source_file, price.source_sheet, price.source_row
    FROM bid_price AS price
    JOIN bidder_known USING (contract_id, letting_date, bidder)
    WHERE contract_id = $contract_id AND letting_date = $letting_date::DATE
    UNION ALL BY NAME
    SELECT schedule, line, true AS is_estimate, unit_price, extension_as_read, extension,
        source_file, source_sheet, source_row
    FROM estimate_price
    WHERE contract_id = $contract_id AND letting_date = $letting_date::DATE
)
SELECT
    item.schedule, item.line, item.item_code, item.description, item.pay_unit, item.quantity::DOUBLE AS quantity,
    item.work_category, coalesce(item.alternate, false) AS alternate,
    coalesce(is_estimate, false) AS is_estimate,
    bidder,
    unit_price::DOUBLE AS unit_price,
    extension_as_read::DOUBLE AS extension_as_read,
    extension::DOUBLE AS extension,
    by_hand,
    coalesce(entered.source_file, item.source_file) AS source_file,
    CASE WHEN entered.source_file IS NULL THEN item.source_sheet ELSE entered.source_sheet END AS source_sheet,
    CASE WHEN entered.source_file IS NULL THEN item.source_row ELSE entered.source_row END AS source_row
FROM item
LEFT JOIN entered USING (schedule, line)
ORDER BY item.source_sheet NULLS FIRST, item.source_row, item.schedule, item.line, is_estimate DESC, bidder;
