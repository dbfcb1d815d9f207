-- One row per line of the low responsive bidder, of every letting whose bids were not all rejected; USD.
-- A line left blank has no unit price and no extension; by_hand: why a price was typed by hand, else empty.
-- columns: contract_id, letting_date, schedule, line, item_code, description, pay_unit, quantity, unit_price, extension,
--          work_category, category_rule, alternate, source_file, source_sheet, source_row, low_bidder, by_hand
-- parameters: none
SELECT
    contract_id, letting_date, schedule, line,
    item.item_code, item.description, item.pay_unit, item.quantity::DOUBLE AS quantity,
    price.unit_price::DOUBLE AS unit_price,
    price.extension::DOUBLE AS extension,
    item.work_category, item.category_rule, coalesce(item.alternate, false) AS alternate,
    price.source_file, price.source_sheet, price.source_row,
    known_as AS low_bidder,
    price.by_hand
FROM contract
JOIN low_bid USING (contract_id, letting_date)
JOIN bid_price AS price USING (contract_id, letting_date)
JOIN bidder_known USING (contract_id, letting_date, bidder)
JOIN contract_item AS item USING (contract_id, letting_date, schedule, line)
WHERE bidder = low_bid.low_bidder AND contract.status <> 'rejected'
ORDER BY letting_date, contract_id, price.source_file, price.source_sheet, price.source_row, schedule, line;
