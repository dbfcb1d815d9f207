-- Every bid price with the pay item it prices; `extension` is quantity x unit price, `extension_as_read` as printed.
SELECT
    contract_id, letting_date, schedule, line, item.item_code, item.description, item.pay_unit, item.quantity,
    price.bidder, price.unit_price, price.extension, price.extension_as_read, price.by_hand, item.work_category,
    price.source_file, price.source_sheet, price.source_row, price.batch_id
FROM bid_price AS price
LEFT JOIN contract_item AS item USING (contract_id, letting_date, schedule, line)
ORDER BY letting_date, contract_id, schedule, line, price.bidder;
