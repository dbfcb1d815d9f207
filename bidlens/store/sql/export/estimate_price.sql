-- Every price of the engineer's estimate with the pay item it prices; columns as for the bid prices, without bidder.
SELECT
    contract_id, letting_date, schedule, line, item.item_code, item.description, item.pay_unit, item.quantity,
    price.unit_price, price.extension, price.extension_as_read, item.work_category,
    price.source_file, price.source_sheet, price.source_row, price.batch_id
FROM estimate_price AS price
LEFT JOIN contract_item AS item USING (contract_id, letting_date, schedule, line)
ORDER BY letting_date, contract_id, schedule, line;
