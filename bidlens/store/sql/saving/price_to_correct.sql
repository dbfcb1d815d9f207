-- The price of one bidder on one line: unit price, why it was typed by hand, and its place.
SELECT unit_price, by_hand, source_file, source_sheet, source_row
FROM bid_price
WHERE contract_id = $contract_id AND letting_date = $letting_date AND schedule = $schedule AND line = $line
    AND bidder = $bidder;
