-- One row per line of the low responsive bidder, of every letting of one contract whose bids were not all
-- rejected; USD.
-- A line left blank has no unit price and no extension; by_hand: why a price was typed by hand, else empty.
-- columns: contract_id, letting_date, schedule, line, item_code, description, pay_unit, quantity, unit_price, extension,
--          work_category, category_rule, alternate, source_file, source_sheet, source_row, low_bidder, by_hand
-- parameters: $contract_id
SELECT *
FROM low_line
WHERE contract_id = $contract_id
ORDER BY letting_date, source_file, source_sheet, source_row, schedule, line;
