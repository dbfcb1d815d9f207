-- One row per line of one pay item, latest letting first, with its work category and the low responsive bidder's dollars; USD.
-- An empty code or pay unit stands for any; case and blanks do not matter; lines of
-- items confirmed to be the same are among them.
-- columns: contract_id, letting_date, schedule, line, item_code, description, pay_unit, work_category, category_rule, low_bid_usd,
--          source_file, source_sheet, source_row
-- parameters: $item_code, $description, $pay_unit
SELECT
    item.contract_id, item.letting_date, item.schedule, item.line, item.item_code, item.description, item.pay_unit,
    item.work_category, item.category_rule,
    low_line.extension AS low_bid_usd,
    item.source_file, item.source_sheet, item.source_row
FROM item_known AS item
LEFT JOIN low_line
    ON low_line.contract_id = item.contract_id AND low_line.letting_date = item.letting_date
    AND low_line.schedule = item.schedule AND low_line.line = item.line
WHERE upper(regexp_replace(trim($description), '\s+', ' ', 'g')) IN (
        upper(regexp_replace(trim(item.description), '\s+', ' ', 'g')),
        upper(regexp_replace(trim(item.description_as_read), '\s+', ' ', 'g'))
    )
    AND ($item_code = '' OR upper(item.item_code) = upper($item_code))
    AND ($pay_unit = '' OR upper(item.pay_unit) = upper($pay_unit))
ORDER BY item.letting_date DESC, item.contract_id, item.schedule, item.line;
