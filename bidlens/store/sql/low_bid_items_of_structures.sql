-- One row per line of the low responsive bidder, of every letting whose bids were not all rejected and whose contract is
-- linked to a structure: what unit costs are made of, without the thousands of contracts that build no bridge; USD.
-- A line left blank has no unit price and no extension; by_hand: why a price was typed by hand, else empty.
-- columns: contract_id, letting_date, schedule, line, item_code, description, pay_unit, quantity, unit_price, extension,
--          work_category, category_rule, alternate, source_file, source_sheet, source_row, low_bidder, by_hand
-- parameters: none
SELECT *
FROM low_line
SEMI JOIN linked_structure USING (contract_id)
ORDER BY letting_date, contract_id, source_file, source_sheet, source_row, schedule, line;
