-- The typed prices of one letting into their rows, extended to the cent; only where the file has no price.
UPDATE bid_price
SET unit_price = typed.value,
    extension = round(typed.quantity::DECIMAL(19, 4) * typed.value::DECIMAL(19, 5), 2)::DECIMAL(18, 2),
    by_hand = typed.reason
FROM (
    SELECT correction.*, import_batch.batch_id, item.quantity
    FROM correction
    JOIN import_batch USING (sha256)
    JOIN contract_item AS item USING (contract_id, letting_date, schedule, line)
    WHERE correction.contract_id = $contract_id AND correction.letting_date = $letting_date
) AS typed
WHERE bid_price.contract_id = typed.contract_id AND bid_price.letting_date = typed.letting_date
    AND bid_price.schedule = typed.schedule AND bid_price.line = typed.line AND bid_price.bidder = typed.bidder
    AND bid_price.batch_id = typed.batch_id
    AND coalesce(bid_price.source_sheet, '') = typed.source_sheet
    AND coalesce(bid_price.source_row, 0) = typed.source_row
    AND (bid_price.unit_price IS NULL OR bid_price.by_hand IS NOT NULL);
