-- One row per unit price that is missing, blank or marked as not bid; quantity in pay units.
-- columns: contract_id, letting_date, schedule, line, item_code, description, pay_unit, quantity, bidder, bid_status,
--          source_file, source_sheet, source_row, batch_id
-- parameters: none
SELECT
    contract_id, letting_date, schedule, line, item.item_code, item.description, item.pay_unit,
    item.quantity::DOUBLE AS quantity, bidder, bid.status AS bid_status,
    price.source_file, price.source_sheet, price.source_row, price.batch_id
FROM bid_price AS price
JOIN contract_item AS item USING (contract_id, letting_date, schedule, line)
JOIN bid USING (contract_id, letting_date, bidder)
WHERE price.unit_price IS NULL
ORDER BY letting_date DESC, contract_id, bidder, schedule, line;
