-- One row per line of one letting with the low responsive bidder's price, in the order of the file; USD. Without a
-- low bidder, or a price of its, the line stands alone with its own source.
-- columns: contract_id, letting_date, schedule, line, item_code, description, pay_unit, quantity, work_category,
--          category_rule, low_bidder, unit_price, extension_as_read, extension, by_hand, source_file, source_sheet, source_row
-- parameters: $contract_id, $letting_date
SELECT
    item.contract_id, item.letting_date, item.schedule, item.line,
    item.item_code, item.description, item.pay_unit, item.quantity::DOUBLE AS quantity,
    item.work_category, item.category_rule,
    known_as AS low_bidder,
    price.unit_price::DOUBLE AS unit_price,
    price.extension_as_read::DOUBLE AS extension_as_read,
    price.extension::DOUBLE AS extension,
    price.by_hand,
    coalesce(price.source_file, item.source_file) AS source_file,
    CASE WHEN price.source_file IS NULL THEN item.source_sheet ELSE price.source_sheet END AS source_sheet,
    CASE WHEN price.source_file IS NULL THEN item.source_row ELSE price.source_row END AS source_row
FROM contract_item AS item
LEFT JOIN low_bid
    ON low_bid.contract_id = item.contract_id AND low_bid.letting_date = item.letting_date
LEFT JOIN bidder_known
    ON bidder_known.contract_id = item.contract_id AND bidder_known.letting_date = item.letting_date
    AND bidder_known.bidder = low_bid.low_bidder
LEFT JOIN bid_price AS price
    ON price.contract_id = item.contract_id AND price.letting_date = item.letting_date
    AND price.schedule = item.schedule AND price.line = item.line AND price.bidder = low_bid.low_bidder
WHERE item.contract_id = $contract_id AND item.letting_date = $letting_date::DATE
ORDER BY item.source_sheet NULLS FIRST, item.source_row, item.schedule, item.line;
