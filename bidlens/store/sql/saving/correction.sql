-- One price typed by hand, with the bid as it was before any price of it was typed; replaces an earlier one.
INSERT OR REPLACE INTO correction BY NAME
SELECT
    import_batch.sha256, price.source_file, coalesce(price.source_sheet, '') AS source_sheet,
    coalesce(price.source_row, 0) AS source_row,
    price.contract_id, price.letting_date, price.schedule, price.line, price.bidder, 'unit_price' AS field,
    '' AS value_as_read, $value::DECIMAL(18, 5) AS value,
    coalesce(earlier.status, bid.status) AS bid_status_as_read,
    CASE WHEN earlier.status IS NULL THEN bid.total_corrected ELSE earlier.total END AS bid_total_as_read,
    $reason AS reason, $decided_at::TIMESTAMP AS decided_at
FROM bid_price AS price
JOIN bid USING (contract_id, letting_date, bidder)
JOIN import_batch ON import_batch.batch_id = price.batch_id
LEFT JOIN (
    SELECT sha256, contract_id, letting_date, bidder, any_value(bid_status_as_read) AS status,
        any_value(bid_total_as_read) AS total
    FROM correction
    GROUP BY sha256, contract_id, letting_date, bidder
) AS earlier
    ON earlier.sha256 = import_batch.sha256 AND earlier.contract_id = price.contract_id
    AND earlier.letting_date = price.letting_date AND earlier.bidder = price.bidder
WHERE price.contract_id = $contract_id AND price.letting_date = $letting_date AND price.schedule = $schedule
    AND price.line = $line AND price.bidder = $bidder;
