-- One row per line of the low responsive bidder, of every letting whose bids were not all rejected; the columns of the
-- question low_bid_items.
CREATE OR REPLACE TEMP VIEW low_line AS
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
WHERE bidder = low_bid.low_bidder AND contract.status <> 'rejected';
