-- One row per line of the pay items asked for and responsive bidder that priced it, of lettings not rejected and lines
-- the award rests on; is_low tells the low bidder's price, estimate_price repeats on every row of a line; USD.
-- columns: contract_id, letting_date, schedule, line, item_code, description, pay_unit, work_category, quantity, bidder,
--          unit_price, is_low, estimate_price, source_file, source_sheet, source_row
-- parameters: $descriptions
WITH asked AS (
    SELECT item.*
    FROM item_known AS item
    SEMI JOIN (SELECT unnest($descriptions::VARCHAR[]) AS description) AS named
        ON named.description IN (item.description, item.description_as_read)
    WHERE NOT coalesce(item.alternate, false) AND item.quantity > 0
)
SELECT
    asked.contract_id, asked.letting_date, asked.schedule, asked.line,
    asked.item_code, asked.description, asked.pay_unit, asked.work_category, asked.quantity::DOUBLE AS quantity,
    known_as AS bidder,
    price.unit_price::DOUBLE AS unit_price,
    coalesce(price.bidder = low_bid.low_bidder, false) AS is_low,
    estimate.unit_price::DOUBLE AS estimate_price,
    price.source_file, price.source_sheet, price.source_row
FROM asked
JOIN contract USING (contract_id, letting_date)
JOIN bid_price AS price USING (contract_id, letting_date, schedule, line)
JOIN bid USING (contract_id, letting_date, bidder)
JOIN bidder_known USING (contract_id, letting_date, bidder)
LEFT JOIN low_bid USING (contract_id, letting_date)
LEFT JOIN estimate_price AS estimate USING (contract_id, letting_date, schedule, line)
WHERE contract.status <> 'rejected' AND bid.status = 'responsive' AND price.unit_price > 0
ORDER BY asked.letting_date, asked.contract_id, asked.schedule, asked.line, known_as;
